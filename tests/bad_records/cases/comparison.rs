//! What a measured comparison needs: instruments, places on both bodies, reckoned quantities.

use super::*;

const REPLICA_AND_COLLATION: &str = r#"[bodies.replica]
location = { en = "Gallery", cy = "Oriel" }
finish = { en = "Dark", cy = "Tywyll" }
evidence = { ground = "observed", by = "elin-fychan" }

[[bodies.replica.parts]]
id = "mortar"
name = { en = "Mortar", cy = "Morter" }
model = "models/new.glb"
unit = "m"
material = "aluminium"
rights = "ours"
solid = false
wall_mm = 3.0

[collation]"#;

pub(super) const CASES: &[Case] = &[
    // The scan, walls, callipers.
    at(
        "scan-certain",
        OBJECT,
        "scan = { uncertainty_mm = 0.05",
        "scan = { uncertainty_mm = «0.0",
        "scan-uncertainty",
    ),
    at(
        "scan-without-evidence",
        OBJECT,
        "scan = { uncertainty_mm = 0.05, evidence = { ground = \"documented\", source = \"register\" } }",
        "scan = «{ uncertainty_mm = 0.05 }",
        "missing-key",
    ),
    at(
        "wall-zero",
        OBJECT,
        "wall_mm = 3.0",
        "wall_mm = «0.0",
        "wall",
    ),
    at(
        "wall-of-a-solid",
        OBJECT,
        "solid = false\nwall_mm = 3.0",
        "solid = true\nwall_mm = «3.0",
        "wall",
    ),
    at(
        "wall-of-who-knows",
        OBJECT,
        "solid = false\nwall_mm = 3.0",
        "wall_mm = «3.0",
        "wall",
    ),
    at(
        "calliper-reads-nothing",
        OBJECT,
        "measured_mm = 130.4",
        "measured_mm = «0.0",
        "calliper",
    ),
    at(
        "calliper-certain",
        OBJECT,
        "uncertainty_mm = 0.2",
        "uncertainty_mm = «-0.2",
        "calliper",
    ),
    at(
        "calliper-on-one-point",
        OBJECT,
        "to_mm = [0.0, 130.5, 40.0]",
        "to_mm = «[0.0, 0.0, 40.0]",
        "calliper",
    ),
    at(
        "calliper-on-unknown-part",
        OBJECT,
        "cy = \"uchder\" }\npart = \"mortar\"",
        "cy = \"uchder\" }\npart = «\"morter\"",
        "unknown-part",
    ),
    at(
        "calliper-on-other-body",
        OBJECT,
        "[bodies.replica]\nlocation = { en = \"Gallery\", cy = \"Oriel\" }\nfinish = { en = \"Dark\", cy = \"Tywyll\" }",
        "[bodies.replica]\nlocation = { en = \"Gallery\", cy = \"Oriel\" }\nfinish = { en = \"Dark\", cy = \"Tywyll\" }\ncalipers = [{ name = { en = \"length\", cy = \"hyd\" }, part = «\"pestle\", from_mm = [0, 0, 0], to_mm = [0, 9, 0], measured_mm = 9, uncertainty_mm = 0.2, evidence = { ground = \"observed\" } }]",
        "calliper",
    ),
    at(
        "calliper-in-one-language",
        OBJECT,
        "name = { en = \"height\", cy = \"uchder\" }",
        "name = «{ en = \"height\" }",
        "missing-language",
    ),
    // The comparison.
    at(
        "tolerance-zero",
        OBJECT,
        "tolerance_mm = 0.2",
        "tolerance_mm = «0",
        "tolerance",
    ),
    at(
        "fit-scale-in-words",
        OBJECT,
        "fit_scale = false",
        "fit_scale = «\"no\"",
        "wrong-type",
    ),
    at(
        "coating-below-nothing",
        OBJECT,
        "coating_mm = [0.02, 0.06]",
        "coating_mm = «[-0.02, 0.06]",
        "coating",
    ),
    at(
        "coating-inverted",
        OBJECT,
        "coating_mm = [0.02, 0.06]",
        "coating_mm = «[0.06, 0.02]",
        "coating",
    ),
    at(
        "pair-of-unknown-detail",
        OBJECT,
        "original = \"hare\"",
        "original = «\"hair\"",
        "unknown-detail",
    ),
    at(
        "pair-twice-on-a-side",
        OBJECT,
        "replica_mm = [0.0, 60.0, 70.1]",
        "replica = \"pad\"\nreplica_mm = «[0.0, 60.0, 70.1]",
        "pair",
    ),
    at(
        "pair-without-a-side",
        OBJECT,
        "[[collation.pairs]]\npart = \"mortar\"\noriginal = \"hare\"\nreplica_mm = [0.0, 60.0, 70.1]",
        "«[[collation.pairs]]\npart = \"mortar\"\noriginal = \"hare\"",
        "pair",
    ),
    at(
        "pair-anchored-on-the-other",
        OBJECT,
        "original = \"hare\"\nreplica_mm = [0.0, 60.0, 70.1]",
        "original_mm = [1, 2, 3]\nreplica = «\"hare\"",
        "pair",
    ),
    at(
        "pair-on-another-part",
        OBJECT,
        "part = \"mortar\"\noriginal = \"hare\"",
        "part = \"pestle\"\noriginal = «\"hare\"",
        "pair",
    ),
    at(
        "pair-on-a-part-of-one",
        OBJECT,
        "part = \"mortar\"\noriginal = \"hare\"",
        "part = «\"pestle\"\noriginal = \"hare\"",
        "collation-part",
    ),
    at(
        "accepted-by-nobody",
        OBJECT,
        "reason = { en = \"A pad\", cy = \"Pad\" }\nevidence = { ground = \"observed\", by = \"elin-fychan\" }",
        "reason = { en = \"A pad\", cy = \"Pad\" }\nevidence = «{ ground = \"observed\" }",
        "accepted-by-nobody",
    ),
    at(
        "accepted-radius",
        OBJECT,
        "radius_mm = 6.0",
        "radius_mm = «-6.0",
        "radius",
    ),
    at(
        "accepted-kind",
        OBJECT,
        "kind = \"gained\"",
        "kind = «\"gain\"",
        "unknown-word",
    ),
    at(
        "accepted-on-a-part-of-one",
        OBJECT,
        "[[collation.accepted]]\npart = \"mortar\"",
        "[[collation.accepted]]\npart = «\"pestle\"",
        "collation-part",
    ),
    at(
        "collation-without-replica",
        OBJECT,
        REPLICA_AND_COLLATION,
        "«[collation]",
        "collation-without-replica",
    ),
    // Details.
    at(
        "elsewhere-radius",
        HARE,
        "radius_mm = 5.0",
        "radius_mm = «0",
        "radius",
    ),
    at(
        "elsewhere-in-the-plane",
        HARE,
        "[40.0, 60.0, 57.0]",
        "«[40.0, 60.0]",
        "wrong-type",
    ),
    at(
        "in-shape-without-difference",
        HARE,
        "replica = \"present\" }",
        "replica = \"present\", in_shape = «false }",
        "bearing-in-shape",
    ),
    // Raking light.
    at(
        "raking-in-words",
        HARE,
        "part = \"mortar\"",
        "part = \"mortar\"\nraking = «\"yes\"",
        "wrong-type",
    ),
    at(
        "raking-of-what-may-be-nowhere",
        PAD,
        "part = \"mortar\"\nbearing = { original = \"absent\", replica = \"present\", in_shape = true }",
        "part = \"mortar\"\nraking = «true\nbearing = { original = \"absent\", replica = \"unknown\" }",
        "raking-nowhere",
    ),
    // Quantities.
    whole(
        "build-up-without-replica",
        Change(OBJECT, REPLICA_AND_COLLATION, "[collation]"),
        "build-up",
        PRINT,
    ),
    at(
        "layer-in-grams",
        PRINT,
        "unit = \"µm\"",
        "unit = «\"g\"",
        "quantity-unit",
    ),
    at(
        "layer-in-ascii",
        PRINT,
        "unit = \"µm\"",
        "unit = «\"um\"",
        "quantity-unit",
    ),
    at(
        "time-in-grams",
        PRINT,
        "unit = \"min\"",
        "unit = «\"g\"",
        "quantity-unit",
    ),
    at(
        "powder-in-hours",
        PRINT,
        "unit = \"kg\"",
        "unit = «\"h\"",
        "quantity-unit",
    ),
    at(
        "layer-of-nothing",
        PRINT,
        "value = 30",
        "value = «0",
        "quantity-value",
    ),
    at(
        "powder-below-nothing",
        PRINT,
        "value = 1.5",
        "value = «-1.5",
        "quantity-value",
    ),
    at(
        "quantity-of-no-kind",
        PRINT,
        "\"layer-thickness\"",
        "«\"layer-thicknes\"",
        "unknown-word",
    ),
    at(
        "layer-twice",
        PRINT,
        "unit = \"min\"\nis = \"machine-time\"",
        "unit = \"mm\"\nis = «\"layer-thickness\"",
        "quantity-twice",
    ),
    at(
        "build-up-nowhere",
        PRINT,
        "[0.0, 1.0, 0.0]",
        "«[0.0, 0.0, 0.0]",
        "build-up",
    ),
    at(
        "build-up-in-words",
        PRINT,
        "[0.0, 1.0, 0.0]",
        "«\"up\"",
        "wrong-type",
    ),
    advice(
        "layers-without-direction",
        PRINT,
        "build_up = [0.0, 1.0, 0.0]\nevidence = { ground = \"documented\", by = \"elin-fychan\" }\n\n[[quantities]]\nname = { en = \"layer\", cy = \"haen\" }\nvalue = 30\nunit = \"µm\"\nis = \"layer-thickness\"",
        "evidence = { ground = \"documented\", by = \"elin-fychan\" }\n\n[[quantities]]\nname = { en = \"layer\", cy = \"haen\" }\nvalue = 30\nunit = \"µm\"\nis = «\"layer-thickness\"",
        "build-up",
    ),
];

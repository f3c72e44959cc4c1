//! What is reckoned of an object, against closed forms: a solid frustum and a hollow ball.
//!
//! Volumes and areas are those of any handbook, from memory; densities are those of the material
//! sheets of the trade (Ti-6Al-4V 4.43 g/cm³). Sums and quotients were made by hand.

#[path = "../shapes/mod.rs"]
mod shapes;
mod weight;

use counterpart::collate::{Estimate, MassReason, NoMass, Quantities, ScaleCause};
use counterpart::record::{BodyKind, Finding, Findings, Severity};
use std::f64::consts::PI;
use weight::{OBJECT, PRINT, RECORD, STEP, read, reckoned};

fn near(found: f64, exact: f64, share: f64) {
    assert!(
        (found - exact).abs() <= share * exact.abs(),
        "{found}, not {exact}"
    );
}

fn share(of: &Estimate, name: &str) -> f64 {
    let found = of.contributions.iter().find(|c| c.name == name);
    found
        .unwrap_or_else(|| panic!("no {name} in {of:?}"))
        .standard
}

fn only<'f>(findings: &'f Findings, rule: &str) -> &'f Finding {
    let found: Vec<&Finding> = findings.iter().filter(|f| f.rule == rule).collect();
    assert_eq!(found.len(), 1, "{findings:?}");
    found[0]
}

/// The line of the first or only text in a file as it was written, from 1.
fn line_of(text: &str, part: &str) -> usize {
    text[..text.find(part).unwrap()].matches('\n').count() + 1
}

/// Frustum 20/10, h = 60: V 43 982.297 mm³; lateral area π (R + r) s = 5732.869 mm², ends
/// π (R² + r²) = 1570.796 mm². 43.982297 cm³ × 4.43 g/cm³ = 194.8416 g. Density ± 0.01 rectangular,
/// scan U = 0.05 mm over the area: 0.2539 g and 0.8089 g make 0.8478 g.
#[test]
fn a_solid_part_weighs_its_volume_times_its_density() {
    let (found, findings) = reckoned(&[]);
    assert!(findings.is_empty(), "{findings:?}");
    let mass = &found.masses[&BodyKind::Original];
    let reckoned = mass.reckoned_g.as_ref().unwrap();
    near(reckoned.value, 194.8416, 1e-4);
    near(share(reckoned, "density"), 0.25393, 1e-4);
    let area = 5732.869 + 1570.796;
    near(share(reckoned, "scan"), 0.025 * area * 4.43e-3, 1e-4);
    near(reckoned.standard, 0.84783, 1e-3);
    let weighing = mass.weighing.as_ref().unwrap();
    near(weighing.difference_g.value, -0.8416, 2e-2);
    assert!(weighing.consistent && weighing.reasons.is_empty());
    assert_eq!(mass.best_g().unwrap().value, 194.0);
}

/// A ball of radius 20 with a wall of 2: 4π/3 (20³ − 18³) = 9081.27 mm³.
#[test]
fn a_shell_weighs_its_wall() {
    let (found, _) = reckoned(&[]);
    let mass = found.masses[&BodyKind::Replica]
        .reckoned_g
        .as_ref()
        .unwrap();
    let exact_g = 4.0 / 3.0 * PI * (8000.0 - 5832.0) * 2.6e-3;
    near(mass.value, exact_g, 1e-3);
    // A tenth of the wall, rectangular, over the inner area.
    let inner = 4.0 * PI * 18.0 * 18.0;
    near(
        share(mass, "wall"),
        0.2 / 3f64.sqrt() * inner * 2.6e-3,
        1e-3,
    );
    let ratio = found.mass_ratio.unwrap();
    near(ratio.value, exact_g / 194.0, 1e-3);
    let relative = (mass.standard / mass.value).hypot(0.25 / 194.0);
    near(ratio.standard / ratio.value, relative, 1e-9);
}

#[test]
fn a_weight_beyond_doubt_is_not_consistent_and_says_why_it_may_be() {
    let weigh = |to| reckoned(&[(RECORD, "value_g = 194.0", to)]).0;
    let reasons = |found: &Quantities| {
        let weighing = found.masses[&BodyKind::Original].weighing.clone().unwrap();
        assert!(!weighing.consistent);
        weighing.reasons
    };
    let lighter = reasons(&weigh("value_g = 180.0"));
    assert!(lighter.contains(&MassReason::HiddenVoids));
    assert!(lighter.contains(&MassReason::ShellTakenForSolid));
    assert!(!lighter.contains(&MassReason::HeavierFilling));
    let heavier = reasons(&weigh("value_g = 220.0"));
    assert!(heavier.contains(&MassReason::HeavierFilling));
    assert!(!heavier.contains(&MassReason::HiddenVoids));
    // U of the difference is 2 √(0.848² + 0.25²) = 1.77 g about 194.84 g.
    let edge = |to| {
        weigh(to).masses[&BodyKind::Original]
            .weighing
            .clone()
            .unwrap()
    };
    assert!(edge("value_g = 193.2").consistent);
    assert!(!edge("value_g = 192.9").consistent);
}

#[test]
fn no_mass_without_a_ground_for_it() {
    let why = |changes: &[(&str, &str, &str)], kind| {
        let found = reckoned(changes).0;
        let mass = &found.masses[&kind];
        assert_eq!(mass.reckoned_g, None);
        assert_eq!(mass.weighing, None);
        mass.parts[0].reckoned_g.clone().unwrap_err()
    };
    let (old, new) = (BodyKind::Original, BodyKind::Replica);
    assert_eq!(
        why(&[(RECORD, "solid = true", "")], old),
        NoMass::NotKnownSolid
    );
    assert_eq!(
        why(&[(RECORD, "wall_mm = 2.0", "")], new),
        NoMass::WallNotKnown
    );
    let thick = [(RECORD, "wall_mm = 2.0", "wall_mm = 20.5")];
    assert_eq!(why(&thick, new), NoMass::WallTooThick);
    let face = "f 1 3 2\n";
    let thrice = [("weight/models/old.obj", face, "f 1 3 2\nf 1 3 2\n")];
    assert_eq!(why(&thrice, old), NoMass::Open);
    // With a gap, half a ball over it may be missing: 2/3 π 10³ mm³ over a triangle 20 mm long.
    let gap = reckoned(&[("weight/models/old.obj", face, "")]).0;
    let mass = gap.masses[&old].reckoned_g.clone().unwrap();
    let missing_g = 2.0 / 3.0 * PI * 1000.0 * 4.43e-3;
    near(share(&mass, "openings"), missing_g / 3f64.sqrt(), 1e-3);
}

/// 40 mm at 30 µm: 1333.3, so 1334 layers, whichever way the ball lies.
#[test]
fn layers_are_counted_along_the_build() {
    for up in ["[0.0, 2.0, 0.0]", "[0, 0, -1]", "[7, 0, 0]"] {
        let (found, _) = reckoned(&[(STEP, "[0.0, 2.0, 0.0]", up)]);
        let [layers] = found.layers.as_slice() else {
            panic!("{:?}", found.layers)
        };
        near(layers.height_mm.value, 40.0, 1e-6);
        assert_eq!(layers.between, None);
        assert_eq!((layers.count, layers.thickness_um), (1334, 30.0), "{up}");
        assert_eq!(layers.step.as_str(), "print");
    }
    // 0.06 √2 for two points and 0.12/√3 for a finish of 0.06 at both ends make U = 0.2191 mm, so
    // between 39.781 mm (1326.03) and 40.219 mm (1340.6).
    let scan = "scan = { uncertainty_mm = 0.12, evidence = { ground = \"observed\" } }\n";
    let with = format!("{scan}\n[[bodies.replica.parts]]");
    let finish = "[collation]\ncoating_mm = [0.03, 0.06]\n\n[materials.titanium]";
    let (found, _) = reckoned(&[
        (RECORD, "[[bodies.replica.parts]]", &with),
        (RECORD, "[materials.titanium]", finish),
    ]);
    assert_eq!(found.layers[0].between, Some([1327, 1341]));
    let again = "weight/making/02-again";
    let (record, note) = (format!("{again}/record.toml"), format!("{again}/en.md"));
    let other = PRINT.replace("0.0, 2.0, 0.0", "0.0, 0.0, 1.0");
    let two = [
        (record.as_str(), "", other.as_str()),
        (&note, "", "# Again\n\nMore.\n"),
    ];
    let (found, findings) = reckoned(&two);
    assert!(found.layers.is_empty());
    let finding = only(&findings, "layers-of-two-builds");
    assert_eq!(finding.place.file, record);
    assert_eq!(finding.place.line, line_of(&other, "layer-thickness"));
    // Hours and powder of both steps are added up.
    assert_eq!(found.work.people_h.unwrap().value, 7.0);
    assert_eq!(found.work.machine_h.unwrap().steps, 2);
    assert_eq!(found.powder.unwrap().used_g, Some(60.0));
}

#[test]
fn hours_and_powder_are_summed_in_one_unit() {
    let (found, _) = reckoned(&[]);
    assert_eq!(found.work.people_h.unwrap().value, 3.5);
    assert_eq!(found.work.machine_h.unwrap().value, 1.5);
    let powder = found.powder.unwrap();
    assert_eq!(powder.adds_up, Some(true));
    assert_eq!(powder.shares(), [Some(0.8), Some(0.15), Some(0.05)]);
}

#[test]
fn powder_that_does_not_add_up_is_found() {
    let (found, findings) = reckoned(&[(STEP, "value = 4.5", "value = 5.5")]);
    assert_eq!(found.powder.unwrap().adds_up, Some(false));
    let finding = only(&findings, "powder-sum");
    assert_eq!(finding.severity, Severity::Error);
    assert_eq!(finding.place.file, STEP);
    assert_eq!(finding.place.line, line_of(PRINT, "0.03, unit = \"kg\""));
    assert!(finding.what.contains("30 g") && finding.what.contains("31 g"));
    // Without the scrap nothing can be said, unless more came out than went in.
    let scrap = ", is = \"scrap-mass\"";
    let (found, findings) = reckoned(&[(STEP, scrap, "")]);
    assert_eq!(found.powder.unwrap().adds_up, None);
    assert!(findings.is_empty(), "{findings:?}");
    let (_, findings) = reckoned(&[(STEP, scrap, ""), (STEP, "value = 24", "value = 27")]);
    only(&findings, "powder-sum");
}

/// Between (0, 0, 0) and (0, 60, 0) the model has 60 mm; U is 2 √2 · 0.025 = 0.0707 mm for the
/// points, with 0.1/√3 for the end that lies 0.1 mm off.
#[test]
fn callipers_are_held_beside_the_model() {
    let (found, findings) = reckoned(&[]);
    assert!(findings.is_empty());
    let [check] = found.scale.as_slice() else {
        panic!("{:?}", found.scale)
    };
    near(check.model_mm.value, 60.0, 1e-6);
    near(check.snapped_mm[1], 0.1, 1e-3);
    near(share(&check.model_mm, "scan"), 0.025 * 2f64.sqrt(), 1e-9);
    near(share(&check.model_mm, "snap"), 0.1 / 3f64.sqrt(), 1e-3);
    near(check.ratio.value, 60.0 / 60.02, 1e-6);
    assert!(check.consistent && check.causes.is_empty());
}

#[test]
fn a_model_of_another_size_is_found_with_likely_causes() {
    let cause = |to: &str| {
        let (found, findings) = reckoned(&[(RECORD, "measured_mm = 60.02", to)]);
        let finding = only(&findings, "model-scale").clone();
        assert_eq!(finding.severity, Severity::Advice);
        assert_eq!(
            (finding.place.file.as_str(), finding.place.line),
            (RECORD, line_of(OBJECT, "measured_mm"))
        );
        (found.scale[0].causes.clone(), finding)
    };
    let (causes, finding) = cause("measured_mm = 61.2");
    assert_eq!(causes, [ScaleCause::ScannerScale, ScaleCause::Reading]);
    // U of the model 2 √(0.03536² + 0.05774²) = 0.135; of the ratio 0.135/61.2 = 0.0024.
    assert!(finding.what.contains("61.20 ± 0.05 mm"), "{}", finding.what);
    assert!(finding.what.contains("60.00 ± 0.14 mm"), "{}", finding.what);
    assert!(finding.what.contains("0.9804 ± 0.0024"), "{}", finding.what);
    assert_eq!(cause("measured_mm = 6.0").0, [ScaleCause::Unit]);
    assert_eq!(cause("measured_mm = 2.36").0, [ScaleCause::Unit]);
}

#[test]
fn callipers_in_the_air_are_refused() {
    let (geometry, findings, _folder) = read(&[(
        RECORD,
        "from_mm = [0.0, 0.0, 0.0]",
        "from_mm = [0.0, -5.0, 0.0]",
    )]);
    let finding = only(&findings, "calliper-off-surface");
    assert_eq!(finding.severity, Severity::Error);
    assert_eq!(finding.place.line, line_of(OBJECT, "from_mm"));
    assert!(finding.what.contains("5.00 mm") && finding.remedy.contains("[0.00, 0.00, 0.00]"));
    assert!(geometry.unwrap().quantities.scale.is_empty());
}

#[test]
fn all_of_it_is_plain_data() {
    let json = reckoned(&[]).0.json();
    near(
        json["masses_g"]["original"]["reckoned"]["value"]
            .as_f64()
            .unwrap(),
        194.8416,
        1e-4,
    );
    assert_eq!(json["masses_g"]["original"]["weighing"]["consistent"], true);
    assert_eq!(json["layers"][0]["count"], 1334);
    assert_eq!(json["powder"]["adds_up"], true);
    assert_eq!(json["work"]["machine"]["hours"], 1.5);
    assert_eq!(json["scale"][0]["body"], "original");
    assert_eq!(json["mass_ratio"]["basis"], "estimated");
}

#[test]
fn further_patches_of_a_detail_lie_on_the_surface() {
    let dent = |second: &str| {
        format!(
            "format = 1\nkind = \"damage\"\npart = \"weight\"\n\
             bearing = {{ original = \"present\", replica = \"absent\" }}\n\
             anchor = {{ body = \"original\", point_mm = [0, 60, 0], radius_mm = 3 }}\n\
             evidence = {{ ground = \"observed\" }}\n\
             elsewhere = [\n{{ point_mm = [0, 0.5, 0], radius_mm = 3 }},\n{second},\n]\n"
        )
    };
    let with = |second: &str| {
        let (record, note) = ("weight/details/dent/record.toml", "# A dent\n\nIt fell.\n");
        let text = dent(second);
        let files = [
            (record, "", text.as_str()),
            ("weight/details/dent/en.md", "", note),
        ];
        let (geometry, findings, _folder) = read(&files);
        (geometry.unwrap(), findings)
    };
    let (geometry, findings) = with("{ point_mm = [3, -0.2, 0], radius_mm = 3 }");
    assert!(findings.is_empty(), "{findings:?}");
    let patches = &geometry.elsewhere[&"dent".parse().unwrap()];
    assert_eq!(patches.len(), 2);
    near(patches[0].moved_mm, 0.5, 1e-6);
    near(patches[1].normal.y, -1.0, 1e-6);
    let (_, findings) = with("{ point_mm = [3, -4, 0], radius_mm = 3 }");
    let finding = only(&findings, "anchor-off-surface");
    assert_eq!(finding.place.line, 9);
    assert!(finding.what.contains("4.00 mm"), "{}", finding.what);
}

//! A small content folder without any fault, on which each case lays one.

use std::path::Path;

pub(crate) const FILES: &[(&str, &str)] = &[
    (
        "site.toml",
        r#"format = 1
publisher = "Brackwater Museum"
address = "https://brackwater.example/replicas/"
languages = ["en", "cy"]
name = { en = "Replicas", cy = "Replicâu" }
introduction = { en = "Copies and their originals.", cy = "Copïau a'u rhai gwreiddiol." }

[people.elin-fychan]
name = "Elin Fychan"
role = { en = "Keeper", cy = "Ceidwad" }
"#,
    ),
    (
        "mortar/record.toml",
        r#"format = 1
words_rights = "ours"
label = { en = "This is a copy. You can touch it. The first one is in the store, because it is old and thin. A man in this town made it to grind seeds and roots for the sick. Look for the dent in the rim and the patch on its side. We left both in the copy, so that you can feel how the old one was used and mended.", cy = "Copi yw hwn. Cewch ei gyffwrdd. Mae’r un cyntaf yn y stordy, am ei fod yn hen ac yn denau. Dyn o’r dref hon a’i gwnaeth, i falu hadau a gwreiddiau i’r rhai oedd yn sâl. Chwiliwch am y tolc yn yr ymyl ac am y clwt ar yr ochr. Gadawsom y ddau yn y copi, er mwyn i chi deimlo sut y cafodd yr hen un ei ddefnyddio a’i drwsio." }

[identification]
number = "BRKMU:1923.14"
name = { en = "Mortar", cy = "Morter" }
date = { en = "1647", cy = "1647" }
keeper = { en = "Brackwater Museum", cy = "Amgueddfa Brackwater" }
evidence = { ground = "documented", by = "elin-fychan", source = "register" }

[front]
elevation_deg = 10.0

[bodies.original]
location = { en = "Store", cy = "Storfa" }
finish = { en = "Green", cy = "Gwyrdd" }
evidence = { ground = "observed", by = "elin-fychan" }
weighed_g = { value_g = 4100.0, uncertainty_g = 1.0, evidence = { ground = "measured", by = "elin-fychan" } }
scan = { uncertainty_mm = 0.05, evidence = { ground = "documented", source = "register" } }

[[bodies.original.calipers]]
name = { en = "height", cy = "uchder" }
part = "mortar"
from_mm = [0.0, 0.0, 40.0]
to_mm = [0.0, 130.5, 40.0]
measured_mm = 130.4
uncertainty_mm = 0.2
evidence = { ground = "measured", by = "elin-fychan" }

[[bodies.original.parts]]
id = "mortar"
name = { en = "Mortar", cy = "Morter" }
model = "models/old.glb"
unit = "m"
material = "bell-metal"
rights = "ours"

[[bodies.original.parts]]
id = "pestle"
name = { en = "Pestle", cy = "Pestl" }
model = "models/pestle.stl"
unit = "mm"
material = "bell-metal"
rights = "ours"

[bodies.replica]
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

[collation]
tolerance_mm = 0.2
fit_scale = false
coating_mm = [0.02, 0.06]
evidence = { ground = "observed", by = "elin-fychan" }

[[collation.pairs]]
part = "mortar"
original = "hare"
replica_mm = [0.0, 60.0, 70.1]

[[collation.pairs]]
part = "mortar"
original_mm = [1, 2, 3]
replica = "pad"

[[collation.accepted]]
part = "mortar"
kind = "gained"
centre_mm = [0, 1, 2]
radius_mm = 6.0
reason = { en = "A pad", cy = "Pad" }
evidence = { ground = "observed", by = "elin-fychan" }

[materials.bell-metal]
name = { en = "Bell metal", cy = "Metel clychau" }
density_g_per_cm3 = [8.6, 8.7]
evidence = { ground = "conjectured" }

[materials.aluminium]
name = { en = "Aluminium", cy = "Alwminiwm" }
density_g_per_cm3 = [2.64, 2.67]
evidence = { ground = "documented", source = "register" }

[[rights]]
id = "ours"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/licenses/by/4.0/"
permits = ["display", "print"]

[[rights]]
id = "lent"
holder = "A lender"
statement = "http://rightsstatements.org/vocab/InC/1.0/"
permits = ["display"]
from = 2024-01-01
until = 2026-12-31

[sources.register]
title = "Accession register"
"#,
    ),
    (
        "mortar/en.md",
        "# The mortar\n\nThis is a copy of an old mortar. The first one is in the store. We made this one so that you can hold it. See [the hare](detail:hare) and [the scan](step:scan).\n",
    ),
    (
        "mortar/cy.md",
        "# Y morter\n\nCopi o hen forter yw hwn. Mae'r un cyntaf yn y storfa. Gwnaethom hwn er mwyn i chi gael gafael ynddo. Gweler [y sgwarnog](detail:hare) yma nawr.\n",
    ),
    (
        "mortar/details/hare/record.toml",
        r#"format = 1
kind = "motif"
part = "mortar"
bearing = { original = "present", replica = "present" }
anchor = { body = "original", point_mm = [0.0, 60.0, 70.0], radius_mm = 4.0 }
view = { azimuth_deg = 0.0, elevation_deg = 5.0 }
evidence = { ground = "observed" }
description = { en = "A hare in relief", cy = "Sgwarnog mewn cerfwedd" }

[[photographs]]
file = "hare.png"
rights = "lent"
alt = { en = "A hare leaps to the left", cy = "Sgwarnog yn llamu i'r chwith" }

[[elsewhere]]
point_mm = [40.0, 60.0, 57.0]
radius_mm = 5.0
"#,
    ),
    (
        "mortar/details/hare/en.md",
        "# A hare\n\nIt leaps. See [bell](term:bell) and [object](object:mortar).\n\n![A hare in low light](hare.png)\n",
    ),
    ("mortar/details/hare/cy.md", "# Sgwarnog\n\nMae'n llamu.\n"),
    (
        "mortar/details/pad/record.toml",
        r#"format = 1
kind = "addition"
part = "mortar"
bearing = { original = "absent", replica = "present", in_shape = true }
anchor = { body = "replica", point_mm = [0, 1, 2], radius_mm = 2 }
evidence = { ground = "observed" }
description = { en = "A smooth pad", cy = "Pad llyfn" }
spoken = { en = "pad.wav" }

[[recordings]]
file = "pad.wav"
rights = "ours"
title = { en = "The pad, described", cy = "Y pad, wedi'i ddisgrifio" }
language = "en"
"#,
    ),
    (
        "mortar/details/pad/en.md",
        "# A pad\n\nIt holds the foot level.\n",
    ),
    (
        "mortar/details/pad/cy.md",
        "# Pad\n\nMae'n cadw'r droed yn wastad.\n",
    ),
    (
        "mortar/making/01-scan/record.toml",
        r#"format = 1
date = 2024-03-20
hours = 6.5
people = ["elin-fychan"]
evidence = { ground = "observed" }

[[quantities]]
name = { en = "views", cy = "golygon" }
value = 40
unit = "views"

[[photographs]]
file = "film.png"
rights = "ours"
alt = { en = "A turntable with the mortar", cy = "Trofwrdd a'r morter arno" }

[[recordings]]
file = "talk.wav"
rights = "ours"
title = { en = "How we scanned it", cy = "Sut y sganiwyd ef" }
language = "en"
captions = { en = "talk.en.vtt", cy = "talk.cy.vtt" }
transcript = { en = "talk.en.md" }
speakers = ["elin-fychan"]
recorded_by = "elin-fychan"

[[recordings]]
file = "turn.webm"
rights = "ours"
title = { en = "It turns", cy = "Mae'n troi" }
description = { en = "The mortar turns once.", cy = "Mae'r morter yn troi unwaith." }
poster = "film.png"
"#,
    ),
    (
        "mortar/making/01-scan/talk.en.vtt",
        "WEBVTT\n\n00:00.100 --> 00:00.900\n<v Elin>It stood still.\n\n00:01.000 --> 00:01.400\n<v Elin>We went\n",
    ),
    (
        "mortar/making/01-scan/talk.cy.vtt",
        "WEBVTT\n\n00:00.100 --> 00:01.400\n<v Elin>Safodd yn llonydd.\n",
    ),
    (
        "mortar/making/01-scan/talk.en.md",
        "# How we scanned it\n\nElin: it stood still. See [the hare](detail:hare).\n",
    ),
    (
        "mortar/making/01-scan/en.md",
        "# The scan\n\nWe scanned it.\n",
    ),
    (
        "mortar/making/01-scan/cy.md",
        "# Y sgan\n\nFe'i sganiwyd.\n",
    ),
    (
        "mortar/making/02-print/record.toml",
        r#"format = 1
build_up = [0.0, 1.0, 0.0]
evidence = { ground = "documented", by = "elin-fychan" }

[[quantities]]
name = { en = "layer", cy = "haen" }
value = 30
unit = "µm"
is = "layer-thickness"

[[quantities]]
name = { en = "machine", cy = "peiriant" }
value = 90
unit = "min"
is = "machine-time"

[[quantities]]
name = { en = "powder", cy = "powdr" }
value = 1.5
unit = "kg"
is = "powder-used"
"#,
    ),
    (
        "mortar/making/02-print/en.md",
        "# The print\n\nIt was printed.\n",
    ),
    (
        "mortar/making/02-print/cy.md",
        "# Yr argraffu\n\nFe'i hargraffwyd.\n",
    ),
    (
        "terms/bell/en.md",
        "# Bell\n\nIt rings. See [a hare](detail:mortar/hare).\n",
    ),
    ("terms/bell/cy.md", "# Cloch\n\nMae'n canu.\n"),
];

/// Sound of a second and a half, and a film of as much without sound.
pub(crate) const TONE: &[u8] = include_bytes!("../media/tone.wav");
pub(crate) const SILENT: &[u8] = include_bytes!("../media/silent.webm");

/// Writes the folder; models are only names here, since reading records does not open them.
pub(crate) fn write(root: &Path) {
    for (name, text) in FILES {
        put(root, name, text.as_bytes());
    }
    let source = FILES.iter().find(|(name, _)| *name == "mortar/en.md");
    let digest = blake3::hash(source.expect("the note").1.as_bytes()).to_hex();
    let translations = format!(
        "format = 1\n\n[notes.\"mortar/cy.md\"]\nsource = \"en.md\"\ndigest = \"{digest}\"\n"
    );
    put(root, "translations.toml", translations.as_bytes());
    for name in ["old.glb", "new.glb", "pestle.stl"] {
        put(root, &format!("mortar/models/{name}"), b"model");
    }
    for name in ["details/hare/hare.png", "making/01-scan/film.png"] {
        image::RgbImage::new(8, 6)
            .save(root.join("mortar").join(name))
            .expect("the picture can be written");
    }
    put(root, "mortar/making/01-scan/talk.wav", TONE);
    put(root, "mortar/details/pad/pad.wav", TONE);
    put(root, "mortar/making/01-scan/turn.webm", SILENT);
}

pub(crate) fn put(root: &Path, name: &str, bytes: &[u8]) {
    let path = root.join(name);
    std::fs::create_dir_all(path.parent().expect("a file has a folder"))
        .expect("the folder can be made");
    std::fs::write(path, bytes).expect("the file can be written");
}

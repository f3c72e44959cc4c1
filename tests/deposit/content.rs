//! A small whole content folder: a box with a replica, in two languages, with assets of which some
//! may go to an archive and some may not.

use super::tree::{Place, block_glb};
use std::fs;
use std::path::Path;

const SITE: &str = r#"format = 1
publisher = "Brackwater Museum"
address = "https://brackwater.example/"
languages = ["en", "cy"]
name = { en = "Counterparts", cy = "Gwrthddarnau" }
introduction = { en = "Replicas and what they tell.", cy = "Replicas a’u hanes." }

[people.elin-fychan]
name = "Elin Fychan"
role = { en = "Keeper", cy = "Ceidwad" }
"#;

const BOX: &str = r#"format = 1
words_rights = "words"
label = { en = "A plain box, copied to show how a record is kept. The first box stays in the store.", cy = "Blwch plaen, wedi’i gopïo i ddangos sut y cedwir cofnod. Mae’r blwch cyntaf yn aros yn y storfa." }

[identification]
number = "BRKMU:1"
name = { en = "Box", cy = "Blwch" }
date = { en = "1700", cy = "1700" }
keeper = { en = "Brackwater Museum", cy = "Amgueddfa Brackwater" }
evidence = { ground = "observed", by = "elin-fychan", date = 2024-02-12 }

[bodies.original]
location = { en = "in the store", cy = "yn y storfa" }
finish = { en = "bare", cy = "moel" }
scan = { uncertainty_mm = 0.05, evidence = { ground = "documented", by = "elin-fychan" } }
parts = [{ id = "box", name = { en = "Box", cy = "Blwch" }, model = "models/box.glb", unit = "m", material = "lead", rights = "scan", solid = true }]

[bodies.replica]
location = { en = "in the gallery", cy = "yn yr oriel" }
finish = { en = "painted", cy = "wedi’i baentio" }
scan = { uncertainty_mm = 0.05, evidence = { ground = "documented", by = "elin-fychan" } }
parts = [{ id = "box", name = { en = "Box", cy = "Blwch" }, model = "models/copy.glb", unit = "m", material = "lead", rights = "copy", solid = true }]

[materials.lead]
name = { en = "lead", cy = "plwm" }
density_g_per_cm3 = [11.3, 11.4]
evidence = { ground = "conjectured", by = "elin-fychan" }

[[rights]]
id = "words"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/licenses/by/4.0/"
permits = ["display", "download", "print", "deposit"]

[[rights]]
id = "scan"
holder = "Elin Fychan"
statement = "http://rightsstatements.org/vocab/InC/1.0/"
permits = ["display", "print", "deposit"]

[[rights]]
id = "copy"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/licenses/by/4.0/"
permits = ["display", "deposit"]

[[rights]]
id = "lent"
holder = "A lender"
statement = "http://rightsstatements.org/vocab/InC/1.0/"
permits = ["display"]

[[photographs]]
file = "store.png"
rights = "words"
alt = { en = "The box on its shelf.", cy = "Y blwch ar ei silff." }

[[photographs]]
file = "lent.png"
rights = "lent"
alt = { en = "The box in the hands of its lender.", cy = "Y blwch yn nwylo ei fenthyciwr." }
"#;

const DENT: &str = r#"format = 1
kind = "damage"
part = "box"
bearing = { original = "present", replica = "present" }
evidence = { ground = "observed", by = "elin-fychan", date = 2024-02-12 }

[anchor]
body = "original"
point_mm = [0.0, 15.0, 5.0]
radius_mm = 3.0
"#;

const CORNER: &str = r#"format = 1
kind = "construction"
part = "box"
bearing = { original = "present", replica = "present" }
evidence = { ground = "observed", by = "elin-fychan", date = 2024-02-12 }

[anchor]
body = "original"
point_mm = [4.0, 30.0, -4.0]
radius_mm = 1.0
"#;

/// In the withheld photograph, and nowhere else.
pub(crate) const MARK: &[u8] = b"LENT-AND-NOT-GIVEN";

/// Where `Place` runs things, the store that all tests share keeps pictures from being drawn anew.
pub(crate) fn place() -> Place {
    let place = Place::new();
    fs::remove_dir_all(place.path("content/box")).unwrap();
    place.write("content/site.toml", SITE);
    place.write("content/box/record.toml", BOX);
    place.write(
        "content/box/en.md",
        "# A box\n\nA box that was copied so that its [dent](detail:dent) can be felt. It is of [lead](term:lead).\n\n![lent](lent.png)\n\nIts *lid* is lost.\n",
    );
    place.write(
        "content/box/cy.md",
        "# Blwch\n\nBlwch a gopïwyd fel y gellir teimlo ei [dolc](detail:dent). Mae o [blwm](term:lead).\n\n![lent](lent.png)\n",
    );
    for (id, record, en, cy) in [
        (
            "dent",
            DENT,
            "# A dent\n\nSomeone let it fall.\n",
            "# Tolc\n\nGollyngodd rhywun ef.\n",
        ),
        (
            "corner",
            CORNER,
            "# A corner\n\nTwo sheets meet.\n",
            "# Cornel\n\nMae dwy ddalen yn cwrdd.\n",
        ),
    ] {
        place.write(&format!("content/box/details/{id}/record.toml"), record);
        place.write(&format!("content/box/details/{id}/en.md"), en);
        place.write(&format!("content/box/details/{id}/cy.md"), cy);
    }
    place.write(
        "content/terms/lead/en.md",
        "# Lead\n\nA soft, heavy metal, cast since [antiquity](term:old).\n",
    );
    place.write(
        "content/terms/lead/cy.md",
        "# Plwm\n\nMetel meddal a thrwm.\n",
    );
    place.write("content/terms/old/en.md", "# Antiquity\n\nLong ago.\n");
    place.write(
        "content/terms/old/cy.md",
        "# Hynafiaeth\n\nAmser maith yn ôl.\n",
    );
    place.write("content/terms/tin/en.md", "# Tin\n\nNo note leads here.\n");
    place.write(
        "content/terms/tin/cy.md",
        "# Tun\n\nNid oes nodyn yn arwain yma.\n",
    );
    fs::create_dir_all(place.path("content/box/models")).unwrap();
    for name in ["box", "copy"] {
        let glb = block_glb(10.0, 30.0);
        fs::write(place.path(&format!("content/box/models/{name}.glb")), glb).unwrap();
    }
    let photograph = |name: &str, mark: &[u8]| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        let grey = image::GrayImage::from_fn(40, 30, |x, y| image::Luma([(x * 5 + y) as u8]));
        grey.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        let mut bytes = bytes.into_inner();
        // What stands after the picture is not shown, but is in the file.
        bytes.extend_from_slice(mark);
        fs::write(place.path(&format!("content/box/{name}")), bytes).unwrap();
    };
    photograph("store.png", b"");
    photograph("lent.png", MARK);
    place.write(
        "content/box/letter.txt",
        "A private letter that no record names.\n",
    );
    warm(&place.path(".counterpart"));
    place
}

/// Pictures drawn by an earlier test of this run.
fn warm(store: &Path) {
    let shared = Path::new(env!("CARGO_TARGET_TMPDIR")).join("deposit-store");
    fs::create_dir_all(&shared).unwrap();
    std::os::unix::fs::symlink(shared, store).unwrap();
}

/// Writes the deposit of the box and says what the program said.
pub(crate) fn deposit(place: &Place, to: &str, more: &[&str]) -> std::process::Output {
    let mut args = vec!["deposit", "box", "--to", to, "--on", "2026-03-01"];
    args.extend(more);
    place.run(&args)
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

//! Writes a large invented collection, to see how the program bears one.
//!
//! `cargo run --release --example shape_collection -- COUNT FOLDER` writes a content folder of so many
//! small weights and whorls from the store of Brackwater Museum, each with eight details, a small
//! picture and notes in English and Welsh. All share one model, and the places of their details, so
//! that pages are what costs. The same count gives the same bytes. Everything is invented.

mod lexicon;
mod shape;

use lexicon::{Thing, thing};
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::Path;
use std::process::ExitCode;

const SITE: &str = r#"format = 1
publisher = "Amgueddfa Brackwater Museum"
address = "https://brackwater.example/store/"
languages = ["en", "cy"]
name = { en = "The store of Brackwater Museum", cy = "Storfa Amgueddfa Brackwater" }
introduction = { en = "Small things from the store.", cy = "Pethau bach o’r storfa." }
statement = { en = "Invented, all of it, to try the program.", cy = "Dychmygol yw’r cyfan, i roi prawf ar y rhaglen." }

[people.elin-fychan]
name = "Elin Fychan"
role = { en = "Keeper of collections", cy = "Ceidwad y casgliadau" }
"#;

fn main() -> ExitCode {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let [count, folder] = given.as_slice() else {
        eprintln!("two arguments are needed: how many objects, and the folder to write");
        return ExitCode::from(2);
    };
    let Ok(count) = count.parse::<usize>() else {
        eprintln!("‘{count}’ is no number of objects; write for example 2000");
        return ExitCode::from(2);
    };
    match write(count, Path::new(folder)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("the collection could not be written: {error}");
            ExitCode::from(3)
        }
    }
}

fn write(count: usize, folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    fs::write(folder.join("site.toml"), SITE)?;
    let (model, anchors) = shape::weight().map_err(io::Error::other)?;
    for number in 0..count {
        let thing = thing(number);
        let own = folder.join(&thing.id);
        fs::create_dir_all(own.join("models"))?;
        fs::write(own.join("models/weight.glb"), &model)?;
        fs::write(
            own.join("in-the-hand.png"),
            shape::picture(number).map_err(io::Error::other)?,
        )?;
        fs::write(own.join("record.toml"), record(&thing))?;
        fs::write(own.join("en.md"), thing.note_en())?;
        fs::write(own.join("cy.md"), thing.note_cy())?;
        for (at, detail) in thing.details().iter().enumerate() {
            let folder = own.join("details").join(&detail.id);
            fs::create_dir_all(&folder)?;
            let [x, y, z] = anchors[at];
            let text = format!(
                "format = 1\norder = {at}\nkind = \"{}\"\npart = \"weight\"\nbearing = {{ original = \"present\" }}\n\
                 anchor = {{ body = \"original\", point_mm = [{x:.3}, {y:.3}, {z:.3}], radius_mm = 2.5 }}\n\
                 evidence = {{ ground = \"observed\", by = \"elin-fychan\", date = 2024-02-14, source = \"store-list\" }}\n\
                 description = {{ en = \"{}\", cy = \"{}\" }}\n",
                detail.kind, detail.en, detail.cy
            );
            fs::write(folder.join("record.toml"), text)?;
            fs::write(
                folder.join("en.md"),
                format!("# {}\n\n{}\n", detail.title_en, detail.en),
            )?;
            fs::write(
                folder.join("cy.md"),
                format!("# {}\n\n{}\n", detail.title_cy, detail.cy),
            )?;
        }
    }
    Ok(())
}

fn record(thing: &Thing) -> String {
    let mut out = String::from("format = 1\nwords_rights = \"all\"\n\n[identification]\n");
    let mut line = |text: String| {
        // Writing to a text cannot fail.
        let _ = writeln!(out, "{text}");
    };
    let both = |en: &str, cy: &str| format!("{{ en = \"{en}\", cy = \"{cy}\" }}");
    line(format!("number = \"{}\"", thing.number));
    line(format!("name = {}", both(thing.name.0, thing.name.1)));
    line(format!(
        "date = {}",
        both(
            &format!("about {}", thing.year),
            &format!("tua {}", thing.year)
        )
    ));
    line(format!("place = {}", both(thing.place, thing.place)));
    line(format!(
        "keeper = {}",
        both("Brackwater Museum", "Amgueddfa Brackwater")
    ));
    line("evidence = { ground = \"documented\", by = \"elin-fychan\", date = 2024-02-14, source = \"store-list\" }".to_owned());
    line(format!(
        "\n[label]\nen = \"{}\"\ncy = \"{}\"",
        thing.label_en(),
        thing.label_cy()
    ));
    line(format!(
        "\n[bodies.original]\nlocation = {}",
        both(&thing.shelf_en(), &thing.shelf_cy())
    ));
    line(format!(
        "finish = {}",
        both("Dull and worn", "Pŵl a threuliedig")
    ));
    line("dated = 2024-03-21".to_owned());
    line("\n[[bodies.original.parts]]\nid = \"weight\"\nmodel = \"models/weight.glb\"\nunit = \"m\"\nrights = \"all\"\nsolid = true".to_owned());
    line(format!(
        "name = {}\nmaterial = \"own\"",
        both(thing.name.0, thing.name.1)
    ));
    line(format!(
        "\n[materials.own]\nname = {}",
        both(thing.material.0, thing.material.1)
    ));
    line(format!(
        "density_g_per_cm3 = [{}, {}]",
        thing.material.2, thing.material.3
    ));
    line(
        "evidence = { ground = \"conjectured\", by = \"elin-fychan\", date = 2024-02-14 }"
            .to_owned(),
    );
    line("\n[[rights]]\nid = \"all\"\nholder = \"Amgueddfa Brackwater Museum\"\nstatement = \"https://creativecommons.org/publicdomain/zero/1.0/\"\npermits = [\"display\", \"download\", \"print\"]\nfrom = 2024-02-14".to_owned());
    line("\n[sources.store-list]\ntitle = \"List of the store\"\nlang = \"en\"".to_owned());
    line(format!(
        "\n[[photographs]]\nfile = \"in-the-hand.png\"\nrights = \"all\"\nalt = {}",
        both(
            "A square of plain colour that stands for a photograph.",
            "Sgwâr o liw plaen yn lle ffotograff."
        )
    ));
    out
}

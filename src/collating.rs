//! `counterpart collate`, and stills of what nothing explains.

use crate::terminal::Terminal;
use crate::{CollateArgs, DONE, FAILED, FINDINGS, beside, look, noted};
use counterpart::collate::{csv, plain, ply};
use counterpart::record::BodyKind;
use counterpart::survey::{PUZZLES, Survey};
use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Compares one object and prints it.
pub(crate) fn run(args: &CollateArgs, terminal: &Terminal) -> u8 {
    let found = look(&args.content, None, terminal);
    let own = noted(&found, &args.object, terminal);
    let object = found
        .catalogue
        .as_ref()
        .and_then(|c| c.object(&args.object));
    let (Some(object), Some(geometry)) = (object, found.geometry.get(&args.object)) else {
        let known = found.catalogue.iter().flat_map(|c| &c.objects);
        let names: Vec<String> = known.map(|o| o.id.to_string()).collect();
        terminal.note(&format!(
            "There is no object ‘{}’ that could be read in {}. Objects: {}.",
            args.object,
            args.content.display(),
            names.join(", ")
        ));
        return FINDINGS;
    };
    let Some(collation) = &geometry.collation else {
        terminal.note(&format!("‘{}’ has no replica to compare.", args.object));
        return FINDINGS;
    };
    if args.json {
        let all = found.measured();
        let own = all
            .get(args.object.as_str())
            .unwrap_or(&serde_json::Value::Null);
        terminal.report(&format!("{own:#}"));
    } else {
        terminal.say(&plain(object, geometry).unwrap_or_default());
    }
    let mut written = Ok(());
    if let Some(file) = &args.csv {
        written = written.and_then(|()| put(file, csv(collation).as_bytes()));
    }
    if let Some(folder) = &args.ply {
        written = written.and_then(|()| fs::create_dir_all(folder).map_err(|e| named(folder, e)));
        for part in &collation.parts {
            for body in [BodyKind::Original, BodyKind::Replica] {
                let file = folder.join(format!("{}-{}.ply", body.word(), part.part));
                written = written.and_then(|()| put(&file, &ply(part, body)));
            }
        }
    }
    draw_puzzles(&found, &args.content, terminal);
    match written {
        Err(error) => {
            terminal.note(&error.to_string());
            FAILED
        }
        Ok(()) if own.refuse() => FINDINGS,
        Ok(()) => DONE,
    }
}

fn named(path: &Path, error: io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}

/// Writes beside, syncs, and puts in place by one rename.
fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let part = path.with_extension(format!("{}.part", std::process::id()));
    let write = || -> io::Result<()> {
        let mut file = fs::File::create(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, path)
    };
    write().map_err(|e| named(path, e))
}

/// Draws stills of what nothing explains beside the content folder, and says where they are.
pub(crate) fn draw_puzzles(found: &Survey, content: &Path, terminal: &Terminal) {
    let Some(folder) = beside(content).map(|folder| folder.join("unexplained")) else {
        return;
    };
    for object in found.geometry.keys() {
        take_out(&folder, &format!("{object}-difference-"));
    }
    let puzzles = found.puzzles();
    if puzzles.is_empty() {
        return;
    }
    let mut drawn = Vec::new();
    for puzzle in puzzles {
        let file = folder.join(format!("{}.png", puzzle.name));
        let mut bytes = io::Cursor::new(Vec::new());
        let made = puzzle
            .still
            .write_to(&mut bytes, image::ImageFormat::Png)
            .map_err(io::Error::other)
            .and_then(|()| fs::create_dir_all(&folder))
            .and_then(|()| put(&file, bytes.get_ref()));
        match made {
            Ok(()) => drawn.push(file.display().to_string()),
            Err(error) => terminal.note(&format!("No still of a difference: {error}")),
        }
    }
    terminal.note(&format!(
        "Stills of differences that no note explains (the {PUZZLES} largest of an object at most):\n  {}",
        drawn.join("\n  ")
    ));
}

/// Takes out the stills of an earlier day: what they show is explained by now, or may not be shown any more.
fn take_out(folder: &Path, names: &str) {
    // Where none was ever drawn there is no folder.
    for still in fs::read_dir(folder).into_iter().flatten().flatten() {
        if still.file_name().to_string_lossy().starts_with(names) {
            // One that cannot be removed is drawn over, or stays to be seen.
            let _ = fs::remove_file(still.path());
        }
    }
}

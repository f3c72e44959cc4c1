//! Shapes the models of the demonstration objects and writes them below
//! `content/`, with the places of their details.
//!
//! ```text
//! cargo run --release --example shape_demo            write the files
//! cargo run --release --example shape_demo -- --check compare, write nothing
//! ```
//!
//! The same source writes the same bytes every time on the same kind of
//! machine: seeds are fixed and nothing depends on the order of threads.

#![allow(missing_docs, reason = "a program, not a library")]

mod bodies;
mod face;
mod feet;
mod field;
mod hare;
mod letters;
mod mortar;
mod noise;
mod patina;
mod pestle;
mod places;
mod profile;
mod sculpt;
mod solid;
mod token;
mod turned;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use counterpart::mesh::{GlbFacts, Mesh, NamedMesh, glb_plain};
use serde_json::json;

use mortar::{Body, Mortar};
use pestle::Pestle;
use places::{Surfaces, places, rewrite};
use solid::Solid;
use token::Token;

/// A file and what belongs in it.
type Due = (PathBuf, Vec<u8>);

fn main() -> ExitCode {
    let check = match std::env::args().skip(1).collect::<Vec<_>>().as_slice() {
        [] => false,
        [only] if only == "--check" => true,
        _ => {
            eprintln!("shape_demo: write nothing after its name, or --check");
            return ExitCode::from(2);
        }
    };
    let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    match due(&content).and_then(|files| {
        if check {
            compare(&files)
        } else {
            write(&files)
        }
    }) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("shape_demo: {message}");
            ExitCode::FAILURE
        }
    }
}

/// Everything this program answers for, in a fixed order.
fn due(content: &Path) -> Result<Vec<Due>, String> {
    let mortar = Mortar::new()?;
    let pestle = Pestle::rest_in(&mortar);
    let token = Token::new()?;
    let [original_mortar, replica_mortar] =
        [Body::Original, Body::Replica].map(|b| bodies::mortar(&mortar, b));
    let [original_pestle, replica_pestle] =
        [Body::Original, Body::Replica].map(|b| bodies::pestle(&pestle, b));
    let token_body = token.body();
    let parts = [
        (
            "brackwater-mortar/models/original-mortar.glb",
            "mortar",
            &original_mortar,
        ),
        (
            "brackwater-mortar/models/original-pestle.glb",
            "pestle",
            &original_pestle,
        ),
        (
            "brackwater-mortar/models/replica-mortar.glb",
            "mortar",
            &replica_mortar,
        ),
        (
            "brackwater-mortar/models/replica-pestle.glb",
            "pestle",
            &replica_pestle,
        ),
        (
            "pilgrim-token/models/original-token.glb",
            "token",
            &token_body,
        ),
    ];
    let mut files = Vec::new();
    for (file, name, solid) in parts {
        files.push((
            content.join(file),
            glb(name, solid).map_err(|e| format!("content/{file}: {e}"))?,
        ));
    }
    let on = Surfaces {
        original_mortar: &original_mortar,
        original_pestle: &original_pestle,
        replica_mortar: &replica_mortar,
        token: &token_body,
    };
    for place in places(&mortar, &pestle, &token, &on) {
        let file = content.join(place.folder).join("record.toml");
        let record =
            std::fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        files.push((file, rewrite(&record, &place)?.into_bytes()));
    }
    Ok(files)
}

fn glb(name: &str, solid: &Solid) -> Result<Vec<u8>, String> {
    let mesh = Mesh::new(solid.positions(), solid.triangles.clone())
        .and_then(|mesh| mesh.with_colours(solid.colours.clone()))
        .map_err(|e| e.to_string())?;
    let facts = GlbFacts {
        copyright: Some("Invented for demonstration; made by examples/shape_demo".to_owned()),
        extras: json!({ "invented": true }),
    };
    glb_plain(&[NamedMesh { name, mesh: &mesh }], &facts).map_err(|e| e.to_string())
}

fn write(files: &[Due]) -> Result<(), String> {
    for (file, bytes) in files {
        let named = |e: std::io::Error| format!("{}: {e}", file.display());
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).map_err(named)?;
        }
        std::fs::write(file, bytes).map_err(named)?;
        println!("{} ({} bytes)", file.display(), bytes.len());
    }
    Ok(())
}

fn compare(files: &[Due]) -> Result<(), String> {
    let mut stale = Vec::new();
    for (file, bytes) in files {
        let same = std::fs::read(file).is_ok_and(|there| there == *bytes);
        if !same {
            stale.push(file.display().to_string());
        }
    }
    if stale.is_empty() {
        println!("{} files are as they would be written", files.len());
        return Ok(());
    }
    Err(format!(
        "not as they would be written; run without --check: {}",
        stale.join(", ")
    ))
}

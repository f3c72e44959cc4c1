//! Reading model files: the front door, and the promises that hold for every format.
//!
//! A file is read whole, up to a limit. Counts in a header are checked against the bytes that are
//! there before anything is set aside for them, so that memory stays within a small multiple of
//! the file. A file that cannot be trusted is an error with a remedy, never a panic.

mod accessors;
mod gltf;
mod resources;

use super::{Mesh, MeshError};
use crate::limits::Limits;
use crate::record::LengthUnit;
use glam::Vec3;
use std::fs;
use std::path::Path;

/// Reads a model file into millimetres. Formats: glTF 2.0 as `.glb` or `.gltf`.
///
/// `unit` is the unit of the numbers in the file; for glTF it must be the metre (glTF 2.0,
/// section 3.4).
///
/// # Errors
/// The file cannot be read, is larger than the limits, is of another format, or is damaged.
pub fn read(path: &Path, unit: LengthUnit, limits: &Limits) -> Result<Mesh, MeshError> {
    let ending = path
        .extension()
        .unwrap_or_default()
        .to_string_lossy()
        .to_lowercase();
    match ending.as_str() {
        "glb" | "gltf" => {
            if unit != LengthUnit::Metre {
                return Err(MeshError::new(
                    "glTF files are always in metres",
                    "write unit = \"m\"",
                ));
            }
            let bytes = bytes_of(path, limits)?;
            scaled(gltf::read(&bytes, path.parent(), limits)?, unit)
        }
        other => Err(MeshError::new(
            format!("‘.{other}’ is not a model format that can be read"),
            "export the model as .glb (glTF 2.0 binary)",
        )),
    }
}

/// BLAKE3 digest of the file.
///
/// # Errors
/// The file cannot be read.
pub fn digest(path: &Path) -> Result<[u8; 32], MeshError> {
    fs::read(path)
        .map(|bytes| *blake3::hash(&bytes).as_bytes())
        .map_err(|e| unreadable(&e))
}

fn unreadable(error: &std::io::Error) -> MeshError {
    MeshError::new(
        format!("the file cannot be read: {error}"),
        "check its name, its place and who may read it",
    )
}

fn bytes_of(path: &Path, limits: &Limits) -> Result<Vec<u8>, MeshError> {
    let found = fs::symlink_metadata(path).map_err(|e| unreadable(&e))?;
    if !found.is_file() {
        return Err(MeshError::new(
            "it is not a plain file",
            "put the file itself there, not a link or a folder",
        ));
    }
    if found.len() > limits.model_bytes {
        return Err(MeshError::new(
            format!(
                "the file has {} bytes; at most {} are read",
                found.len(),
                limits.model_bytes
            ),
            "reduce the model, or split it into parts",
        ));
    }
    fs::read(path).map_err(|e| unreadable(&e))
}

/// A mesh of the file's numbers, in millimetres.
fn scaled(mut raw: Raw, unit: LengthUnit) -> Result<Mesh, MeshError> {
    #[expect(clippy::cast_possible_truncation, reason = "1, 10, 25.4 or 1000")]
    let scale = unit.in_mm() as f32;
    for p in &mut raw.positions {
        *p *= scale;
    }
    let mut mesh = Mesh::new(raw.positions, raw.triangles)?;
    if let Some(colours) = raw.colours {
        mesh = mesh.with_colours(colours)?;
    }
    if let Some(texture) = raw.texture {
        mesh = mesh.with_texture(texture)?;
    }
    Ok(mesh)
}

/// What a reader gathers, still in the file's unit and unchecked.
#[derive(Default)]
struct Raw {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    colours: Option<Vec<[u8; 4]>>,
    texture: Option<super::Texture>,
}

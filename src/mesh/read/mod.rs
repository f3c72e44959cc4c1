//! Reading model files: the front door, and the promises that hold for every format.
//!
//! A file is read whole, up to a limit. Counts in a header are checked against the bytes that are
//! there before anything is set aside for them, so that memory stays within a small multiple of
//! the file. A file that cannot be trusted is an error with a remedy, never a panic.

mod accessors;
mod glb;
mod gltf;
mod obj;
mod ply;
mod raw;
mod resources;
mod slopes;
mod stl;
mod textures;
mod threemf;

use super::{Mesh, MeshError};
use crate::limits::Limits;
use crate::record::{LengthUnit, UpAxis};
use crate::steady;
use raw::Raw;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// A model format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// glTF 2.0, `.glb` or `.gltf`: always in metres, +Y up.
    Gltf,
    /// Polygon File Format, `.ply`.
    Ply,
    /// Stereolithography, `.stl`.
    Stl,
    /// Wavefront OBJ, `.obj`, with its MTL.
    Obj,
    /// 3D Manufacturing Format, `.3mf`, which states its unit.
    ThreeMf,
}

impl Format {
    /// The format of a file name's ending.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_string_lossy().to_lowercase();
        Some(match ending.as_str() {
            "glb" | "gltf" => Self::Gltf,
            "ply" => Self::Ply,
            "stl" => Self::Stl,
            "obj" => Self::Obj,
            "3mf" => Self::ThreeMf,
            _ => return None,
        })
    }
}

/// Reads a model file into millimetres, +Y up.
///
/// `unit` is the unit of the numbers in the file and `up` its upward axis. For glTF they must be
/// the metre and Y (glTF 2.0, section 3.4); for 3MF the unit must be the one that it states.
///
/// # Errors
/// The file cannot be read, is larger than the limits, is of another format, or is damaged.
pub fn read(path: &Path, unit: LengthUnit, up: UpAxis, limits: &Limits) -> Result<Mesh, MeshError> {
    let format = Format::of(path).ok_or_else(|| {
        MeshError::new(
            format!(
                "‘{}’ is not a model format that can be read",
                path.display()
            ),
            "save the model as one of: .glb, .gltf, .ply, .stl, .obj, .3mf",
        )
    })?;
    let bytes = bytes_of(path, limits)?;
    read_bytes(&bytes, format, path.parent(), unit, up, limits)
}

/// Reads a model that is in memory; `folder` is where files that it names may lie.
///
/// # Errors
/// As for [`read`].
pub fn read_bytes(
    bytes: &[u8],
    format: Format,
    folder: Option<&Path>,
    unit: LengthUnit,
    up: UpAxis,
    limits: &Limits,
) -> Result<Mesh, MeshError> {
    let raw = match format {
        Format::Gltf if unit != LengthUnit::Metre => {
            return Err(MeshError::new(
                "glTF files are always in metres",
                "write unit = \"m\"",
            ));
        }
        Format::Gltf if up != UpAxis::Y => {
            return Err(MeshError::new(
                "in glTF files +Y is always up",
                "leave ‘up’ out, or write up = \"y\"",
            ));
        }
        Format::Gltf => gltf::read(bytes, folder, limits)?,
        Format::Ply => ply::read(bytes, limits)?,
        Format::Stl => stl::read(bytes, limits)?,
        Format::Obj => obj::read(bytes, folder, limits)?,
        Format::ThreeMf => threemf::read(bytes, unit, limits)?,
    };
    settled(raw, unit, up)
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
    steady::read(path, limits.model_bytes).map_err(|e| unreadable(&e))
}

/// A file that a model names, in the model's own folder or below.
fn beside(name: &str, folder: &Path) -> Result<PathBuf, MeshError> {
    let inside = Path::new(name)
        .components()
        .all(|c| matches!(c, Component::Normal(_)));
    if !inside || name.contains(['\\', ':', '%']) {
        return Err(outside(name));
    }
    let mut path = folder.to_owned();
    for step in Path::new(name).components() {
        path.push(step);
        // A link on the way could lead anywhere.
        if fs::symlink_metadata(&path).is_ok_and(|found| found.file_type().is_symlink()) {
            return Err(MeshError::new(
                format!("‘{name}’ is a link"),
                "put the file itself there",
            ));
        }
    }
    Ok(path)
}

fn outside(name: &str) -> MeshError {
    MeshError::new(
        format!("it points at ‘{name}’, outside its own folder"),
        "export the model as one .glb file, or put the file beside it",
    )
}

fn too_many_triangles(limits: &Limits) -> MeshError {
    MeshError::new(
        format!("the model has more than {} triangles", limits.triangles),
        "reduce the model, or split it into parts",
    )
}

/// A mesh of the file's numbers, in millimetres, +Y up.
fn settled(mut raw: Raw, unit: LengthUnit, up: UpAxis) -> Result<Mesh, MeshError> {
    #[expect(clippy::cast_possible_truncation, reason = "1, 10, 25.4 or 1000")]
    let scale = unit.in_mm() as f32;
    for p in &mut raw.positions {
        *p *= scale;
        if up == UpAxis::Z {
            // A quarter turn about X: Z comes up, Y goes to the back.
            *p = glam::Vec3::new(p.x, p.z, -p.y);
        }
    }
    let mut mesh = Mesh::new(raw.positions, raw.triangles)?;
    if let Some(colours) = raw.colours {
        mesh = mesh.with_colours(colours)?;
    }
    mesh.with_pictures(raw.texture, raw.slopes)
}

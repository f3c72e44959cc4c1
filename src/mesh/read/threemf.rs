//! 3MF (3D Manufacturing Format, Core Specification 1.4.0): a ZIP archive with XML in it.
//!
//! Read are the objects that the build places, with their meshes, components and transforms.
//! Colours and other extensions are passed over, and a file that says it needs one is refused.

mod model;
mod place;

use super::raw::Raw;
use crate::limits::Limits;
use crate::mesh::MeshError;
use crate::record::LengthUnit;
use std::io::{Cursor, Read};

/// An archive of XML text shrinks some ten times; a bomb, a thousand times.
const MOST_UNPACKED: u64 = 100;
/// The part that holds the model when the relationships do not say otherwise.
const USUAL: &str = "3D/3dmodel.model";
const MODEL_RELATIONSHIP: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";

fn damaged(what: impl std::fmt::Display) -> MeshError {
    MeshError::new(
        format!("the 3MF file is damaged: {what}"),
        "export the model again, and check that the archive opens",
    )
}

/// Reads a `.3mf` file. Its own unit must be the one in the record.
pub(super) fn read(bytes: &[u8], unit: LengthUnit, limits: &Limits) -> Result<Raw, MeshError> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let most = (bytes.len() as u64)
        .saturating_mul(MOST_UNPACKED)
        .min(limits.model_bytes);
    let name = model_name(&mut archive, most)?;
    let text = unpack(&mut archive, &name, most)?;
    let model = model::parse(&text, limits)?;
    let in_file = model.unit;
    if (in_file.in_mm - unit.in_mm()).abs() > 1e-9 {
        return Err(MeshError::new(
            format!("the file says that its unit is the {}", in_file.name),
            match in_file.name {
                "millimeter" => "write unit = \"mm\"",
                "centimeter" => "write unit = \"cm\"",
                "meter" => "write unit = \"m\"",
                "inch" => "write unit = \"in\"",
                _ => "export the model again in millimetres, and write unit = \"mm\"",
            },
        ));
    }
    // No placed copy may make more of the file than its size warrants.
    let most_triangles = limits
        .triangles
        .min(bytes.len().saturating_mul(4).max(100_000));
    place::place(&model, most_triangles, limits)
}

/// The name of the model part, from the relationships of the package (Open Packaging Conventions).
fn model_name(
    archive: &mut zip::ZipArchive<Cursor<&[u8]>>,
    most: u64,
) -> Result<String, MeshError> {
    let Ok(relationships) = unpack(archive, "_rels/.rels", most) else {
        return Ok(USUAL.to_owned());
    };
    let named = model::relationship(&relationships, MODEL_RELATIONSHIP)?;
    Ok(named.map_or_else(
        || USUAL.to_owned(),
        |target| target.trim_start_matches('/').to_owned(),
    ))
}

/// One part of the archive, within bounds whatever its header says.
fn unpack(
    archive: &mut zip::ZipArchive<Cursor<&[u8]>>,
    name: &str,
    most: u64,
) -> Result<Vec<u8>, MeshError> {
    let part = archive
        .by_name(name)
        .map_err(|e| damaged(format!("its part ‘{name}’: {e}")))?;
    // Room for what it says it has: a list that grows is held twice while it does.
    let room = usize::try_from(part.size().min(most).saturating_add(1)).unwrap_or(0);
    let mut text = Vec::with_capacity(room);
    part.take(most + 1)
        .read_to_end(&mut text)
        .map_err(|e| damaged(format!("its part ‘{name}’: {e}")))?;
    if text.len() as u64 > most {
        return Err(damaged(format!(
            "its part ‘{name}’ unpacks to more than {MOST_UNPACKED} times the size of the file"
        )));
    }
    Ok(text)
}

//! OBJ with its MTL materials, through the `tobj` crate.
//!
//! Polygons become fans, negative indices count back, vertex colours (three more numbers after
//! x, y and z) and a diffuse texture are kept. The format has no unit.

use super::raw::{Piece, Raw};
use super::{beside, bytes_of};
use crate::limits::Limits;
use crate::mesh::laid::Laid;
use crate::mesh::{MeshError, Texture, to_byte};
use glam::{Vec2, Vec3};
use std::cell::Cell;
use std::io::{self, BufRead, Cursor, Read};
use std::path::Path;
use std::sync::Arc;

const OPTIONS: tobj::LoadOptions = tobj::LoadOptions {
    single_index: true,
    triangulate: true,
    ignore_points: true,
    ignore_lines: true,
};

/// Reads an `.obj` file, in the file's unit. `folder` is where its materials lie.
pub(super) fn read(bytes: &[u8], folder: Option<&Path>, limits: &Limits) -> Result<Raw, MeshError> {
    let mut lines = Counted {
        bytes: Cursor::new(bytes),
        lines: Cell::new(0),
    };
    // A fault of a material file is kept until the shape is known to need it.
    let (models, materials) = tobj::load_obj_buf(&mut lines, &OPTIONS, |name| {
        let found = folder
            .ok_or(tobj::LoadError::OpenFileFailed)
            .and_then(|folder| {
                let name = name.to_str().ok_or(tobj::LoadError::OpenFileFailed)?;
                let path = beside(name, folder).map_err(|_| tobj::LoadError::OpenFileFailed)?;
                bytes_of(&path, limits).map_err(|_| tobj::LoadError::OpenFileFailed)
            })?;
        tobj::load_mtl_buf(&mut Cursor::new(found))
    })
    .map_err(|fault| {
        MeshError::new(
            format!(
                "the OBJ file is damaged at or before line {}: {fault}",
                lines.lines.get()
            ),
            "export the model again, as triangles",
        )
    })?;
    let materials = materials.unwrap_or_default();
    let mut raw = Raw::default();
    for model in models {
        let piece = piece(model.mesh, &materials, folder, limits)?;
        if !piece.triangles.is_empty() {
            raw.add(piece, limits)?;
        }
    }
    Ok(raw)
}

fn piece(
    mesh: tobj::Mesh,
    materials: &[tobj::Material],
    folder: Option<&Path>,
    limits: &Limits,
) -> Result<Piece, MeshError> {
    let positions: Vec<Vec3> = triples(&mesh.positions).collect();
    let material = mesh.material_id.and_then(|id| materials.get(id));
    let own = (mesh.vertex_color.len() == mesh.positions.len() && !mesh.vertex_color.is_empty())
        .then(|| {
            triples(&mesh.vertex_color)
                .map(|c| [to_byte(c.x), to_byte(c.y), to_byte(c.z), 255])
                .collect::<Vec<_>>()
        });
    let picture = material.and_then(|m| m.diffuse_texture.as_deref());
    let texture = match (picture, folder) {
        (Some(name), Some(folder)) if !mesh.texcoords.is_empty() => {
            let path = beside(last_word(name), folder)?;
            let picture =
                crate::picture::decode(&bytes_of(&path, limits)?, limits).map_err(|e| {
                    MeshError::new(
                        format!("its texture ‘{name}’ cannot be used: {e}"),
                        "save the texture as JPEG or PNG beside the model",
                    )
                })?;
            // OBJ counts upward from the lower edge of the picture.
            let mut places: Vec<Vec2> = mesh
                .texcoords
                .as_chunks::<2>()
                .0
                .iter()
                .map(|&[u, v]| Vec2::new(u, 1.0 - v))
                .collect();
            places.resize(positions.len(), Vec2::ZERO);
            Some(Laid::of(Texture {
                places,
                picture: Arc::new(picture),
            })?)
        }
        _ => None,
    };
    let flat = material
        .filter(|_| texture.is_none() && own.is_none())
        .and_then(|m| m.diffuse)
        .map(|c| {
            let c = c.map(to_byte);
            vec![[c[0], c[1], c[2], 255]; positions.len()]
        });
    Ok(Piece {
        triangles: mesh.indices.as_chunks().0.to_vec(),
        colours: own.or(flat),
        texture,
        slopes: None,
        positions,
    })
}

/// The file name of a texture line: options such as `-s 1 1 1` stand before it.
fn last_word(line: &str) -> &str {
    if line.starts_with('-') {
        line.split_whitespace().last().unwrap_or(line)
    } else {
        line
    }
}

fn triples(flat: &[f32]) -> impl Iterator<Item = Vec3> {
    flat.as_chunks::<3>().0.iter().map(|c| Vec3::from_array(*c))
}

/// Counts lines as they are taken, so that a fault can be placed.
struct Counted<'a> {
    bytes: Cursor<&'a [u8]>,
    lines: Cell<usize>,
}

impl Read for Counted<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.bytes.read(into)
    }
}

impl BufRead for Counted<'_> {
    /// Not more than the next line, so that the count runs no further than the reader.
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        let rest = self.bytes.fill_buf()?;
        let line = rest
            .iter()
            .position(|&b| b == b'\n')
            .map_or(rest.len(), |end| end + 1);
        Ok(&rest[..line])
    }

    fn consume(&mut self, amount: usize) {
        self.lines.set(self.lines.get() + usize::from(amount > 0));
        self.bytes.consume(amount);
    }
}

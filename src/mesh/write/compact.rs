//! The compact form, for a visitor's device.

use super::container::{
    ARRAY_BUFFER, BYTE, ELEMENT_ARRAY_BUFFER, METRES, UNSIGNED_INT, UNSIGNED_SHORT, asset, glb,
    linear_u16, material, refuse_empty, vertex_normals,
};
use super::pictures::{Pictures, described, files};
use super::{GlbFacts, NamedMesh};
use crate::mesh::{Mesh, MeshError};
use glam::{Vec2, Vec3};
use serde_json::{Value, json};

/// A compact file and what its grid costs.
#[derive(Debug, Clone)]
pub struct DisplayGlb {
    /// The file.
    pub bytes: Vec<u8>,
    /// Furthest that a vertex was moved by the 16-bit grid, millimetres: half a step in each of
    /// three directions.
    pub quantisation_mm: f64,
}

/// Steps of the grid along the longest edge of a part's box.
const GRID: f32 = 65535.0;

/// One vertex as it stands in the buffer: position and padding, normal and padding (or, of a
/// tangent, its handedness), colour, place on the sheet.
/// All attributes start at multiples of four bytes, as glTF asks (section 3.6.2.4).
#[derive(Clone, Copy, Default)]
#[repr(C)]
struct Position([u16; 4]);
#[derive(Clone, Copy, Default)]
#[repr(C)]
struct Normal([i8; 4]);
#[derive(Clone, Copy, Default)]
#[repr(C)]
struct Colour([u16; 4]);
#[derive(Clone, Copy, Default)]
#[repr(C)]
struct Place([u16; 2]);

/// Writes parts as a compact GLB, with the pictures that lie over them.
///
/// # Errors
/// No parts, more than 4 GiB, or a refusal of the encoder.
pub fn glb_display(
    parts: &[NamedMesh<'_>],
    pictures: Option<&Pictures<'_>>,
    facts: &GlbFacts,
) -> Result<DisplayGlb, MeshError> {
    refuse_empty(parts)?;
    let mut file = File::default();
    let mut meshes = Vec::new();
    let mut nodes = Vec::new();
    let mut quantisation_mm = 0.0f64;
    for (index, part) in parts.iter().enumerate() {
        let grid = Grid::over(part.mesh);
        quantisation_mm = quantisation_mm.max(f64::from(grid.step) * 3f64.sqrt() / 2.0);
        let coloured = pictures.is_none_or(|p| p.colour.is_none());
        meshes.push(file.part(part, &grid, coloured)?);
        let scale = grid.step * METRES * GRID;
        nodes.push(json!({
            "name": part.name, "mesh": index,
            "translation": (grid.origin * METRES).to_array(), "scale": [scale, scale, scale],
        }));
    }
    let used = ["KHR_mesh_quantization", "EXT_meshopt_compression"];
    let first = file.views.len();
    for picture in pictures.iter().flat_map(|p| files(p)) {
        file.binary.resize(file.binary.len().next_multiple_of(4), 0);
        file.views.push(
            json!({ "buffer": 0, "byteOffset": file.binary.len(), "byteLength": picture.len() }),
        );
        file.binary.extend_from_slice(picture);
    }
    let mut document = json!({
        "asset": asset(facts),
        "extensionsUsed": used,
        "extensionsRequired": used,
        "scene": 0,
        "scenes": [{ "nodes": (0..parts.len()).collect::<Vec<_>>() }],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [material()],
        "accessors": file.accessors,
        "bufferViews": file.views,
        "buffers": [
            { "byteLength": file.binary.len() },
            // What the first buffer holds once it is unpacked: never loaded, as both extensions
            // are required.
            { "byteLength": file.unpacked, "extensions": { "EXT_meshopt_compression": { "fallback": true } } },
        ],
    });
    if let Some(pictures) = pictures {
        described(pictures, first, &mut document);
    }
    Ok(DisplayGlb {
        bytes: glb(&document, &file.binary)?,
        quantisation_mm,
    })
}

/// A cubic grid over a part, so that one scale serves all three directions.
struct Grid {
    origin: Vec3,
    /// Millimetres per step.
    step: f32,
}

impl Grid {
    fn over(mesh: &Mesh) -> Self {
        let low = mesh
            .positions()
            .iter()
            .copied()
            .fold(Vec3::INFINITY, Vec3::min);
        let high = mesh
            .positions()
            .iter()
            .copied()
            .fold(Vec3::NEG_INFINITY, Vec3::max);
        let longest = (high - low).max_element().max(f32::MIN_POSITIVE);
        Self {
            origin: low,
            step: longest / GRID,
        }
    }

    fn position(&self, p: Vec3) -> Position {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the grid"
        )]
        let at = ((p - self.origin) / self.step)
            .to_array()
            .map(|v| v.round().clamp(0.0, GRID) as u16);
        Position([at[0], at[1], at[2], 0])
    }
}

#[derive(Default)]
struct File {
    binary: Vec<u8>,
    /// Length of the second, unpacked buffer.
    unpacked: usize,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl File {
    fn part(
        &mut self,
        part: &NamedMesh<'_>,
        grid: &Grid,
        coloured: bool,
    ) -> Result<Value, MeshError> {
        let mesh = part.mesh;
        let count = mesh.positions().len();
        let flat: Vec<u32> = mesh.triangles().iter().flatten().copied().collect();
        let cached = meshopt::optimize_vertex_cache(&flat, count);
        let order = meshopt::optimize_vertex_fetch_remap(&cached, count);
        let indices: Vec<u32> = cached.iter().map(|&i| order[i as usize]).collect();
        let positions: Vec<Position> = mesh.positions().iter().map(|p| grid.position(*p)).collect();
        let positions = reorder(&positions, &order);
        let normals: Vec<Normal> = match part.normals {
            Some(given) if given.len() == count => {
                given.iter().copied().map(small_normal).collect()
            }
            _ => vertex_normals(mesh).into_iter().map(small_normal).collect(),
        };
        let low = (0..3)
            .map(|k| positions.iter().map(|p| p.0[k]).min().unwrap_or(0))
            .collect::<Vec<_>>();
        let high = (0..3)
            .map(|k| positions.iter().map(|p| p.0[k]).max().unwrap_or(0))
            .collect::<Vec<_>>();
        let position = self.vertices(&positions, &json!({
            "componentType": UNSIGNED_SHORT, "normalized": true, "type": "VEC3", "min": low, "max": high
        }))?;
        let normal = self.vertices(
            &reorder(&normals, &order),
            &json!({
                "componentType": BYTE, "normalized": true, "type": "VEC3"
            }),
        )?;
        let mut attributes = json!({ "POSITION": position, "NORMAL": normal });
        if let Some(sheet) = part.sheet {
            let tangents: Vec<Normal> = sheet.tangents.iter().copied().map(tangent).collect();
            let form = json!({ "componentType": BYTE, "normalized": true, "type": "VEC4" });
            attributes["TANGENT"] = json!(self.vertices(&reorder(&tangents, &order), &form)?);
            let places: Vec<Place> = sheet.places.iter().copied().map(place).collect();
            let form =
                json!({ "componentType": UNSIGNED_SHORT, "normalized": true, "type": "VEC2" });
            attributes["TEXCOORD_0"] = json!(self.vertices(&reorder(&places, &order), &form)?);
        }
        if let Some(colours) = mesh.vertex_colours().filter(|_| coloured) {
            // Sixteen bits, since eight of linear light would show steps in dark metal.
            let colours: Vec<Colour> = colours.into_iter().map(|c| Colour(linear_u16(c))).collect();
            let colour =
                json!({ "componentType": UNSIGNED_SHORT, "normalized": true, "type": "VEC4" });
            attributes["COLOR_0"] = json!(self.vertices(&reorder(&colours, &order), &colour)?);
        }
        let indices = self.indices(&indices, count)?;
        Ok(
            json!({ "name": part.name, "primitives": [{ "attributes": attributes, "indices": indices, "material": 0 }] }),
        )
    }

    fn vertices<T>(&mut self, vertices: &[T], accessor: &Value) -> Result<usize, MeshError> {
        let packed = meshopt::encode_vertex_buffer(vertices).map_err(|e| refused(&e))?;
        let stride = size_of::<T>();
        let mut accessor = accessor.clone();
        accessor["count"] = json!(vertices.len());
        Ok(self.view(
            &packed,
            vertices.len(),
            stride,
            "ATTRIBUTES",
            ARRAY_BUFFER,
            accessor,
        ))
    }

    fn indices(&mut self, indices: &[u32], vertices: usize) -> Result<usize, MeshError> {
        let packed = meshopt::encode_index_buffer(indices, vertices).map_err(|e| refused(&e))?;
        let accessor =
            json!({ "componentType": UNSIGNED_INT, "type": "SCALAR", "count": indices.len() });
        Ok(self.view(
            &packed,
            indices.len(),
            4,
            "TRIANGLES",
            ELEMENT_ARRAY_BUFFER,
            accessor,
        ))
    }

    /// Adds a packed buffer view with one accessor over all of it; gives the accessor's number.
    fn view(
        &mut self,
        packed: &[u8],
        count: usize,
        stride: usize,
        mode: &str,
        target: u32,
        mut accessor: Value,
    ) -> usize {
        let unpacked_offset = self.unpacked.next_multiple_of(4);
        let length = count * stride;
        self.unpacked = unpacked_offset + length;
        self.binary.resize(self.binary.len().next_multiple_of(4), 0);
        let mut view = json!({
            "buffer": 1, "byteOffset": unpacked_offset, "byteLength": length, "target": target,
            "extensions": { "EXT_meshopt_compression": {
                "buffer": 0, "byteOffset": self.binary.len(), "byteLength": packed.len(),
                "byteStride": stride, "count": count, "mode": mode,
            } },
        });
        if target == ARRAY_BUFFER {
            view["byteStride"] = json!(stride);
        }
        self.binary.extend_from_slice(packed);
        self.views.push(view);
        accessor["bufferView"] = json!(self.views.len() - 1);
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }
}

fn refused(error: &meshopt::Error) -> MeshError {
    MeshError::new(
        format!("the mesh could not be packed: {error}"),
        "report this model: it should not happen",
    )
}

/// Vertices in the order in which the triangles use them. Vertices that no triangle uses have no
/// place in the order and are left out.
fn reorder<T: Copy + Default>(vertices: &[T], order: &[u32]) -> Vec<T> {
    let used = order
        .iter()
        .filter(|&&to| (to as usize) < vertices.len())
        .count();
    let mut out = vec![T::default(); used];
    for (vertex, &to) in vertices.iter().zip(order) {
        if let Some(slot) = out.get_mut(to as usize) {
            *slot = *vertex;
        }
    }
    out
}

fn small_normal(normal: Vec3) -> Normal {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a unit vector's components times 127"
    )]
    let bytes = normal
        .to_array()
        .map(|c| (c * 127.0).round().clamp(-127.0, 127.0) as i8);
    Normal([bytes[0], bytes[1], bytes[2], 0])
}

fn tangent(along: Vec3) -> Normal {
    let Normal([x, y, z, _]) = small_normal(along);
    Normal([x, y, z, 127])
}

fn place(at: Vec2) -> Place {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the grid"
    )]
    let steps = at
        .to_array()
        .map(|v| (v * GRID).round().clamp(0.0, GRID) as u16);
    Place(steps)
}

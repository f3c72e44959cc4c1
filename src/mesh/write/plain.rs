//! The plain form: floating-point positions, nothing that needs an extension.

use super::container::{
    ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER, FLOAT, METRES, UNSIGNED_INT, UNSIGNED_SHORT, asset, glb,
    linear_u16, material, refuse_empty,
};
use super::{GlbFacts, NamedMesh};
use crate::mesh::MeshError;
use serde_json::{Value, json};

/// Writes parts as a plain GLB: positions in metres, colours as 16-bit linear light.
///
/// # Errors
/// No parts, or more than 4 GiB.
pub fn glb_plain(parts: &[NamedMesh<'_>], facts: &GlbFacts) -> Result<Vec<u8>, MeshError> {
    refuse_empty(parts)?;
    let mut file = File::default();
    let mut meshes = Vec::new();
    for part in parts {
        meshes.push(file.part(part));
    }
    let nodes: Vec<Value> = parts
        .iter()
        .enumerate()
        .map(|(i, part)| json!({ "name": part.name, "mesh": i }))
        .collect();
    let roots: Vec<usize> = (0..parts.len()).collect();
    let document = json!({
        "asset": asset(facts),
        "scene": 0,
        "scenes": [{ "nodes": roots }],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [material()],
        "accessors": file.accessors,
        "bufferViews": file.views,
        "buffers": [{ "byteLength": file.binary.len() }],
    });
    glb(&document, &file.binary)
}

#[derive(Default)]
struct File {
    binary: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl File {
    fn part(&mut self, part: &NamedMesh<'_>) -> Value {
        let mesh = part.mesh;
        let metres: Vec<[f32; 3]> = mesh
            .positions()
            .iter()
            .map(|p| (*p * METRES).to_array())
            .collect();
        let mut low = [f32::INFINITY; 3];
        let mut high = [f32::NEG_INFINITY; 3];
        for p in &metres {
            for k in 0..3 {
                low[k] = low[k].min(p[k]);
                high[k] = high[k].max(p[k]);
            }
        }
        let bytes = metres
            .iter()
            .flatten()
            .flat_map(|c| c.to_le_bytes())
            .collect();
        let mut position = json!({ "componentType": FLOAT, "count": metres.len(), "type": "VEC3" });
        position["min"] = json!(low);
        position["max"] = json!(high);
        let mut attributes = json!({ "POSITION": self.accessor(bytes, ARRAY_BUFFER, position) });
        if let Some(colours) = mesh.vertex_colours() {
            let bytes = colours
                .iter()
                .flat_map(|c| linear_u16(*c))
                .flat_map(u16::to_le_bytes)
                .collect();
            let colour = json!({ "componentType": UNSIGNED_SHORT, "normalized": true, "count": colours.len(), "type": "VEC4" });
            attributes["COLOR_0"] = json!(self.accessor(bytes, ARRAY_BUFFER, colour));
        }
        let bytes = mesh
            .triangles()
            .iter()
            .flatten()
            .flat_map(|i| i.to_le_bytes())
            .collect();
        let index = json!({ "componentType": UNSIGNED_INT, "count": mesh.triangles().len() * 3, "type": "SCALAR" });
        let indices = self.accessor(bytes, ELEMENT_ARRAY_BUFFER, index);
        json!({ "name": part.name, "primitives": [{ "attributes": attributes, "indices": indices, "material": 0 }] })
    }

    /// Adds a buffer view with one accessor over all of it; gives the accessor's number.
    fn accessor(&mut self, bytes: Vec<u8>, target: u32, mut accessor: Value) -> usize {
        let offset = self.binary.len();
        self.views.push(json!({ "buffer": 0, "byteOffset": offset, "byteLength": bytes.len(), "target": target }));
        self.binary.extend_from_slice(&bytes);
        accessor["bufferView"] = json!(self.views.len() - 1);
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }
}

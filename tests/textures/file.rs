//! A glTF file of one node, written out by hand after glTF 2.0.

use base64::encode;
use counterpart::limits::Limits;
use counterpart::mesh::{Format, Mesh, MeshError, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};
use glam::{Vec2, Vec3, Vec4};
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::{Value, json};
use std::io::Cursor;

/// One primitive.
#[derive(Clone, Default)]
pub(super) struct Primitive {
    /// Metres.
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u16; 3]>,
    pub(super) places: Vec<Vec2>,
    pub(super) normals: Option<Vec<Vec3>>,
    pub(super) tangents: Option<Vec<Vec4>>,
    pub(super) colour: Option<RgbImage>,
    pub(super) slopes: Option<RgbImage>,
    /// What is added to the reference of each picture, as `scale` or an extension.
    pub(super) more: Value,
}

/// The file of these primitives under a node with more members.
pub(super) fn file(primitives: &[Primitive], node: Value) -> Vec<u8> {
    let mut bytes: Vec<u8> = Vec::new();
    let (mut views, mut accessors, mut images) = (vec![], vec![], vec![]);
    let (mut materials, mut parts) = (vec![], vec![]);
    let floats = |rows: &[&[f32]]| -> Vec<u8> {
        let all = rows.iter().flat_map(|row| row.iter());
        all.flat_map(|v| v.to_le_bytes()).collect()
    };
    for one in primitives {
        let mut put = |data: Vec<u8>, kind: &str, component: u32, count: usize| {
            views.push(json!({ "buffer": 0, "byteOffset": bytes.len(), "byteLength": data.len() }));
            accessors.push(
                json!({ "bufferView": views.len() - 1, "componentType": component,
                "count": count, "type": kind, "min": [-9, -9, -9], "max": [9, 9, 9] }),
            );
            if !kind.ends_with('3') {
                let accessor = accessors.last_mut().and_then(Value::as_object_mut);
                accessor.map(|a| (a.remove("min"), a.remove("max")));
            }
            bytes.extend(data);
            while !bytes.len().is_multiple_of(4) {
                bytes.push(0);
            }
            accessors.len() - 1
        };
        let count = one.positions.len();
        let triples = |all: &[Vec3]| {
            floats(
                &all.iter()
                    .map(|v| v.as_ref()[..].as_ref())
                    .collect::<Vec<_>>(),
            )
        };
        let mut attributes = json!({
            "POSITION": put(triples(&one.positions), "VEC3", 5126, count),
            "TEXCOORD_0": put(
                floats(&one.places.iter().map(|v| v.as_ref()[..].as_ref()).collect::<Vec<_>>()),
                "VEC2", 5126, count),
        });
        if let Some(normals) = &one.normals {
            attributes["NORMAL"] = json!(put(triples(normals), "VEC3", 5126, count));
        }
        if let Some(tangents) = &one.tangents {
            let rows: Vec<&[f32]> = tangents.iter().map(|v| v.as_ref()[..].as_ref()).collect();
            attributes["TANGENT"] = json!(put(floats(&rows), "VEC4", 5126, count));
        }
        let order: Vec<u8> = one
            .triangles
            .iter()
            .flatten()
            .flat_map(|i| i.to_le_bytes())
            .collect();
        let indices = put(order, "SCALAR", 5123, one.triangles.len() * 3);
        let mut material = json!({ "pbrMetallicRoughness": {} });
        let mut picture = |picture: &RgbImage| {
            let mut file = Cursor::new(Vec::new());
            picture.write_to(&mut file, ImageFormat::Png).unwrap();
            let data = format!("data:image/png;base64,{}", encode(file.into_inner()));
            images.push(json!({ "uri": data }));
            let mut info = json!({ "index": images.len() - 1 });
            for (key, value) in one.more.as_object().into_iter().flatten() {
                info[key] = value.clone();
            }
            info
        };
        if let Some(colour) = &one.colour {
            material["pbrMetallicRoughness"]["baseColorTexture"] = picture(colour);
        }
        if let Some(slopes) = &one.slopes {
            material["normalTexture"] = picture(slopes);
        }
        materials.push(material);
        parts.push(json!({ "attributes": attributes, "indices": indices,
            "material": materials.len() - 1 }));
    }
    let mut whole = node;
    whole["mesh"] = json!(0);
    let textures: Vec<Value> = (0..images.len()).map(|i| json!({ "source": i })).collect();
    let data = format!("data:application/octet-stream;base64,{}", encode(&bytes));
    let mut document = json!({
        "asset": { "version": "2.0" }, "scene": 0, "scenes": [{ "nodes": [0] }], "nodes": [whole],
        "meshes": [{ "primitives": parts }], "materials": materials, "accessors": accessors,
        "bufferViews": views, "buffers": [{ "byteLength": bytes.len(), "uri": data }],
    });
    if !images.is_empty() {
        document["images"] = json!(images);
        document["textures"] = json!(textures);
    }
    serde_json::to_vec(&document).unwrap()
}

pub(super) fn read(
    primitives: &[Primitive],
    node: Value,
    limits: &Limits,
) -> Result<Mesh, MeshError> {
    let bytes = file(primitives, node);
    read_bytes(
        &bytes,
        Format::Gltf,
        None,
        LengthUnit::Metre,
        UpAxis::Y,
        limits,
    )
}

/// A picture of normals: −1 to 1 as 0 to 255 (glTF 2.0, section 3.9.3).
pub(super) fn drawn(width: u32, height: u32, normal: impl Fn(u32, u32) -> Vec3) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let byte = |c: f32| ((c + 1.0) / 2.0 * 255.0).round() as u8;
        Rgb(normal(x, y).normalize().to_array().map(byte))
    })
}

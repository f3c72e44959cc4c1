//! A display model as a visitor's device unpacks it (`EXT_meshopt_compression` by the library of
//! record, `KHR_mesh_quantization` by the scale of its node), in millimetres.

use counterpart::mesh::Mesh;
use glam::Vec3;
use serde_json::Value;

pub(crate) fn unpacked(glb: &[u8]) -> Mesh {
    let number = |at: usize| u32::from_le_bytes(glb[at..at + 4].try_into().unwrap()) as usize;
    let length = number(12);
    let json: Value = serde_json::from_slice(&glb[20..20 + length]).unwrap();
    let binary = &glb[28 + length..];
    let packed = |accessor: &Value| {
        let accessor = &json["accessors"][accessor.as_u64().unwrap() as usize];
        let view = &json["bufferViews"][accessor["bufferView"].as_u64().unwrap() as usize];
        let view = &view["extensions"]["EXT_meshopt_compression"];
        let whole = |key: &str| view[key].as_u64().unwrap_or(0) as usize;
        let bytes = &binary[whole("byteOffset")..whole("byteOffset") + whole("byteLength")];
        (bytes, whole("count"), whole("byteStride"))
    };
    let (mut positions, mut triangles) = (Vec::new(), Vec::new());
    for node in json["nodes"].as_array().unwrap() {
        let three = |key: &str| {
            let of = |i: usize| node[key][i].as_f64().unwrap() as f32;
            Vec3::new(of(0), of(1), of(2))
        };
        let (shift, scale) = (three("translation"), three("scale"));
        let mesh = &json["meshes"][node["mesh"].as_u64().unwrap() as usize];
        for primitive in mesh["primitives"].as_array().unwrap() {
            let first = u32::try_from(positions.len()).unwrap();
            let accessor = &primitive["attributes"]["POSITION"];
            let (bytes, count, stride) = packed(accessor);
            assert_eq!(stride, 8);
            // Normalised: a step of the grid is a part of 65,535.
            let of = &json["accessors"][accessor.as_u64().unwrap() as usize];
            let part = if of["normalized"] == true {
                65535.0
            } else {
                1.0
            };
            let places: Vec<[u16; 4]> = meshopt::decode_vertex_buffer(bytes, count).unwrap();
            positions.extend(places.iter().map(|p| {
                let p = Vec3::new(f32::from(p[0]), f32::from(p[1]), f32::from(p[2])) / part;
                (p * scale + shift) * 1000.0
            }));
            let (bytes, count, stride) = packed(&primitive["indices"]);
            let indices: Vec<u32> = match stride {
                2 => {
                    let short: Vec<u16> = meshopt::decode_index_buffer(bytes, count).unwrap();
                    short.into_iter().map(u32::from).collect()
                }
                _ => meshopt::decode_index_buffer(bytes, count).unwrap(),
            };
            triangles.extend(
                indices
                    .chunks_exact(3)
                    .map(|t| [t[0] + first, t[1] + first, t[2] + first]),
            );
        }
    }
    Mesh::new(positions, triangles).unwrap()
}

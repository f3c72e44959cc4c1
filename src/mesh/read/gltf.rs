//! glTF 2.0: the nodes of the default scene, flattened into one mesh.

use super::raw::{Piece, Raw};
use super::slopes::{self, Given};
use super::textures::{Gallery, Moved};
use super::{accessors, glb, resources};
use crate::limits::Limits;
use crate::mesh::laid::Laid;
use crate::mesh::{MeshError, Texture};
use crate::mesh::{linear_to_srgb, to_byte};
use glam::{Mat3, Mat4, Vec3, Vec4};
use gltf::mesh::Mode;
use gltf::{Document, Semantic, json};
use std::path::Path;

/// Extensions that this reader honours, or that change nothing it reads.
const KNOWN: [&str; 6] = [
    "KHR_mesh_quantization",
    "KHR_materials_unlit",
    "KHR_materials_specular",
    "KHR_materials_ior",
    "KHR_materials_emissive_strength",
    "KHR_texture_transform",
];

/// Deepest nesting of nodes.
const DEEPEST: usize = 64;

pub(super) fn damaged(what: &str) -> MeshError {
    MeshError::new(
        format!("the glTF file is damaged: {what}"),
        "export the model again as .glb, and check it with a glTF validator",
    )
}

/// Reads a `.glb` or `.gltf` file, in metres.
pub(super) fn read(bytes: &[u8], folder: Option<&Path>, limits: &Limits) -> Result<Raw, MeshError> {
    let (document, blob) = parse(bytes)?;
    let buffers = resources::buffers(&document, blob, folder, limits)?;
    let mut reading = Reading {
        buffers: &buffers,
        limits,
        raw: Raw::default(),
        pictures: Gallery::new(&buffers, folder, limits),
        seen: vec![false; document.nodes().count()],
    };
    let scene = document
        .default_scene()
        .or_else(|| document.scenes().next());
    match scene {
        Some(scene) => {
            for node in scene.nodes() {
                reading.node(&node, Mat4::IDENTITY, 0)?;
            }
        }
        None => {
            for mesh in document.meshes() {
                reading.mesh(&mesh, Mat4::IDENTITY)?;
            }
        }
    }
    Ok(reading.raw)
}

fn parse(bytes: &[u8]) -> Result<(Document, Option<Vec<u8>>), MeshError> {
    let (text, blob) = if bytes.starts_with(b"glTF") {
        let (text, binary) = glb::chunks(bytes)?;
        (text, binary.map(<[u8]>::to_vec))
    } else {
        (bytes, None)
    };
    let mut root: json::Root =
        json::deserialize::from_slice(text).map_err(|e| damaged(&e.to_string()))?;
    root.extensions_required
        .retain(|name| !KNOWN.contains(&name.as_str()));
    if let Some(unknown) = root.extensions_required.first() {
        return Err(MeshError::new(
            format!("the file needs the glTF extension {unknown}, which is not read"),
            "export it again without compression and without special extensions",
        ));
    }
    accessors_exist(&root)?;
    pictures_lie_somewhere(&root)?;
    let document = Document::from_json(root).map_err(|e| damaged(&e.to_string()))?;
    Ok((document, blob))
}

/// The checks of the `gltf` crate look positions up by number before they have looked whether the
/// number exists.
fn accessors_exist(root: &json::Root) -> Result<(), MeshError> {
    let primitives = root.meshes.iter().flat_map(|mesh| &mesh.primitives);
    let named = primitives.flat_map(|p| p.attributes.values().chain(&p.indices));
    let count = root.accessors.len();
    match named
        .map(json::Index::value)
        .find(|&number| number >= count)
    {
        Some(number) => Err(damaged(&format!(
            "a mesh names accessor {number} of {count}"
        ))),
        None => Ok(()),
    }
}

/// The `gltf` crate takes it for granted that a picture has an address, or a place in a buffer and a
/// type.
fn pictures_lie_somewhere(root: &json::Root) -> Result<(), MeshError> {
    let nowhere = |image: &json::Image| match image.buffer_view {
        Some(_) => image.mime_type.is_none(),
        None => image.uri.is_none(),
    };
    match root.images.iter().position(nowhere) {
        Some(number) => Err(damaged(&format!("picture {number} lies nowhere"))),
        None => Ok(()),
    }
}

struct Reading<'a> {
    buffers: &'a [Vec<u8>],
    limits: &'a Limits,
    raw: Raw,
    pictures: Gallery<'a>,
    seen: Vec<bool>,
}

impl Reading<'_> {
    fn node(&mut self, node: &gltf::Node<'_>, parent: Mat4, depth: usize) -> Result<(), MeshError> {
        if depth > DEEPEST {
            return Err(damaged("its nodes are nested too deeply"));
        }
        if std::mem::replace(&mut self.seen[node.index()], true) {
            return Err(damaged("a node has two parents or is its own ancestor"));
        }
        let here = parent * Mat4::from_cols_array_2d(&node.transform().matrix());
        if let Some(mesh) = node.mesh() {
            self.mesh(&mesh, here)?;
        }
        for child in node.children() {
            self.node(&child, here, depth + 1)?;
        }
        Ok(())
    }

    fn mesh(&mut self, mesh: &gltf::Mesh<'_>, place: Mat4) -> Result<(), MeshError> {
        for primitive in mesh.primitives() {
            if matches!(
                primitive.mode(),
                Mode::Triangles | Mode::TriangleStrip | Mode::TriangleFan
            ) {
                self.primitive(&primitive, place)?;
            }
        }
        Ok(())
    }

    fn primitive(&mut self, primitive: &gltf::Primitive<'_>, place: Mat4) -> Result<(), MeshError> {
        let accessor = primitive
            .get(&Semantic::Positions)
            .ok_or_else(|| damaged("a mesh has no positions"))?;
        let local = accessors::floats::<3>(&accessor, self.buffers, 0.0)?;
        let count = local.len();
        let order = match primitive.indices() {
            Some(accessor) => accessors::indices(&accessor, self.buffers)?,
            None => (0..u32::try_from(count).map_err(|_| damaged("it has too many vertices"))?)
                .collect(),
        };
        if order.iter().any(|&i| i as usize >= count) {
            return Err(damaged("a triangle names a vertex that does not exist"));
        }
        let mut triangles = triangles(&order, primitive.mode());
        if place.determinant() < 0.0 {
            // A mirrored node turns the surface inside out (section 3.7.4).
            triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        let mut piece = Piece {
            positions: local
                .iter()
                .map(|p| place.transform_point3(Vec3::from_array(*p)))
                .collect(),
            triangles,
            colours: self.colours(primitive, count)?,
            texture: self.texture(primitive, count)?.map(Laid::of).transpose()?,
            slopes: None,
        };
        if let Some(given) = self.normal_map(primitive, count)?
            && !piece.triangles.is_empty()
        {
            slopes::lay(&mut piece, given, Mat3::from_mat4(place))?;
        }
        self.raw.add(piece, self.limits)
    }

    /// Vertex colours times the material's factor.
    fn colours(
        &self,
        primitive: &gltf::Primitive<'_>,
        count: usize,
    ) -> Result<Option<Vec<[u8; 4]>>, MeshError> {
        let factor = primitive
            .material()
            .pbr_metallic_roughness()
            .base_color_factor();
        let mut linear = match primitive.get(&Semantic::Colors(0)) {
            Some(accessor) => accessors::floats::<4>(&accessor, self.buffers, 1.0)?,
            None if factor != [1.0; 4] => vec![[1.0; 4]; count],
            None => return Ok(None),
        };
        linear.resize(count, [1.0; 4]);
        let seen = |own: &[f32; 4]| srgb_bytes(&std::array::from_fn(|k| own[k] * factor[k]));
        Ok(Some(linear.iter().map(seen).collect()))
    }

    /// The picture of the material's colours, and where the vertices lie on it.
    fn texture(
        &mut self,
        primitive: &gltf::Primitive<'_>,
        count: usize,
    ) -> Result<Option<Texture>, MeshError> {
        let surface = primitive.material().pbr_metallic_roughness();
        let Some(info) = surface.base_color_texture() else {
            return Ok(None);
        };
        let moved = Moved::of(info.extension_value(Moved::NAME))?;
        let places = moved.places(primitive, info.tex_coord(), count, self.buffers)?;
        let picture = self.pictures.one(&info.texture().source())?;
        Ok(Some(Texture { places, picture }))
    }

    /// The material's normal map, and the directions that the file has for it.
    fn normal_map(
        &mut self,
        primitive: &gltf::Primitive<'_>,
        count: usize,
    ) -> Result<Option<Given>, MeshError> {
        let Some(info) = primitive.material().normal_texture() else {
            return Ok(None);
        };
        let moved = Moved::of(info.extension_value(Moved::NAME))?;
        let places = moved.places(primitive, info.tex_coord(), count, self.buffers)?;
        let picture = self.pictures.one(&info.texture().source())?;
        let normals = match primitive.get(&Semantic::Normals) {
            Some(accessor) => Some(accessors::floats::<3>(&accessor, self.buffers, 0.0)?),
            None => None,
        };
        let tangents = match primitive.get(&Semantic::Tangents) {
            Some(accessor) => Some(accessors::floats::<4>(&accessor, self.buffers, 1.0)?),
            None => None,
        };
        let same = |given: Option<usize>| given.is_none_or(|given| given == count);
        if !same(normals.as_ref().map(Vec::len)) || !same(tangents.as_ref().map(Vec::len)) {
            return Err(damaged(
                "it has not as many normals or tangents as vertices",
            ));
        }
        Ok(Some(Given {
            texture: Texture { places, picture },
            scale: info.scale(),
            normals: normals.map(|all| all.into_iter().map(Vec3::from_array).collect()),
            tangents: tangents.map(|all| all.into_iter().map(Vec4::from_array).collect()),
        }))
    }
}

fn srgb_bytes(linear: &[f32; 4]) -> [u8; 4] {
    let [r, g, b, a] = *linear;
    let byte = |v: f32| to_byte(linear_to_srgb(v.clamp(0.0, 1.0)));
    [byte(r), byte(g), byte(b), to_byte(a)]
}

/// Triangles of an index list (section 3.7.2.1); a strip turns every other triangle about.
fn triangles(order: &[u32], mode: Mode) -> Vec<[u32; 3]> {
    match mode {
        Mode::TriangleStrip => order
            .windows(3)
            .enumerate()
            .map(|(i, w)| {
                if i % 2 == 0 {
                    [w[0], w[1], w[2]]
                } else {
                    [w[1], w[0], w[2]]
                }
            })
            .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
            .collect(),
        Mode::TriangleFan => match order.split_first() {
            Some((&hub, rest)) => rest.windows(2).map(|w| [hub, w[0], w[1]]).collect(),
            None => Vec::new(),
        },
        _ => order.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect(),
    }
}

//! glTF binary files (Khronos glTF 2.0, section 4.4): plain for keeping, compact for display.
//!
//! Both are in metres, +Y up, one node and mesh per part. The compact form has positions on a
//! 16-bit grid (KHR_mesh_quantization) and compressed buffers (EXT_meshopt_compression).

mod compact;
mod container;
mod pictures;
mod plain;

pub use compact::{DisplayGlb, glb_display};
pub(crate) use container::{glb_filled, vertex_normals};
pub use pictures::Pictures;
pub use plain::glb_plain;

use super::Mesh;

/// A part and its name.
#[derive(Debug, Clone, Copy)]
pub struct NamedMesh<'a> {
    /// Name of the node and mesh.
    pub name: &'a str,
    /// Its surface.
    pub mesh: &'a Mesh,
    /// Unit normals for the compact form, one per vertex; computed from the mesh when `None`.
    pub normals: Option<&'a [glam::Vec3]>,
    /// Where the vertices lie on the pictures of the compact form.
    pub sheet: Option<OnSheet<'a>>,
}

impl<'a> NamedMesh<'a> {
    /// A part without normals of its own, on no sheet.
    pub fn new(name: &'a str, mesh: &'a Mesh) -> Self {
        Self {
            name,
            mesh,
            normals: None,
            sheet: None,
        }
    }
}

/// Places on a sheet, one of each per vertex.
#[derive(Debug, Clone, Copy)]
pub struct OnSheet<'a> {
    /// 0..1, (0, 0) the top left corner.
    pub places: &'a [glam::Vec2],
    /// Unit vectors along which the sheet runs to the right. Normal × tangent runs up.
    pub tangents: &'a [glam::Vec3],
}

/// Facts that travel inside the file.
#[derive(Debug, Clone, Default)]
pub struct GlbFacts {
    /// Credit line, `asset.copyright`.
    pub copyright: Option<String>,
    /// `asset.extras`; must be an object, or null for none.
    pub extras: serde_json::Value,
}

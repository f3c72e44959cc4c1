//! glTF binary files (Khronos glTF 2.0, section 4.4): plain for keeping, compact for display.
//!
//! Both are in metres, +Y up, one node and mesh per part. The compact form has positions on a
//! 16-bit grid (KHR_mesh_quantization) and compressed buffers (EXT_meshopt_compression).

mod compact;
mod container;
mod plain;

pub use compact::{DisplayGlb, glb_display};
pub(crate) use container::vertex_normals;
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
}

/// Facts that travel inside the file.
#[derive(Debug, Clone, Default)]
pub struct GlbFacts {
    /// Credit line, `asset.copyright`.
    pub copyright: Option<String>,
    /// `asset.extras`; must be an object, or null for none.
    pub extras: serde_json::Value,
}

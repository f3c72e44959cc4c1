//! Triangles in millimetres: read, measured, written.
//!
//! Takes a model file and its unit; hands on a [`Mesh`] in which every index is in range and
//! every coordinate finite, in millimetres, +Y up. Refuses what it cannot trust, with a remedy.
//! Holes, doubled surfaces and the like are not faults of a file: they are kept and can be
//! measured.

mod around;
mod colour;
mod digest;
mod laid;
mod measure;
mod read;
#[cfg(test)]
pub(crate) mod shapes;
mod triangles;
mod weld;
mod write;

pub(crate) use around::FacesAround;
pub(crate) use colour::{linear_to_srgb, srgb_to_linear, to_byte};
pub(crate) use laid::Between;
pub use laid::{Frame, NormalMap, Texture};
pub(crate) use measure::Sets;
pub use measure::{
    Curvature, EdgeFlaws, Measures, Opening, Shell, Solid, Spot, Volume, Wall, Whole, area_mm2,
    curvature, edge_flaws, is_closed, measure, openings, shells, signed_volume_mm3, solid, whole,
};
pub use read::{Format, read, read_bytes};
pub use triangles::{Bounds, Mesh, MeshError};
pub use weld::{Welded, weld};
pub use write::{DisplayGlb, GlbFacts, NamedMesh, OnSheet, Pictures, glb_display, glb_plain};
pub(crate) use write::{glb_filled, vertex_normals};

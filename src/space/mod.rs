//! A bounding-volume tree over the triangles of a mesh: closest points and rays.
//!
//! Takes a [`Mesh`](crate::mesh::Mesh); hands on a [`Tree`] that answers in double precision.
//! The hierarchy is built by `obvhs` (surface-area heuristic); the triangle geometry is ours.

mod along;
mod anchor;
mod closest;
mod flaws;
mod lattice;
mod machine;
mod packs;
mod pair;
mod rays;
mod signed;
mod tree;
mod triangle;
mod wide;

pub use along::Crossed;
pub use anchor::{Anchored, OffSurface, snap};
pub use closest::Closest;
pub use flaws::{Crossing, Doubled, crossings, doubled_skins};
pub(crate) use lattice::lattice;
pub use pair::{Apart, between_triangles};
pub use signed::{Sides, Signed};
pub use tree::{Hit, Tree};
pub use triangle::{Nearest, closest_on_triangle, ray_triangle};

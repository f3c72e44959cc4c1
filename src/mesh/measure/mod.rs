//! What a mesh is, in numbers: extent, area, volume, inertia, and the flaws that scanning leaves.
//!
//! Everything is in double precision, millimetres. Connections are those of the welded mesh, in
//! which vertices at the very same place are one. Flaws that need a search tree (doubled skins,
//! crossings) are in `space`.

mod curvature;
mod edges;
mod loops;
mod shells;
mod solid;
mod whole;

pub use curvature::{Curvature, Wall, curvature};
pub use edges::{EdgeFlaws, edge_flaws};
pub use loops::{Opening, openings};
pub(crate) use shells::Sets;
pub use shells::{Shell, shells};
pub use solid::{Solid, Volume, area_mm2, signed_volume_mm3, solid};
pub use whole::{Whole, whole};

use super::{Bounds, Mesh, weld};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A place on the surface that a page or a picture can show.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    /// Millimetres, in the object's frame.
    pub centre: DVec3,
    /// Radius of a ball around all of it, millimetres.
    pub radius_mm: f64,
}

impl Spot {
    /// The ball around the middle of the box around these points.
    pub fn around(points: impl Iterator<Item = DVec3> + Clone) -> Self {
        let (low, high) = points
            .clone()
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| {
                (low.min(p), high.max(p))
            });
        let centre = (low + high) / 2.0;
        let radius_mm = points.map(|p| p.distance(centre)).fold(0.0, f64::max);
        Self { centre, radius_mm }
    }
}

/// Everything about one mesh that needs no search tree.
#[derive(Debug, Clone)]
pub struct Measures {
    /// Vertices of the file that triangles use.
    pub vertices: usize,
    /// Triangles of the file.
    pub triangles: usize,
    /// Upright box, millimetres.
    pub bounds: Bounds,
    /// Area of all triangles, square millimetres.
    pub area_mm2: f64,
    /// What the surface encloses.
    pub volume: Volume,
    /// Mass properties of what it encloses, when that is known.
    pub solid: Option<Solid>,
    /// Mean length of an edge, millimetres.
    pub mean_edge_mm: f64,
    /// Edges that do not join exactly two triangles in opposite senses, and worthless triangles.
    pub edges: EdgeFlaws,
    /// Boundary loops, the longest first.
    pub openings: Vec<Opening>,
    /// Connected pieces, the largest first.
    pub shells: Vec<Shell>,
}

impl Measures {
    /// Triangles per square millimetre.
    pub fn density_per_mm2(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        let count = self.triangles as f64;
        count / self.area_mm2.max(f64::MIN_POSITIVE)
    }

    /// Whether the surface has neither openings nor edges of three or more triangles, and every
    /// edge is run along once in each sense.
    pub fn is_closed(&self) -> bool {
        self.openings.is_empty()
            && self.edges.non_manifold.is_empty()
            && self.edges.ill_wound.is_empty()
    }
}

/// Measures a mesh. `None` never occurs for a mesh with a triangle; see [`Mesh::bounds`].
pub fn measure(mesh: &Mesh) -> Option<Measures> {
    let bounds = mesh.bounds()?;
    let welded = weld(mesh);
    let (edges, table) = edges::examine(&welded);
    let openings = loops::trace(&welded, &table, solid::origin(mesh));
    let closed = openings.is_empty() && edges.non_manifold.is_empty() && edges.ill_wound.is_empty();
    let found = solid::solid(mesh);
    let volume = solid::volume(found.volume_mm3, closed, &edges, &openings);
    let mut used = vec![false; mesh.positions().len()];
    for corner in mesh.triangles().iter().flatten() {
        used[*corner as usize] = true;
    }
    Some(Measures {
        vertices: used.into_iter().filter(|u| *u).count(),
        triangles: mesh.triangles().len(),
        bounds,
        area_mm2: area_mm2(mesh),
        solid: matches!(volume, Volume::Closed { .. }).then_some(found),
        volume,
        mean_edge_mm: table.mean_length(&welded),
        shells: shells::gather(&welded),
        edges,
        openings,
    })
}

/// Whether every edge is shared by exactly two triangles that run along it in opposite senses.
pub fn is_closed(mesh: &Mesh) -> bool {
    let welded = weld(mesh);
    let (flaws, table) = edges::examine(&welded);
    flaws.non_manifold.is_empty()
        && flaws.ill_wound.is_empty()
        && loops::trace(&welded, &table, DVec3::ZERO).is_empty()
}

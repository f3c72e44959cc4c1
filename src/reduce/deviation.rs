//! How far two surfaces are from one another: a bound that holds, and what is usual.
//!
//! The distance to one triangle is a convex function (Boyd and Vandenberghe, *Convex
//! Optimization*, 2004, section 3.2.5: the distance to a convex set), so over a piece of the other
//! surface it is greatest at a corner. The distance to the whole surface is nowhere more than the
//! distance to any one of its triangles. Pieces whose bound is not yet good enough are quartered.

use super::Focus;
use crate::mesh::Mesh;
use crate::space::{Tree, closest_on_triangle};
use glam::DVec3;
use rayon::prelude::*;

/// Distances between two surfaces, from both sides.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Deviation {
    /// Nowhere is either surface further from the other, millimetres.
    pub max_mm: f64,
    /// The largest distance that was met, millimetres; the truth lies between it and `max_mm`.
    pub met_mm: f64,
    /// Root mean square over the area, millimetres.
    pub rms_mm: f64,
    /// 95 per cent of the area is nearer than this, millimetres.
    pub p95_mm: f64,
    /// Points measured.
    pub samples: usize,
}

/// Deviation of everything, and of what lies inside the details.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Measured {
    /// All of both surfaces.
    pub whole: Deviation,
    /// The pieces of both that touch a detail; `None` when none does.
    pub inside: Option<Deviation>,
}

/// The bound may exceed the largest distance met by this share of it, or by this share of the step
/// between samples, whichever is more.
const SLACK: f64 = 0.05;
/// Samples along a usual triangle of the coarser surface, at most.
const DENSE: f64 = 8.0;
/// A piece is quartered at most so often; what is left then counts with its own bound.
const DEEPEST: u32 = 10;

/// Measures how far `a`, with its tree, and `b` are from one another.
pub fn deviation(a: &Mesh, tree_a: &Tree, b: &Mesh, focuses: &[Focus]) -> Measured {
    let tree_b = &Tree::build(b);
    let mean = |mesh: &Mesh| {
        #[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
        let count = mesh.triangles().len() as f64;
        (crate::mesh::area_mm2(mesh) / count.max(1.0)).sqrt()
    };
    // Samples of both surfaces as dense as the finer of the two, but no more than a few dozen on
    // a usual triangle of the coarser: where more are needed, the bound asks for them.
    let (fine, coarse) = (mean(a).min(mean(b)), mean(a).max(mean(b)));
    let step = fine.max(coarse / DENSE).max(f64::MIN_POSITIVE);
    let mut all = Vec::new();
    for (from, to, tree) in [(a, b, tree_b), (b, a, tree_a)] {
        all.extend(one_way(from, to, tree, step, focuses));
    }
    let inside: Vec<&Face> = all.iter().filter(|f| f.inside).collect();
    Measured {
        inside: (!inside.is_empty()).then(|| gather(&inside)),
        whole: gather(&all.iter().collect::<Vec<_>>()),
    }
}

/// What was measured on one triangle.
struct Face {
    /// Distance and share of the area, square millimetres.
    samples: Vec<(f64, f64)>,
    bound: f64,
    inside: bool,
}

fn one_way(from: &Mesh, to: &Mesh, tree: &Tree, step: f64, focuses: &[Focus]) -> Vec<Face> {
    let count = u32::try_from(from.triangles().len()).unwrap_or(u32::MAX);
    let ruler = Ruler {
        to,
        tree,
        floor: step * SLACK,
    };
    let mut faces: Vec<Face> = (0..count)
        .into_par_iter()
        .map(|face| ruler.sample(from.corners(face), step, focuses))
        .collect();
    let met = |wanted: &dyn Fn(&Face) -> bool| {
        let chosen = faces.iter().filter(|f| wanted(f));
        chosen
            .flat_map(|f| &f.samples)
            .map(|s| s.0)
            .fold(0.0, f64::max)
    };
    // Where the coarse pieces of a triangle do not prove enough, finer ones must: each group has
    // its own maximum to be proved.
    let whole = ruler.enough(met(&|_| true));
    let inside = ruler.enough(met(&|f| f.inside));
    faces.par_iter_mut().enumerate().for_each(|(face, found)| {
        let enough = if found.inside { inside } else { whole };
        if found.bound > enough {
            #[expect(clippy::cast_possible_truncation, reason = "below a u32")]
            let corners = from.corners(face as u32);
            let (bound, more) = ruler.refine(corners, enough, 0);
            found.bound = bound;
            // No area: met in passing, it must not weigh in the means.
            found.samples.push((more, 0.0));
        }
    });
    faces
}

struct Ruler<'a> {
    to: &'a Mesh,
    tree: &'a Tree,
    /// Least slack, millimetres.
    floor: f64,
}

impl Ruler<'_> {
    /// Distance at a point, and the triangle that is nearest.
    fn at(&self, point: DVec3) -> (f64, u32) {
        self.tree
            .closest(point)
            .map_or((f64::INFINITY, 0), |c| (c.distance_mm, c.face))
    }

    /// The bound that is good enough where this distance was met.
    fn enough(&self, met: f64) -> f64 {
        met + (met * SLACK).max(self.floor)
    }

    /// Over a piece with these corners: no more than to the best of these triangles.
    fn bound<const N: usize>(&self, corners: [DVec3; 3], candidates: [u32; N]) -> f64 {
        candidates
            .into_iter()
            .map(|face| {
                let triangle = self.to.corners(face);
                corners
                    .into_iter()
                    .map(|p| closest_on_triangle(p, triangle).point.distance(p))
                    .fold(0.0, f64::max)
            })
            .fold(f64::INFINITY, f64::min)
    }

    /// Measures a triangle in pieces of about `step`, at the middle of each.
    fn sample(&self, corners: [DVec3; 3], step: f64, focuses: &[Focus]) -> Face {
        let [a, b, c] = corners;
        let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped just before"
        )]
        let n = (longest / (2.0 * step)).ceil().clamp(1.0, 64.0) as u32;
        let area = (b - a).cross(c - a).length() / 2.0;
        let mut face = Face {
            samples: Vec::with_capacity((n * n) as usize),
            bound: 0.0,
            inside: touches(corners, focuses),
        };
        for piece in pieces(corners, n) {
            let (distance, nearest) = self.at((piece[0] + piece[1] + piece[2]) / 3.0);
            face.bound = face.bound.max(self.bound(piece, [nearest; 1]));
            face.samples.push((distance, area / f64::from(n * n)));
        }
        face
    }

    /// A bound for a piece that is as good as `enough`, or nearly as good as the largest distance
    /// met in it; and that distance.
    fn refine(&self, corners: [DVec3; 3], enough: f64, depth: u32) -> (f64, f64) {
        let middles = middles(corners);
        let found = middles.map(|m| self.at(m));
        let met = found.iter().map(|f| f.0).fold(0.0, f64::max);
        let bound = self.bound(corners, found.map(|f| f.1));
        if bound <= enough.max(self.enough(met)) || depth == DEEPEST {
            return (bound, met);
        }
        let [a, b, c] = corners;
        let [ab, bc, ca] = middles;
        [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
            .into_iter()
            .map(|piece| self.refine(piece, enough, depth + 1))
            .fold((0.0, met), |sum, one| {
                (f64::max(sum.0, one.0), f64::max(sum.1, one.1))
            })
    }
}

fn middles([a, b, c]: [DVec3; 3]) -> [DVec3; 3] {
    [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0]
}

/// Whether any of the triangle may lie in a detail: its middle is no further off than its reach.
fn touches(corners: [DVec3; 3], focuses: &[Focus]) -> bool {
    let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
    let reach = corners
        .map(|p| p.distance(middle))
        .into_iter()
        .fold(0.0, f64::max);
    focuses.iter().any(|f| {
        Focus {
            radius_mm: f.radius_mm + reach,
            ..*f
        }
        .holds(middle)
    })
}

/// The n² equal pieces of a triangle.
fn pieces([a, b, c]: [DVec3; 3], n: u32) -> impl Iterator<Item = [DVec3; 3]> {
    let (ab, ac) = ((b - a) / f64::from(n), (c - a) / f64::from(n));
    let at = move |i: u32, j: u32| a + ab * f64::from(i) + ac * f64::from(j);
    (0..n).flat_map(move |i| {
        (0..n - i).flat_map(move |j| {
            let upright = [at(i, j), at(i + 1, j), at(i, j + 1)];
            let turned = [at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            std::iter::once(upright).chain((i + j + 1 < n).then_some(turned))
        })
    })
}

fn gather(faces: &[&Face]) -> Deviation {
    let mut samples: Vec<(f64, f64)> = faces
        .iter()
        .flat_map(|f| f.samples.iter().copied())
        .collect();
    samples.par_sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let area: f64 = samples.iter().map(|s| s.1).sum();
    let squares: f64 = samples.iter().map(|(d, w)| d * d * w).sum();
    let mut passed = 0.0;
    let p95 = samples.iter().find(|(_, w)| {
        passed += w;
        passed >= 0.95 * area
    });
    let met_mm = samples.last().map_or(0.0, |s| s.0);
    Deviation {
        // A bound below what was met would be rounding.
        max_mm: faces.iter().map(|f| f.bound).fold(met_mm, f64::max),
        met_mm,
        rms_mm: (squares / area.max(f64::MIN_POSITIVE)).sqrt(),
        p95_mm: p95.map_or(0.0, |s| s.0),
        samples: samples.len(),
    }
}

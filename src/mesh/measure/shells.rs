//! Connected pieces of a surface.

use super::Spot;
use crate::mesh::{Mesh, Welded, weld};

/// Triangles that hang together by shared corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shell {
    /// Ball around it.
    pub spot: Spot,
    /// How many.
    pub triangles: usize,
    /// Their area, square millimetres.
    pub area_mm2: f64,
}

/// All shells of a mesh, the one of largest area first.
pub fn shells(mesh: &Mesh) -> Vec<Shell> {
    gather(&weld(mesh))
}

/// Disjoint sets with path halving (Tarjan and van Leeuwen, "Worst-case analysis of set union
/// algorithms", Journal of the ACM 31, 1984).
#[derive(Debug)]
pub(crate) struct Sets(Vec<u32>);

impl Sets {
    pub(crate) fn new(count: usize) -> Self {
        Self((0u32..).take(count).collect())
    }

    pub(crate) fn find(&mut self, mut i: u32) -> u32 {
        while self.0[i as usize] != i {
            let above = self.0[self.0[i as usize] as usize];
            self.0[i as usize] = above;
            i = above;
        }
        i
    }

    pub(crate) fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b) as usize] = a.min(b);
    }
}

pub(super) fn gather(welded: &Welded) -> Vec<Shell> {
    let mut sets = Sets::new(welded.places.len());
    for &[a, b, c] in &welded.triangles {
        sets.join(a, b);
        sets.join(b, c);
    }
    let mut faces: Vec<(u32, u32)> = (0u32..)
        .zip(&welded.triangles)
        .map(|(face, t)| (sets.find(t[0]), face))
        .collect();
    faces.sort_unstable();
    let mut found: Vec<Shell> = faces
        .chunk_by(|a, b| a.0 == b.0)
        .map(|piece| {
            let corners = |face: u32| {
                welded.triangles[face as usize].map(|i| welded.places[i as usize].as_dvec3())
            };
            Shell {
                spot: Spot::around(piece.iter().flat_map(|(_, face)| corners(*face))),
                triangles: piece.len(),
                area_mm2: piece
                    .iter()
                    .map(|(_, face)| {
                        let [a, b, c] = corners(*face);
                        (b - a).cross(c - a).length() / 2.0
                    })
                    .sum(),
            }
        })
        .collect();
    found.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    found
}

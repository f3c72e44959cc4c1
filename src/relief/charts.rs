//! Cuts a surface into charts: connected patches that face one way well enough to be laid flat by
//! looking at them along one direction.
//!
//! Charts are grown from seeds and moved to where they fit best, round after round (Lloyd's method
//! on normals: Cohen-Steiner, Alliez and Desbrun, "Variational shape approximation", ACM
//! Transactions on Graphics 23, 2004), then neighbours are joined where one direction serves both.

use crate::mesh::{Mesh, weld};
use glam::DVec3;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BinaryHeap};

/// A patch and the direction from which it is seen.
#[derive(Debug, Clone)]
pub(super) struct Chart {
    pub(super) faces: Vec<u32>,
    pub(super) axis: DVec3,
}

/// The surface around a triangle may lean this far from the axis: cosine of 55 degrees. The
/// triangle itself may lean further, so that the steep walls of letters stay in their chart.
const TURN: f64 = 0.574;
/// Rounds of smoothing the normals that growth goes by.
const SMOOTHING: usize = 20;
/// Rounds of moving the seeds.
const ROUNDS: usize = 4;
/// What distance from the seed costs, beside turning away: makes charts round.
const ROUND: f64 = 0.35;

/// Cuts a mesh into charts; every triangle is in one. Triangles without area go with a neighbour.
pub(super) fn cut(mesh: &Mesh) -> Vec<Chart> {
    let surface = Surface::of(mesh);
    let mut seeds: Vec<(u32, DVec3)> = Vec::new();
    let mut owners = vec![NONE; surface.smooth.len()];
    for _ in 0..ROUNDS {
        owners = surface.grow(&mut seeds);
        seeds = surface.moved(&owners, seeds.len());
    }
    let axes = surface.join(&mut owners);
    let mut charts: Vec<Chart> = axes
        .into_iter()
        .map(|axis| Chart {
            faces: Vec::new(),
            axis,
        })
        .collect();
    for (face, owner) in (0u32..).zip(&owners) {
        charts[*owner as usize].faces.push(face);
    }
    charts.retain(|chart| !chart.faces.is_empty());
    charts
}

const NONE: u32 = u32::MAX;

struct Surface {
    /// Unit normals of the surroundings.
    smooth: Vec<DVec3>,
    areas: Vec<f64>,
    middles: Vec<DVec3>,
    neighbours: Vec<[u32; 3]>,
    reach: f64,
}

impl Surface {
    fn of(mesh: &Mesh) -> Self {
        let neighbours = neighbours(&weld(mesh).triangles);
        let (mut smooth, mut areas, mut middles) = (Vec::new(), Vec::new(), Vec::new());
        for face in 0..u32::try_from(mesh.triangles().len()).unwrap_or(u32::MAX) {
            let [a, b, c] = mesh.corners(face);
            let across = (b - a).cross(c - a);
            smooth.push(across.normalize_or_zero());
            areas.push(across.length() / 2.0);
            middles.push((a + b + c) / 3.0);
        }
        for _ in 0..SMOOTHING {
            smooth = (0..smooth.len())
                .map(|face| {
                    let around = neighbours[face].iter().filter(|n| **n != NONE);
                    around
                        .map(|&n| smooth[n as usize] * areas[n as usize])
                        .fold(smooth[face] * areas[face], |sum, n| sum + n)
                        .normalize_or_zero()
                })
                .collect();
        }
        let reach = areas.iter().sum::<f64>().sqrt().max(f64::MIN_POSITIVE);
        Self {
            smooth,
            areas,
            middles,
            neighbours,
            reach,
        }
    }

    fn fits(&self, face: usize, axis: DVec3) -> bool {
        self.areas[face] == 0.0 || self.smooth[face].dot(axis) > TURN
    }

    /// Grows all seeds at once, the best fitting triangle first; where nothing fits, from a new
    /// seed. Gives the chart of every triangle.
    fn grow(&self, seeds: &mut Vec<(u32, DVec3)>) -> Vec<u32> {
        let mut owners = vec![NONE; self.smooth.len()];
        let mut waiting = BinaryHeap::new();
        for (chart, (seed, _)) in (0u32..).zip(&*seeds) {
            waiting.push(Step {
                cost: 0.0,
                face: *seed,
                chart,
            });
        }
        self.spread(seeds, &mut owners, &mut waiting);
        // The largest triangles first: they lie in the plainest places.
        let mut rest: Vec<u32> = (0u32..)
            .zip(&owners)
            .filter(|(_, owner)| **owner == NONE)
            .map(|(face, _)| face)
            .collect();
        rest.sort_by(|a, b| self.areas[*b as usize].total_cmp(&self.areas[*a as usize]));
        for face in rest {
            if owners[face as usize] != NONE {
                continue;
            }
            let index = face as usize;
            let axis = self.smooth[index];
            #[expect(clippy::cast_possible_truncation, reason = "fewer than triangles")]
            let chart = seeds.len() as u32;
            seeds.push((face, if axis == DVec3::ZERO { DVec3::Y } else { axis }));
            waiting.push(Step {
                cost: 0.0,
                face,
                chart,
            });
            self.spread(seeds, &mut owners, &mut waiting);
        }
        owners
    }

    fn spread(&self, seeds: &[(u32, DVec3)], owners: &mut [u32], waiting: &mut BinaryHeap<Step>) {
        while let Some(Step { face, chart, cost }) = waiting.pop() {
            let (seed, axis) = seeds[chart as usize];
            let index = face as usize;
            // A seed belongs to its chart even where the mean direction does not suit it.
            if owners[index] != NONE || (cost > 0.0 && !self.fits(index, axis)) {
                continue;
            }
            owners[index] = chart;
            for &next in &self.neighbours[index] {
                if next != NONE && owners[next as usize] == NONE {
                    let there = next as usize;
                    let away = self.middles[there].distance(self.middles[seed as usize]);
                    let cost = 1.0 - self.smooth[there].dot(axis) + ROUND * away / self.reach;
                    waiting.push(Step {
                        cost: cost.max(f64::MIN_POSITIVE),
                        face: next,
                        chart,
                    });
                }
            }
        }
    }

    /// Seeds where the charts fit best: the triangle that is most like the whole of its chart.
    fn moved(&self, owners: &[u32], charts: usize) -> Vec<(u32, DVec3)> {
        let mut sums = vec![(DVec3::ZERO, DVec3::ZERO, 0.0); charts];
        for (face, &owner) in owners.iter().enumerate() {
            let sum = &mut sums[owner as usize];
            sum.0 += self.smooth[face] * self.areas[face];
            sum.1 += self.middles[face] * self.areas[face];
            sum.2 += self.areas[face];
        }
        let mut best = vec![(f64::INFINITY, NONE); charts];
        for (face, &owner) in (0u32..).zip(owners) {
            let (sum, middle, area) = sums[owner as usize];
            let axis = sum.normalize_or_zero();
            let middle = middle / area.max(f64::MIN_POSITIVE);
            let away = self.middles[face as usize].distance(middle) / self.reach;
            let cost = 1.0 - self.smooth[face as usize].dot(axis) + away;
            if cost < best[owner as usize].0 && self.fits(face as usize, axis) {
                best[owner as usize] = (cost, face);
            }
        }
        sums.iter()
            .zip(best)
            .filter(|(_, (_, face))| *face != NONE)
            .map(|((sum, ..), (_, face))| (face, sum.normalize_or_zero()))
            .filter(|(_, axis)| *axis != DVec3::ZERO)
            .collect()
    }

    /// Joins neighbours while one direction serves both, those with the longest common border
    /// first. Gives the charts' directions.
    fn join(&self, owners: &mut [u32]) -> Vec<DVec3> {
        let charts = owners.iter().map(|o| *o as usize + 1).max().unwrap_or(0);
        let mut faces: Vec<Vec<u32>> = vec![Vec::new(); charts];
        for (face, owner) in (0u32..).zip(&*owners) {
            faces[*owner as usize].push(face);
        }
        let mean = |faces: &[u32]| {
            let sum: DVec3 = faces
                .iter()
                .map(|f| self.smooth[*f as usize] * self.areas[*f as usize])
                .sum();
            sum.normalize_or_zero()
        };
        let mut axes: Vec<DVec3> = faces.iter().map(|f| mean(f)).collect();
        loop {
            let mut borders: BTreeMap<(u32, u32), u32> = BTreeMap::new();
            for (face, &owner) in owners.iter().enumerate() {
                for &next in &self.neighbours[face] {
                    if next != NONE && owners[next as usize] > owner {
                        *borders.entry((owner, owners[next as usize])).or_default() += 1;
                    }
                }
            }
            let mut order: Vec<((u32, u32), u32)> = borders.into_iter().collect();
            order.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
            let mut touched = vec![false; charts];
            let mut changed = false;
            for ((one, other), _) in order {
                let (a, b) = (one as usize, other as usize);
                if touched[a] || touched[b] {
                    continue;
                }
                let both: Vec<u32> = faces[a].iter().chain(&faces[b]).copied().collect();
                let axis = mean(&both);
                if both.iter().all(|f| self.fits(*f as usize, axis)) {
                    (touched[a], touched[b], changed) = (true, true, true);
                    for face in std::mem::take(&mut faces[b]) {
                        owners[face as usize] = one;
                    }
                    faces[a] = both;
                    axes[a] = axis;
                }
            }
            if !changed {
                return axes;
            }
        }
    }
}

/// Neighbours across the three edges; an edge of one or of more than two triangles has none.
fn neighbours(triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let mut edges: Vec<(u64, u32, u8)> = Vec::with_capacity(triangles.len() * 3);
    for (face, triangle) in (0u32..).zip(triangles) {
        for (k, (a, b)) in (0u8..).zip([(0, 1), (1, 2), (2, 0)]) {
            let (a, b) = (triangle[a], triangle[b]);
            edges.push((u64::from(a.min(b)) << 32 | u64::from(a.max(b)), face, k));
        }
    }
    edges.sort_unstable();
    let mut out = vec![[NONE; 3]; triangles.len()];
    for run in edges.chunk_by(|a, b| a.0 == b.0) {
        if let [(_, f, k), (_, g, l)] = *run {
            out[f as usize][k as usize] = g;
            out[g as usize][l as usize] = f;
        }
    }
    out
}

/// A triangle that a chart may take next; the cheapest comes first.
struct Step {
    cost: f64,
    face: u32,
    chart: u32,
}

impl Ord for Step {
    fn cmp(&self, other: &Self) -> Ordering {
        // A heap gives its greatest, so the order is turned round.
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.face.cmp(&self.face))
            .then(other.chart.cmp(&self.chart))
    }
}

impl PartialOrd for Step {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Step {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Step {}

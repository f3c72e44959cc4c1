//! One surface measured against another, at every corner.

use crate::align::{Pose, Surface};
use glam::DVec3;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Distances of a surface's corners from another surface. Everything is in the frame of the fixed
/// surface; corners at one place are one.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Field {
    /// The corners, millimetres.
    pub places: Vec<DVec3>,
    /// Triangles over them.
    pub triangles: Vec<[u32; 3]>,
    /// The nearest point of the other surface to each.
    pub feet: Vec<DVec3>,
    /// The other surface's corner nearest to each foot.
    pub foot_places: Vec<u32>,
    /// Distance, millimetres: positive where this surface stands outside the other.
    pub signed_mm: Vec<f64>,
    /// The same, averaged with the corners around.
    pub smooth_mm: Vec<f64>,
    /// Whether the other surface was captured there; where it was not, the distance says nothing.
    pub captured: Vec<bool>,
    /// Corners around each corner.
    pub around: Around,
    /// Area that belongs to each corner: a third of each of its triangles, mm².
    pub shares_mm2: Vec<f64>,
}

/// Neighbours of every corner, in one list.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Around {
    first: Vec<u32>,
    others: Vec<u32>,
}

impl Around {
    fn of(count: usize, triangles: &[[u32; 3]]) -> Self {
        let all = || {
            let ends = |&[a, b, c]: &[u32; 3]| [(a, b), (b, a), (b, c), (c, b), (c, a), (a, c)];
            triangles.iter().flat_map(ends).filter(|(a, b)| a != b)
        };
        let mut next = vec![0u32; count + 1];
        for (a, _) in all() {
            next[a as usize + 1] += 1;
        }
        for i in 0..count {
            next[i + 1] += next[i];
        }
        let mut others = vec![0u32; next[count] as usize];
        for (a, b) in all() {
            let at = &mut next[a as usize];
            others[*at as usize] = b;
            *at += 1;
        }
        // Most stand there twice, once for each triangle at their edge: what is left moves up.
        let mut first = Vec::with_capacity(count + 1);
        let (mut from, mut kept) = (0, 0);
        for end in next.into_iter().take(count) {
            first.push(kept);
            let end = end as usize;
            others[from..end].sort_unstable();
            let mut last = None;
            for at in from..end {
                let other = others[at];
                if last != Some(other) {
                    others[kept as usize] = other;
                    kept += 1;
                    last = Some(other);
                }
            }
            from = end;
        }
        first.push(kept);
        others.truncate(kept as usize);
        Self { first, others }
    }

    /// The corners joined to this one by an edge.
    pub fn corner(&self, i: usize) -> &[u32] {
        &self.others[self.first[i] as usize..self.first[i + 1] as usize]
    }
}

impl Field {
    /// Measures `own` against `other`, into whose frame it is put by `into`; the frame that is shown
    /// is that of `own` after `show`.
    pub(super) fn of(own: &Surface<'_>, other: &Surface<'_>, into: &Pose, show: &Pose) -> Self {
        let welded = own.sides.welded();
        let there: Vec<DVec3> = welded
            .places
            .iter()
            .map(|p| into.point(p.as_dvec3()))
            .collect();
        let connections = other.sides.welded();
        // From the other's frame to the one that is shown.
        let home = show.after(&into.inverse());
        let places: Vec<DVec3> = there.par_iter().map(|p| home.point(*p)).collect();
        // Corners are finite, so there is always a nearest point; without one nothing is known.
        let mut feet = places.clone();
        let mut foot_places = vec![0; places.len()];
        let mut signed_mm = vec![0.0; places.len()];
        let mut captured = vec![false; places.len()];
        let met = other.tree.each_closest(&there, |point, closest| {
            let signed = other.sides.signed(point, closest);
            let weights = closest.barycentric;
            let heavier = |best: usize, k| if weights[k] > weights[best] { k } else { best };
            let heaviest = (0..3).fold(0, heavier);
            (
                home.point(closest.point),
                connections.triangles[closest.face as usize][heaviest],
                signed.distance_mm * home.scale,
                !signed.at_rim,
            )
        });
        for (i, row) in met {
            let i = i as usize;
            (feet[i], foot_places[i], signed_mm[i], captured[i]) = row;
        }
        let around = Around::of(places.len(), &welded.triangles);
        let mut shares_mm2 = vec![0.0; places.len()];
        for t in &welded.triangles {
            let [a, b, c] = t.map(|i| places[i as usize]);
            let third = (b - a).cross(c - a).length() / 6.0;
            for i in t {
                shares_mm2[*i as usize] += third;
            }
        }
        Self {
            feet,
            foot_places,
            smooth_mm: smoothed(&signed_mm, &captured, &around),
            triangles: welded.triangles.clone(),
            places,
            signed_mm,
            captured,
            around,
            shares_mm2,
        }
    }

    /// Distance at a point of a triangle; `None` where a corner's was not captured.
    pub fn at(&self, face: u32, weights: [f64; 3]) -> Option<f64> {
        let corners = self.triangles[face as usize];
        corners
            .iter()
            .zip(weights)
            .map(|(i, w)| self.captured[*i as usize].then(|| self.signed_mm[*i as usize] * w))
            .sum()
    }
}

/// The mean of each corner and those around it that were captured.
fn smoothed(values: &[f64], captured: &[bool], around: &Around) -> Vec<f64> {
    (0..values.len())
        .into_par_iter()
        .map(|i| {
            let (sum, count) = around
                .corner(i)
                .iter()
                .map(|j| *j as usize)
                .filter(|j| captured[*j])
                .fold((values[i], 1.0), |(s, n), j| (s + values[j], n + 1.0));
            sum / count
        })
        .collect()
}

/// What a field is as a whole, over the corners that were captured, weighted by area.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// Corners that were compared.
    pub points: usize,
    /// Mean, millimetres; positive: outside.
    pub mean_mm: f64,
    /// Standard deviation, millimetres.
    pub spread_mm: f64,
    /// Root mean square, millimetres.
    pub rms_mm: f64,
    /// Median, millimetres.
    pub median_mm: f64,
    /// Five per cent are lower, millimetres.
    pub p5_mm: f64,
    /// Five per cent are higher, millimetres.
    pub p95_mm: f64,
    /// Lowest, millimetres.
    pub min_mm: f64,
    /// Highest, millimetres.
    pub max_mm: f64,
    /// Share of the captured area within the tolerance.
    pub within: f64,
    /// Share of the whole area that was captured on the other surface.
    pub captured: f64,
}

impl Field {
    /// Sums up; `low_mm` and `high_mm` are the limits of what counts as within tolerance.
    pub fn summary(&self, low_mm: f64, high_mm: f64) -> Summary {
        let mut known: Vec<(f64, f64)> = (0..self.places.len())
            .filter(|i| self.captured[*i])
            .map(|i| (self.signed_mm[i], self.shares_mm2[i]))
            .collect();
        known.par_sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let all: f64 = self.shares_mm2.iter().sum();
        let area: f64 = known.iter().map(|k| k.1).sum();
        let (Some(lowest), Some(highest)) = (known.first(), known.last()) else {
            return Summary::default();
        };
        let over = area.max(f64::MIN_POSITIVE);
        let mean = known.iter().map(|(d, w)| d * w).sum::<f64>() / over;
        let square = known.iter().map(|(d, w)| d * d * w).sum::<f64>() / over;
        let share = |wanted: f64| {
            let mut passed = 0.0;
            let found = known.iter().find(|(_, w)| {
                passed += w;
                passed >= wanted * area
            });
            found.map_or(highest.0, |f| f.0)
        };
        let within = known
            .iter()
            .filter(|(d, _)| (low_mm..=high_mm).contains(d))
            .map(|k| k.1)
            .sum::<f64>();
        Summary {
            points: known.len(),
            mean_mm: mean,
            spread_mm: (square - mean * mean).max(0.0).sqrt(),
            rms_mm: square.sqrt(),
            median_mm: share(0.5),
            p5_mm: share(0.05),
            p95_mm: share(0.95),
            min_mm: lowest.0,
            max_mm: highest.0,
            within: within / over,
            captured: area / all.max(f64::MIN_POSITIVE),
        }
    }
}

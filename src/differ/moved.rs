//! A gain and a loss side by side: one thing moved.

use super::Field;
use super::region::{Kind, Region};
use crate::mesh::Spot;
use glam::DVec3;

/// A gain and a loss that touch are one thing moved, when neither volume is less than this share of
/// the other.
const BALANCE: f64 = 0.5;

/// Joins gains and losses that touch and balance.
pub(super) fn moved(fields: [&Field; 2], mut regions: Vec<Region>) -> Vec<Region> {
    let by_volume = |a: &Region, b: &Region| b.volume_mm3.total_cmp(&a.volume_mm3);
    if !regions.iter().any(|r| r.kind == Kind::Lost) {
        regions.sort_by(by_volume);
        return regions;
    }
    let mut owner = fields.map(|f| vec![usize::MAX; f.places.len()]);
    for (number, region) in regions.iter().enumerate() {
        for body in [0, 1] {
            for i in &region.corners[body] {
                owner[body][*i as usize] = number;
            }
        }
    }
    let mut joined: Vec<(usize, usize)> = Vec::new();
    let mut used = vec![false; regions.len()];
    for (number, region) in regions.iter().enumerate() {
        if region.kind != Kind::Gained {
            continue;
        }
        let touching = [0, 1].into_iter().find_map(|body| {
            let near = |i: &u32| fields[body].around.corner(*i as usize).to_vec();
            region.corners[body]
                .iter()
                .flat_map(near)
                .flat_map(|j| near(&j))
                .flat_map(|j| near(&j))
                .map(|j| owner[body][j as usize])
                .find(|other| {
                    *other != usize::MAX && *other != number && regions[*other].kind == Kind::Lost
                })
        });
        if let Some(other) = touching.filter(|o| !used[*o]) {
            let (a, b) = (region.volume_mm3, regions[other].volume_mm3);
            if a.min(b) > BALANCE * a.max(b) {
                used[other] = true;
                joined.push((number, other));
            }
        }
    }
    for (gain, loss) in joined {
        let less = regions[loss].clone();
        let region = &mut regions[gain];
        region.kind = Kind::Moved;
        region.moved_mm3 = Some(less.volume_mm3);
        region.area_mm2 += less.area_mm2;
        region.area_expanded_mm2 = region.area_expanded_mm2.hypot(less.area_expanded_mm2);
        region.max_mm = region.max_mm.max(less.max_mm);
        region.volume_expanded_mm3 = region.volume_expanded_mm3.hypot(less.volume_expanded_mm3);
        for body in [0, 1] {
            region.corners[body].extend(&less.corners[body]);
        }
        let points: Vec<DVec3> = [0, 1]
            .into_iter()
            .flat_map(|b| {
                region.corners[b]
                    .iter()
                    .map(move |i| fields[b].places[*i as usize])
            })
            .collect();
        region.spot = Spot::around(points.iter().copied());
        let (low, high) = points
            .iter()
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| {
                (l.min(*p), h.max(*p))
            });
        region.extent_mm = high - low;
    }
    let mut number = 0;
    regions.retain(|_| {
        number += 1;
        !used[number - 1]
    });
    regions.sort_by(by_volume);
    regions
}

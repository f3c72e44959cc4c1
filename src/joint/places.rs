//! Samples that lie near one another, gathered into places.

use crate::mesh::Sets;
use glam::DVec3;
use std::collections::BTreeMap;

/// Groups points: those in one cell of a grid of `cell_mm` belong together, and those in cells
/// that touch. So points of one place are at most two cells apart, and points of two places at
/// least one. Each group lists its points in ascending order; groups stand in the order of their
/// first points.
pub(super) fn groups(points: &[DVec3], cell_mm: f64) -> Vec<Vec<usize>> {
    let cell_of = |p: DVec3| {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "coordinates over cells are far below 2^63, and a cast keeps to its bounds"
        )]
        let cell = (p / cell_mm.max(f64::MIN_POSITIVE))
            .floor()
            .to_array()
            .map(|c| c as i64);
        cell
    };
    let mut cells: BTreeMap<[i64; 3], u32> = BTreeMap::new();
    for p in points {
        let next = u32::try_from(cells.len()).unwrap_or(u32::MAX);
        cells.entry(cell_of(*p)).or_insert(next);
    }
    let mut sets = Sets::new(cells.len());
    for (cell, &name) in &cells {
        for dx in -1..=1 {
            for dy in -1..=1 {
                for dz in -1..=1 {
                    let beside =
                        [(0, dx), (1, dy), (2, dz)].map(|(k, d)| cell[k].saturating_add(d));
                    if let Some(&other) = cells.get(&beside) {
                        sets.join(name, other);
                    }
                }
            }
        }
    }
    let mut found: Vec<Vec<usize>> = Vec::new();
    let mut number: BTreeMap<u32, usize> = BTreeMap::new();
    for (i, p) in points.iter().enumerate() {
        let Some(&cell) = cells.get(&cell_of(*p)) else {
            continue;
        };
        let group = *number.entry(sets.find(cell)).or_insert_with(|| {
            found.push(Vec::new());
            found.len() - 1
        });
        found[group].push(i);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_near_is_one_place() {
        let row = |from: f64| (0..9).map(move |i| DVec3::X * (from + 0.9 * f64::from(i)));
        let points: Vec<DVec3> = row(0.0).chain(row(-30.0)).chain([DVec3::Y * 5.0]).collect();
        let found = groups(&points, 1.0);
        let sizes: Vec<usize> = found.iter().map(Vec::len).collect();
        assert_eq!(sizes, [9, 9, 1]);
        assert_eq!(found[1], (9..18).collect::<Vec<_>>());
        assert!(groups(&[], 1.0).is_empty());
    }
}

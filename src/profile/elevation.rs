//! What an eye sees from the side, drawn with lines: where the surface ends, and where one part of
//! it stands before another.

use super::{Line, Plane, simplified};
use crate::space::Tree;
use glam::{DVec2, IVec2};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Lines around and within the view of the trees' surfaces, in the drawing of `plane`.
///
/// Rays go out from the middles of a grid of `step_mm` over the drawing from `low` to `high`, millimetres. A line
/// runs between two neighbours where only one meets a surface, or where one meets it further off than
/// the slope on either side leads to by more than `jump_mm`. Toward the edge of a rounded body of
/// radius r the surface falls away by √(2 r `step_mm`) from one point to the next: `jump_mm` must be
/// more. The stairs of the grid are smoothed, so a line is true to about one step.
pub fn elevation(
    trees: &[&Tree],
    plane: &Plane,
    [low, high]: [DVec2; 2],
    step_mm: f64,
    jump_mm: f64,
) -> Vec<Line> {
    let grid = Grid::look(trees, plane, [low, high], step_mm);
    // Where the surface ends, and where it breaks: two drawings, so that a break does not cut an
    // outline in two.
    let (mut ends, mut breaks) = (Vec::new(), Vec::new());
    for y in 0..grid.rows {
        for x in 0..grid.columns {
            let corner = |dx: i32, dy: i32| IVec2::new(x + dx, y + dy);
            for (row, side) in [
                (
                    [-1, 0, 1, 2].map(|i| grid.at(x + i, y)),
                    [corner(1, 0), corner(1, 1)],
                ),
                (
                    [-1, 0, 1, 2].map(|i| grid.at(x, y + i)),
                    [corner(0, 1), corner(1, 1)],
                ),
            ] {
                if row[1].is_some() != row[2].is_some() {
                    ends.push(side);
                } else if breaks_off(row, jump_mm) {
                    breaks.push(side);
                }
            }
        }
    }
    let outlines = walked(&ends).into_iter().filter(|walk| walk.len() > 1);
    let inner = walked(&breaks)
        .into_iter()
        .filter(|walk| walk.len() > SHORTEST);
    outlines
        .chain(inner)
        .map(|walk| {
            let closed = walk.first() == walk.last();
            let points: Line = walk
                .iter()
                .map(|at| low + at.as_dvec2() * step_mm)
                .collect();
            simplified(&smoothed(points, closed), false, step_mm / 10.0)
        })
        .collect()
}

/// Shorter breaks, counted in steps of the grid, are grain.
const SHORTEST: usize = 12;
/// Rounds of averaging that turn stairs into a line.
const ROUNDS: usize = 6;

/// How far off the surface is at every point of a grid.
struct Grid {
    columns: i32,
    rows: i32,
    /// `None` where nothing is met.
    depths: Vec<Option<f64>>,
}

impl Grid {
    fn look(trees: &[&Tree], plane: &Plane, [low, high]: [DVec2; 2], step_mm: f64) -> Self {
        let size = ((high - low) / step_mm).ceil().max(DVec2::ZERO).as_ivec2() + 1;
        let toward = plane.toward_eye();
        // Outside everything, on the eye's side.
        let away = trees
            .iter()
            .map(|tree| tree.reach_mm())
            .fold(plane.origin.length(), f64::max)
            * 4.0;
        let depths = (0..size.x * size.y)
            .into_par_iter()
            .map(|i| {
                let at = IVec2::new(i % size.x, i / size.x).as_dvec2() + 0.5;
                let on = low + at * step_mm;
                let eye = plane.origin + plane.right * on.x + plane.up * on.y + toward * away;
                trees
                    .iter()
                    .filter_map(|tree| Some(tree.ray(eye, -toward)?.distance_mm))
                    .reduce(f64::min)
            })
            .collect();
        Self {
            columns: size.x,
            rows: size.y,
            depths,
        }
    }

    fn at(&self, x: i32, y: i32) -> Option<f64> {
        let within = (0..self.columns).contains(&x) && (0..self.rows).contains(&y);
        let index = usize::try_from(y * self.columns + x).ok()?;
        within.then(|| self.depths.get(index).copied().flatten())?
    }
}

/// Whether a surface breaks off between the middle two of four neighbours.
pub(crate) fn breaks_off([before, here, next, after]: [Option<f64>; 4], jump_mm: f64) -> bool {
    let (Some(a), Some(b)) = (here, next) else {
        return false;
    };
    let led = [
        before.map(|before| a + (a - before) - b),
        after.map(|after| b + (b - after) - a),
        Some(a - b),
    ];
    led.into_iter().flatten().all(|off| off.abs() > jump_mm)
}

/// Joins sides of cells end to end. Where three or more meet, lines end.
pub(crate) fn walked(sides: &[[IVec2; 2]]) -> Vec<Vec<IVec2>> {
    let key = |p: IVec2| (p.y, p.x);
    let mut ends: BTreeMap<(i32, i32), Vec<usize>> = BTreeMap::new();
    for (i, side) in sides.iter().enumerate() {
        for end in side {
            ends.entry(key(*end)).or_default().push(i);
        }
    }
    // Lines between crossings first; what is left goes round.
    let junctions = ends.iter().filter(|(_, own)| own.len() != 2);
    let starts = junctions.flat_map(|((y, x), own)| {
        let from = IVec2::new(*x, *y);
        own.iter().map(move |side| (*side, from))
    });
    let rounds = (0..sides.len()).map(|side| (side, sides[side][0]));
    let mut used = vec![false; sides.len()];
    let mut walks = Vec::new();
    for (start, from) in starts.chain(rounds) {
        let mut walk = vec![from];
        let (mut next, mut at) = (Some(start).filter(|side| !used[*side]), from);
        while let Some(side) = next {
            used[side] = true;
            let [a, b] = sides[side];
            at = if at == a { b } else { a };
            walk.push(at);
            let around = &ends[&key(at)];
            let on = around.iter().copied().find(|i| !used[*i]);
            next = on.filter(|_| around.len() == 2);
        }
        walks.push(walk);
    }
    walks
}

/// Each point laid between its neighbours, some times over. The ends of an open line stay.
pub(crate) fn smoothed(mut line: Line, closed: bool) -> Line {
    let count = line.len();
    for _ in 0..ROUNDS {
        let before = line.clone();
        let range = if closed { 0..count } else { 1..count - 1 };
        for i in range {
            // The first point of a closed line comes again as its last.
            let last = if i == 0 { count - 2 } else { i - 1 };
            let next = if i == count - 1 { 1 } else { i + 1 };
            line[i] = (before[last] + before[i] * 2.0 + before[next]) / 4.0;
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::super::area_mm2;
    use super::*;
    use crate::mesh::Mesh;
    use glam::{DVec3, Vec3};
    use std::f64::consts::PI;

    /// A ball of `r` millimetres about `centre`, of parallels and meridians.
    fn ball(centre: Vec3, r: f32) -> Mesh {
        let (rows, columns) = (60u32, 120u32);
        let turn = |i: u32, n: u32| i as f32 / n as f32;
        let mut places = Vec::new();
        for i in 0..=rows {
            for j in 0..columns {
                let (u, v) = (
                    turn(i, rows) * std::f32::consts::PI,
                    turn(j, columns) * std::f32::consts::TAU,
                );
                places.push(centre + Vec3::new(u.sin() * v.sin(), u.cos(), u.sin() * v.cos()) * r);
            }
        }
        let id = |i: u32, j: u32| i * columns + j % columns;
        let triangles = (0..rows)
            .flat_map(|i| (0..columns).map(move |j| (i, j)))
            .flat_map(|(i, j)| {
                [
                    [id(i, j), id(i + 1, j), id(i + 1, j + 1)],
                    [id(i, j), id(i + 1, j + 1), id(i, j + 1)],
                ]
            })
            .collect();
        Mesh::new(places, triangles).unwrap()
    }

    /// The outline of a ball is a circle, whatever stands behind it; a small ball before a large one
    /// has its own.
    #[test]
    fn a_ball_before_another_has_its_outline() {
        let large = ball(Vec3::ZERO, 30.0);
        let small = ball(Vec3::new(8.0, 5.0, 40.0), 10.0);
        let trees = [Tree::build(&large), Tree::build(&small)];
        let plane = Plane::upright(DVec3::ZERO, 0.0);
        let sheet = [DVec2::splat(-35.0), DVec2::splat(35.0)];
        let lines = elevation(&[&trees[0], &trees[1]], &plane, sheet, 0.25, 6.0);
        let mut found: Vec<(f64, DVec2)> = lines
            .iter()
            .map(|line| {
                assert_eq!(line.first(), line.last(), "goes round");
                let points = || line.iter().copied();
                let (low, high) = (points().reduce(DVec2::min), points().reduce(DVec2::max));
                let middle = (low.unwrap_or_default() + high.unwrap_or_default()) / 2.0;
                (area_mm2(line).abs(), middle)
            })
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert_eq!(found.len(), 2);
        for ((area, middle), (r, centre)) in found
            .iter()
            .zip([(10.0, DVec2::new(8.0, 5.0)), (30.0, DVec2::ZERO)])
        {
            // One step of the grid either way.
            let off = (area / PI).sqrt() - r;
            assert!(off.abs() < 0.25, "{off} mm; {found:?}");
            assert!(middle.distance(centre) < 0.5, "{middle}");
        }
        // Seen from the right the small ball stands free.
        let aside = Plane::upright(DVec3::ZERO, 90.0);
        let sheet = [DVec2::splat(-60.0), DVec2::splat(60.0)];
        assert_eq!(
            elevation(&[&trees[0], &trees[1]], &aside, sheet, 0.25, 6.0).len(),
            2
        );
    }
}

//! A turned net of points, and the way from such a net to a mesh of the wished size.

use crate::maths::{TURN, scatter};
use crate::mending;
use crate::mortar::Mortar;
use counterpart::mesh::Mesh;
use glam::{DVec3, Vec3};
use meshopt::{SimplifyOptions, VertexDataAdapter, simplify_with_attributes_and_locks};
use rayon::prelude::*;

/// What a place on the surface is, beside where it is; each from 0 to 1.
#[derive(Clone, Copy, Default)]
pub(crate) struct Nature {
    /// Rubbed bright by hands or work.
    pub(crate) rubbed: f64,
    /// Copper rather than bell metal.
    pub(crate) copper: f64,
    /// Kept from light and hands.
    pub(crate) sheltered: f64,
    /// Bare, cast or ground surface that never took the finish.
    pub(crate) bare: f64,
}

/// One point of the net.
#[derive(Clone, Copy)]
pub(crate) struct Spot {
    pub(crate) point: DVec3,
    pub(crate) nature: Nature,
}

/// Rows of points, each row once round the axis, closed at both ends by one point.
pub(crate) struct Net {
    columns: usize,
    rows: usize,
    pub(crate) spots: Vec<Spot>,
}

/// How the surface bends at a point: positive where it stands out, seen at three widths.
#[derive(Clone, Copy)]
pub(crate) struct Bend {
    pub(crate) fine: f64,
    pub(crate) middle: f64,
    pub(crate) broad: f64,
}

impl Net {
    /// Evaluates `spot(row, azimuth)` over the whole net.
    pub(crate) fn turn(
        rows: usize,
        columns: usize,
        spot: impl Fn(usize, f64) -> Spot + Sync,
    ) -> Self {
        let spots = (0..rows * columns)
            .into_par_iter()
            .map(|i| {
                let azimuth = (i % columns) as f64 / columns as f64 * TURN;
                spot(i / columns, azimuth)
            })
            .collect();
        Self {
            columns,
            rows,
            spots,
        }
    }

    fn index(&self, row: isize, column: isize) -> usize {
        let row = row.clamp(0, self.rows as isize - 1) as usize;
        row * self.columns + column.rem_euclid(self.columns as isize) as usize
    }

    fn point(&self, row: isize, column: isize) -> DVec3 {
        self.spots[self.index(row, column)].point
    }

    /// How many columns and rows lie within `width` millimetres of a point.
    fn stride(&self, row: isize, column: isize, width: f64) -> (isize, isize) {
        let here = self.point(row, column);
        let across = here.distance(self.point(row, column + 1)).max(1e-3);
        let dc = (width / across)
            .round()
            .clamp(1.0, self.columns as f64 / 10.0) as isize;
        let mut dr = 1;
        while dr < 60 && here.distance(self.point(row + dr, column)) < width {
            if row + dr >= self.rows as isize {
                break;
            }
            dr += 1;
        }
        (dr, dc)
    }

    fn normal(&self, row: isize, column: isize) -> DVec3 {
        let round = self.point(row, column + 1) - self.point(row, column - 1);
        let up = self.point(row + 1, column) - self.point(row - 1, column);
        round.cross(up).normalize_or(DVec3::Y)
    }

    fn bend_at(&self, row: isize, column: isize, normal: DVec3, width: f64) -> f64 {
        let (dr, dc) = self.stride(row, column, width);
        let mean = (self.point(row + dr, column)
            + self.point(row - dr, column)
            + self.point(row, column + dc)
            + self.point(row, column - dc))
            * 0.25;
        (self.point(row, column) - mean).dot(normal) / width
    }

    /// The bending of the surface at every point.
    pub(crate) fn bends(&self) -> Vec<Bend> {
        (0..self.spots.len())
            .into_par_iter()
            .map(|i| {
                let (row, column) = ((i / self.columns) as isize, (i % self.columns) as isize);
                let normal = self.normal(row, column);
                Bend {
                    fine: self.bend_at(row, column, normal, 0.7),
                    middle: self.bend_at(row, column, normal, 2.2),
                    broad: self.bend_at(row, column, normal, 7.0),
                }
            })
            .collect()
    }

    /// Every `step`th point of the well and the rim of a mortar, taken from its own net.
    pub(crate) fn well(&self, mortar: &Mortar, step: usize) -> Vec<DVec3> {
        let from = mortar.marks.rim - 12.0;
        let rows = (0..self.rows).filter(|r| mortar.stations[*r].along > from);
        rows.step_by(step)
            .flat_map(|row| (0..self.columns).step_by(step).map(move |c| (row, c)))
            .map(|(row, column)| self.spots[row * self.columns + column].point)
            .collect()
    }

    /// A mesh of about `target` triangles; places where `gap` holds are left open.
    pub(crate) fn mesh(
        &self,
        colours: &[[u8; 4]],
        target: usize,
        gap: impl Fn(DVec3) -> bool + Sync,
    ) -> Mesh {
        let mut points: Vec<DVec3> = self.spots.iter().map(|s| s.point).collect();
        let mut colours = colours.to_vec();
        let last_row = (self.rows - 1) * self.columns;
        for first in [0, last_row] {
            let ring = &points[first..first + self.columns];
            points.push(ring.iter().sum::<DVec3>() / self.columns as f64);
            colours.push(colours[first]);
        }
        let triangles = self.triangles();
        let open: Vec<bool> = points.par_iter().map(|p| gap(*p)).collect();
        let kept: Vec<u32> = triangles
            .into_iter()
            .filter(|t| !t.iter().any(|v| open[*v as usize]))
            .flatten()
            .collect();
        let positions: Vec<Vec3> = points.iter().map(|p| p.as_vec3()).collect();
        let chosen = simplified(&positions, &colours, &kept, target);
        mending::manifold(&positions, &colours, &chosen)
    }

    fn triangles(&self) -> Vec<[u32; 3]> {
        let (south, north) = (self.spots.len() as u32, self.spots.len() as u32 + 1);
        let mut out = Vec::with_capacity(self.spots.len() * 2 + self.columns * 2);
        let at = |row: usize, column: usize| self.index(row as isize, column as isize) as u32;
        for column in 0..self.columns {
            out.push([south, at(0, column + 1), at(0, column)]);
        }
        for row in 0..self.rows - 1 {
            for column in 0..self.columns {
                let [a, b] = [at(row, column), at(row, column + 1)];
                let [c, d] = [at(row + 1, column), at(row + 1, column + 1)];
                // Diagonals laid by chance, so that no grain shows.
                if scatter(row as i64, column as i64, 0, 5) < 0.5 {
                    out.extend([[a, b, d], [a, d, c]]);
                } else {
                    out.extend([[a, b, c], [b, d, c]]);
                }
            }
        }
        for column in 0..self.columns {
            let row = self.rows - 1;
            out.push([north, at(row, column), at(row, column + 1)]);
        }
        out
    }
}

/// Removes edges where the surface and its colour lose least.
fn simplified(positions: &[Vec3], colours: &[[u8; 4]], indices: &[u32], target: usize) -> Vec<u32> {
    /// Weight of a whole step from black to white against the size of the body.
    const COLOUR_WEIGHT: f32 = 0.003;
    let bytes: Vec<u8> = positions
        .iter()
        .flat_map(|p| p.to_array())
        .flat_map(f32::to_le_bytes)
        .collect();
    let adapter = VertexDataAdapter::new(&bytes, 12, 0).expect("three floats a point");
    let attributes: Vec<f32> = colours
        .iter()
        .flat_map(|c| [c[0], c[1], c[2]])
        .map(|c| f32::from(c) / 255.0)
        .collect();
    simplify_with_attributes_and_locks(
        indices,
        &adapter,
        &attributes,
        &[COLOUR_WEIGHT; 3],
        12,
        &vec![false; positions.len()],
        target * 3,
        1.0,
        SimplifyOptions::None,
        None,
    )
}

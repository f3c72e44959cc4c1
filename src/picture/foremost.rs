//! What stands foremost at the middle of every pixel.
//!
//! To an eye infinitely far away all rays run side by side, so they need not be traced one by one:
//! each triangle is laid on the picture and asked about the pixels below it, row by row, and the
//! nearest one keeps the pixel. Rays would find the same (a test holds both side by side), but many
//! times more slowly where a triangle covers many pixels.

use super::Camera;
use super::camera::Axes;
use super::scene::Scene;
use crate::space::Hit;
use glam::DVec3;
use rayon::prelude::*;
use std::ops::Range;

/// Pixels by which a row is looked at beyond a triangle's sides, against rounding: no line between
/// two triangles is left out.
const ROUNDING: f64 = 1e-9;

/// A scene as it lies on the picture.
pub(super) struct Foremost<'a> {
    scene: &'a Scene,
    across: u32,
    down: u32,
    away_mm: f64,
    /// Of each vertex: pixels to the right and down, and how far before the plane of the picture's
    /// middle, millimetres.
    laid: Vec<DVec3>,
    /// Triangles over each band of rows, and over the row on either side of it.
    bands: Vec<Vec<u32>>,
    band: usize,
}

impl<'a> Foremost<'a> {
    /// Lays the scene on the picture, in bands of so many rows.
    pub(super) fn of(scene: &'a Scene, camera: &Camera, axes: &Axes, band: usize) -> Self {
        let laid: Vec<DVec3> = scene
            .places()
            .map(|place| {
                let [x, y] = camera.project_along(axes, place);
                DVec3::new(x, y, (place - camera.centre_mm).dot(axes.toward_eye))
            })
            .collect();
        let height = camera.size_px[1] as usize;
        let mut bands = vec![Vec::new(); height.div_ceil(band.max(1))];
        for (face, corners) in (0u32..).zip(scene.faces()) {
            let ys = corners.map(|i| laid[i as usize].y);
            let low = ys.into_iter().fold(f64::INFINITY, f64::min);
            let high = ys.into_iter().fold(f64::NEG_INFINITY, f64::max);
            // Middles of rows lie at halves, and a band looks at the row before and after it.
            let rows = whole(low - 1.5, height)..=whole(high + 1.5, height);
            if high < -1.0 || low > f64::from(camera.size_px[1]) + 1.0 {
                continue;
            }
            let last = bands.len().saturating_sub(1);
            for band in &mut bands[(rows.start() / band).min(last)..=(rows.end() / band).min(last)]
            {
                band.push(face);
            }
        }
        Self {
            scene,
            across: camera.size_px[0].max(1),
            down: camera.size_px[1],
            away_mm: scene.beyond(),
            laid,
            bands,
            band,
        }
    }

    /// The vertices of all triangles that turn toward the eye and may reach into the picture, in
    /// their order, each once.
    pub(super) fn toward_eye(&self) -> Vec<u32> {
        let mut wanted = vec![false; self.laid.len()];
        let across = f64::from(self.across);
        for face in self.bands.iter().flatten() {
            let ids = self.scene.vertices(*face);
            let [a, b, c] = ids.map(|i| self.laid[i]);
            // Down is positive: triangles that turn toward the eye run the other way round.
            let turned = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) <= 0.0;
            let within = a.x.max(b.x).max(c.x) >= 0.0 && a.x.min(b.x).min(c.x) <= across;
            if turned && within {
                for id in ids {
                    wanted[id] = true;
                }
            }
        }
        (0u32..)
            .zip(wanted)
            .filter_map(|(vertex, wanted)| wanted.then_some(vertex))
            .collect()
    }

    /// What the middle of every pixel of the picture meets, row by row.
    pub(super) fn everywhere(&self) -> Vec<Option<Hit>> {
        let (across, down) = (self.across as usize, self.down as usize);
        (0..self.bands.len())
            .into_par_iter()
            .flat_map_iter(|band| {
                let rows = self.band.min(down - band * self.band);
                let with_neighbours = self.met(band, rows);
                (with_neighbours.into_iter().skip(across)).take(rows * across)
            })
            .collect()
    }

    /// What each pixel's middle meets: of the rows of one band, and of the row on either side.
    pub(super) fn met(&self, band: usize, rows: usize) -> Vec<Option<Hit>> {
        let across = self.across as usize;
        let mut met: Vec<Option<Hit>> = vec![None; (rows + 2) * across];
        #[expect(clippy::cast_precision_loss, reason = "rows of a picture")]
        let first = (band * self.band) as f64 - 0.5;
        for face in self.bands.get(band).into_iter().flatten() {
            let corners = self.scene.vertices(*face).map(|i| self.laid[i]);
            let ys = corners.map(|c| c.y - first);
            let low = ys.into_iter().fold(f64::INFINITY, f64::min);
            let high = ys.into_iter().fold(f64::NEG_INFINITY, f64::max);
            for row in
                whole(low.ceil(), rows + 2)..(whole(high.floor(), rows + 2) + 1).min(rows + 2)
            {
                #[expect(clippy::cast_precision_loss, reason = "rows of a picture")]
                let y = first + row as f64;
                let Some(sides) = Sides::at(corners, y) else {
                    continue;
                };
                for x in sides.within(self.across) {
                    let weights = sides.weights(x);
                    let before: f64 = (0..3).map(|k| weights[k] * corners[k].z).sum();
                    let distance_mm = self.away_mm - before;
                    let own = &mut met[row * across + x];
                    if own.as_ref().is_none_or(|o| distance_mm < o.distance_mm) {
                        *own = Some(Hit {
                            distance_mm,
                            face: *face,
                            barycentric: weights,
                        });
                    }
                }
            }
        }
        met
    }
}

/// A whole number of rows or pixels, between none and all.
fn whole(value: f64, all: usize) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "what lies outside becomes the nearest that is inside"
    )]
    let number = value as usize;
    number.min(all)
}

/// A triangle along one row: its weights there are straight in x.
struct Sides {
    at_nought: [f64; 3],
    slope: [f64; 3],
}

impl Sides {
    /// `None` for a triangle that is seen edge on.
    fn at(corners: [DVec3; 3], y: f64) -> Option<Self> {
        let [a, b, c] = corners;
        let twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        if twice == 0.0 || !twice.is_finite() {
            return None;
        }
        // Of each corner: twice the area between the place and the side across from it.
        let side = |p: DVec3, q: DVec3| {
            let slope = (p.y - q.y) / twice;
            (slope, ((q.x - p.x) * (y - p.y) + (q.y - p.y) * p.x) / twice)
        };
        let all = [side(b, c), side(c, a), side(a, b)];
        Some(Self {
            at_nought: all.map(|s| s.1),
            slope: all.map(|s| s.0),
        })
    }

    /// The pixels whose middles lie within.
    fn within(&self, across: u32) -> Range<usize> {
        let (mut low, mut high) = (0.0, f64::from(across));
        for k in 0..3 {
            let (slope, nought) = (self.slope[k], self.at_nought[k]);
            if slope == 0.0 {
                if nought < 0.0 {
                    return 0..0;
                }
                continue;
            }
            let meets = -nought / slope;
            if slope > 0.0 {
                low = f64::max(low, meets);
            } else {
                high = f64::min(high, meets);
            }
        }
        let all = across as usize;
        let first = whole((low - 0.5 - ROUNDING).ceil(), all);
        // One past the last whose middle is not beyond.
        let end = if high < 0.5 - ROUNDING {
            0
        } else {
            (whole((high - 0.5 + ROUNDING).floor(), all) + 1).min(all)
        };
        first..end.max(first)
    }

    /// Weights of the corners at the middle of a pixel, none below nought.
    fn weights(&self, x: usize) -> [f64; 3] {
        #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
        let x = x as f64 + 0.5;
        let raw: [f64; 3] =
            std::array::from_fn(|k| (self.at_nought[k] + self.slope[k] * x).max(0.0));
        let sum: f64 = raw.iter().sum();
        raw.map(|w| w / sum)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;
    use crate::picture::Finish;
    use glam::Vec3;

    /// Triangles of all sizes and slants, some slivers, many before others; rays one by one meet the
    /// same ones, but for pixels whose middles lie on a line.
    #[test]
    fn rays_one_by_one_meet_the_same() {
        let mut state = 5u64;
        let mut number = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "a test's own numbers")]
            let unit = (state >> 40) as f32 / 16_777_216.0;
            unit * 2.0 - 1.0
        };
        let mut places = Vec::new();
        for i in 0..3000 {
            let reach = if i % 50 == 0 { 60.0 } else { 4.0 };
            let middle = Vec3::new(number(), number(), number()) * 50.0;
            for k in 0..3 {
                let thin = if i % 7 == 0 && k == 2 { 0.01 } else { 1.0 };
                places.push(middle + Vec3::new(number(), number(), number()) * reach * thin);
            }
        }
        let triangles = (0..3000).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
        let mesh = Mesh::new(places, triangles).unwrap();
        let scene = Scene::new(vec![(mesh, Finish::default())]).unwrap();
        let camera = Camera::at(DVec3::new(3.0, 1.0, -2.0), 35.0, 20.0, 61.7, [150, 131]);
        let axes = camera.axes();
        let band = 32;
        let foremost = Foremost::of(&scene, &camera, &axes, band);
        let (mut met, mut other) = (0, 0);
        for start in (0..131).step_by(band) {
            let rows = band.min(131 - start);
            let found = foremost.met(start / band, rows);
            assert_eq!(found.len(), (rows + 2) * 150);
            for (i, own) in found.iter().enumerate() {
                #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
                let at = [(i % 150) as f64 + 0.5, (start + i / 150) as f64 - 0.5];
                let (from, way) = camera.ray(&axes, at, scene.beyond());
                let ray = scene.ray(from, way);
                met += usize::from(ray.is_some());
                let alike = match (own, ray) {
                    (None, None) => true,
                    (Some(own), Some(ray)) => {
                        let off = (own.distance_mm - ray.distance_mm).abs();
                        let on =
                            (0..3).all(|k| (own.barycentric[k] - ray.barycentric[k]).abs() < 1e-4);
                        off < 1e-3 && (own.face != ray.face || on)
                    }
                    _ => false,
                };
                other += usize::from(!alike);
            }
        }
        assert!(met > 10_000, "only {met} pixels meet anything");
        assert!(other <= 3, "{other} of {met} pixels differ");
    }
}

//! The smooth run of a surface under its relief: the wall of a vessel without its letters.
//!
//! Around every place of a coarse net a plane is laid through what lies near, weighted by distance
//! (locally weighted regression: Cleveland, "Robust locally weighted regression and smoothing
//! scatterplots", Journal of the American Statistical Association 74, 1979), and laid again with
//! less weight for what it misses, so that a lip before a wall does not bend the run of either.
//! Between the places of the net, the planes are blended.

use super::seen::Relief;
use glam::{DMat3, DVec3, Vec3};
use rayon::prelude::*;

/// Places of the net within one reach.
const PER_REACH: f64 = 5.0;
/// The window ends at so many reaches.
const WINDOW: f64 = 2.0;
/// Times that planes are laid anew.
const ROUNDS: usize = 2;
/// A point that misses the plane by this share of the reach has half its weight (Cauchy).
const MISS: f64 = 0.35;
/// Steeper than this, what rises within the window is another surface and no slope of this one.
const STEEP: f64 = 1.5;

/// The smooth surface that the light grazes, pixel by pixel.
#[derive(Debug, Clone)]
pub struct Run {
    /// Toward the eye, millimetres, as the heights of the relief.
    pub(super) height_mm: Vec<f32>,
    /// Unit: right, up, toward the eye.
    pub(super) normal: Vec<Vec3>,
}

/// A place of the net: what was met in its square, and the plane laid there.
#[derive(Debug, Clone, Copy, Default)]
struct Place {
    /// Right and up, millimetres from the upper left corner; height toward the eye.
    at: DVec3,
    /// Share of the square that is covered.
    weight: f64,
    /// Height of the plane above `at`, and its rise to the right and upward.
    plane: Option<DVec3>,
}

impl Run {
    /// A plane with this normal (right, up, toward the eye) through the middle of the picture: the
    /// light of one lamp far away on a flat thing.
    pub fn plane(relief: &Relief, normal: Vec3) -> Self {
        let normal = normal.normalize_or(Vec3::Z);
        let across = relief.across();
        let [right, up] = [-normal.x / normal.z, -normal.y / normal.z];
        let height_mm = (0..relief.cover().len())
            .map(|i| {
                let (x, y) = corner(relief, i % across.max(1), i / across.max(1));
                let [w, h] = relief.size_px().map(|n| f64::from(n) * relief.pixel_mm());
                #[expect(clippy::cast_possible_truncation, reason = "places in a picture")]
                let (x, y) = ((x - w / 2.0) as f32, (y + h / 2.0) as f32);
                right * x + up * y
            })
            .collect();
        Self {
            height_mm,
            normal: vec![normal; relief.cover().len()],
        }
    }

    /// The run of the surface itself, smoothed over `reach_mm` (the deviation of the bell).
    pub fn of(relief: &Relief, reach_mm: f64) -> Self {
        let net = Net::over(relief, reach_mm);
        let across = relief.across().max(1);
        let found: Vec<(f32, Vec3)> = (0..relief.cover().len())
            .into_par_iter()
            .map(|i| net.at(relief, i % across, i / across))
            .collect();
        Self {
            height_mm: found.iter().map(|f| f.0).collect(),
            normal: found.iter().map(|f| f.1).collect(),
        }
    }
}

/// Middle of a pixel: right and up from the upper left corner, millimetres.
fn corner(relief: &Relief, x: usize, y: usize) -> (f64, f64) {
    let middle = |n: usize| (n as f64 + 0.5) * relief.pixel_mm();
    (middle(x), -middle(y))
}

struct Net {
    /// Pixels of a square's side.
    side: usize,
    columns: usize,
    rows: usize,
    places: Vec<Place>,
    reach_mm: f64,
}

impl Net {
    fn over(relief: &Relief, reach_mm: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a length within the picture"
        )]
        let side = ((reach_mm / relief.pixel_mm() / PER_REACH) as usize).max(1);
        let (columns, rows) = (relief.across().div_ceil(side), relief.down().div_ceil(side));
        let mut net = Self {
            side,
            columns,
            rows,
            places: Vec::new(),
            reach_mm,
        };
        net.places = (0..columns * rows)
            .into_par_iter()
            .map(|i| net.gathered(relief, i % columns.max(1), i / columns.max(1)))
            .collect();
        for round in 0..=ROUNDS {
            let planes: Vec<Option<DVec3>> = (0..columns * rows)
                .into_par_iter()
                .map(|i| net.laid(i, round == 0))
                .collect();
            for (place, plane) in net.places.iter_mut().zip(planes) {
                place.plane = plane;
            }
        }
        net
    }

    /// The mean of the foremost surface in a square.
    fn gathered(&self, relief: &Relief, column: usize, row: usize) -> Place {
        let range = |n: usize, end: usize| n * self.side..((n + 1) * self.side).min(end);
        let all = range(row, relief.down()).flat_map(|y| {
            range(column, relief.across()).map(move |x| (x, y, y * relief.across() + x))
        });
        let met = all.filter(|(_, _, i)| relief.cover()[*i] > 0.0);
        let front = met
            .clone()
            .map(|(_, _, i)| f64::from(relief.height_mm()[i]))
            .fold(f64::NEG_INFINITY, f64::max);
        let (mut sum, mut count) = (DVec3::ZERO, 0.0);
        for (x, y, i) in met {
            let z = f64::from(relief.height_mm()[i]);
            if z > front - self.reach_mm / 2.0 {
                let (x, y) = corner(relief, x, y);
                sum += DVec3::new(x, y, z);
                count += 1.0;
            }
        }
        if count == 0.0 {
            return Place::default();
        }
        Place {
            at: sum / count,
            weight: count / (self.side * self.side) as f64,
            plane: None,
        }
    }

    /// The plane through what lies around a place; `first` without an earlier plane to go by.
    fn laid(&self, index: usize, first: bool) -> Option<DVec3> {
        let own = self.places[index];
        if own.weight == 0.0 {
            return None;
        }
        let window = (WINDOW * PER_REACH).ceil() as usize;
        let (column, row) = (index % self.columns, index / self.columns);
        let near = |n: usize, end: usize| n.saturating_sub(window)..(n + window + 1).min(end);
        let (mut matrix, mut right) = (DMat3::ZERO, DVec3::ZERO);
        for other in near(row, self.rows)
            .flat_map(|r| near(column, self.columns).map(move |c| r * self.columns + c))
            .map(|i| &self.places[i])
            .filter(|p| p.weight > 0.0)
        {
            let from = other.at - own.at;
            let apart = from.truncate().length();
            let bell = (-0.5 * (apart / self.reach_mm).powi(2)).exp();
            let trust = match own.plane.filter(|_| !first) {
                Some(plane) => {
                    let miss = from.z - (plane.x + plane.y * from.x + plane.z * from.y);
                    1.0 / (1.0 + (miss / (MISS * self.reach_mm)).powi(2))
                }
                None if from.z.abs() > STEEP * apart + self.reach_mm / 2.0 => 0.0,
                None => 1.0,
            };
            let weight = other.weight * bell * trust;
            let row = DVec3::new(1.0, from.x, from.y);
            matrix += DMat3::from_cols(row * row.x, row * row.y, row * row.z) * weight;
            right += row * (from.z * weight);
        }
        // One place alone, or places in a line, lie in many planes: the level one is taken.
        matrix += DMat3::from_diagonal(DVec3::new(0.0, 1.0, 1.0) * 1e-9 * self.reach_mm.powi(2));
        (matrix.determinant() > 0.0).then(|| matrix.inverse() * right)
    }

    /// Height and normal at a pixel: the planes of the four places around it, those of its own
    /// surface before those of another.
    fn at(&self, relief: &Relief, x: usize, y: usize) -> (f32, Vec3) {
        let i = y * relief.across() + x;
        let own = f64::from(relief.height_mm()[i]);
        if relief.cover()[i] == 0.0 {
            return (0.0, Vec3::Z);
        }
        let (right, up) = corner(relief, x, y);
        let place = |n: usize| ((n as f64 + 0.5) / self.side as f64 - 0.5).max(0.0);
        let (u, v) = (place(x), place(y));
        let (c, r) = (u.floor() as usize, v.floor() as usize);
        let (mut sum, mut slope, mut total) = (0.0, DVec3::ZERO, 0.0);
        for (dc, dr) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
            let (column, row) = ((c + dc).min(self.columns - 1), (r + dr).min(self.rows - 1));
            let there = &self.places[row * self.columns + column];
            let Some(plane) = there.plane else { continue };
            let share = |t: f64, d: usize| if d == 1 { t } else { 1.0 - t };
            let near = share(u.fract(), dc) * share(v.fract(), dr);
            let height =
                there.at.z + plane.x + plane.y * (right - there.at.x) + plane.z * (up - there.at.y);
            let miss = (height - own) / self.reach_mm;
            let weight = (near + 1e-6) / (1.0 + miss.powi(4));
            sum += weight * height;
            slope += weight * DVec3::new(-plane.y, -plane.z, 1.0);
            total += weight;
        }
        if total == 0.0 {
            #[expect(clippy::cast_possible_truncation, reason = "a height in the picture")]
            return (own as f32, relief.normal()[i]);
        }
        #[expect(clippy::cast_possible_truncation, reason = "a height in the picture")]
        let height = (sum / total) as f32;
        (height, slope.normalize_or(DVec3::Z).as_vec3())
    }
}

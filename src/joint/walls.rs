//! How thick the walls of a body are: by rays from the surface inward.
//!
//! From samples of every surface a ray runs inward, against the normal, to the first surface that
//! it comes out through; the length is the thickness there. All parts are asked together, so an
//! outside and an inside that were scanned apart, as two open shells, are measured against one
//! another. This is the thickness along the normal of the side where the ray begins. Where the
//! sides lean to one another by an angle a, it is more than what a calliper would find across the
//! middle, by at most 1/cos a; a ball fitted in between would instead be small at every edge, and
//! call every edge thin.
//!
//! A ray is believed only when the far side's normal is within 60 degrees of straight, otherwise it
//! grazes a side and says nothing of a wall. A ray that goes in once more before it comes out has
//! either met a part that reaches into the wall, or passed through a hole into the hollow and on
//! to the far wall: only when what goes in and comes out is even to the end is the first way out
//! the wall's. A place that lies within the material, since parts reach into one another or the
//! surface crosses itself, is not the side of a wall. What could not be measured is told by area.
//!
//! An outside whose inside was not scanned cannot be told from a solid thing.
//!
//! A fold of a rough scan is thin, too, over a triangle or two: the least of all thicknesses may
//! be a fold's. The twentieth part and the area of a thin place tell more.

use super::Part;
use super::places::groups;
use super::sample::{Sample, samples};
use crate::mesh::Spot;
use crate::space::Crossed;
use glam::DVec3;
use rayon::prelude::*;

/// What to look for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallAsked {
    /// Walls thinner than this are gathered into places, millimetres.
    pub thin_below_mm: f64,
    /// Width of the bars of the histogram, millimetres.
    pub bar_mm: f64,
    /// Samples, at least, over all parts.
    pub samples: u32,
}

impl Default for WallAsked {
    fn default() -> Self {
        Self {
            thin_below_mm: 1.0,
            bar_mm: 0.5,
            samples: 50_000,
        }
    }
}

/// A bar of the histogram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// Thickness from here on, millimetres.
    pub from_mm: f64,
    /// To here, millimetres.
    pub to_mm: f64,
    /// Area whose wall is that thick, square millimetres.
    pub area_mm2: f64,
}

/// A connected place with a thin wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinPlace {
    /// Ball around it.
    pub spot: Spot,
    /// Area, on both sides of the wall together, square millimetres.
    pub area_mm2: f64,
    /// Least thickness, millimetres.
    pub least_mm: f64,
    /// Where.
    pub least_at: DVec3,
}

/// How thick the walls of a body are.
#[derive(Debug, Clone, PartialEq)]
pub struct Walls {
    /// Least thickness, millimetres.
    pub least_mm: f64,
    /// Where: a ball around both ends of the ray.
    pub least_at: Spot,
    /// Half of the measured area has a thinner wall, millimetres.
    pub median_mm: f64,
    /// One twentieth of the measured area has a thinner wall, millimetres.
    pub p05_mm: f64,
    /// Area by thickness, from zero up; bars without area are there only between others. The
    /// last bar takes in all that is thicker when there would be more than a thousand.
    pub histogram: Vec<Bin>,
    /// What was asked about as thin, millimetres.
    pub thin_below_mm: f64,
    /// Places thinner than that, the largest first.
    pub thin: Vec<ThinPlace>,
    /// Share of the area from which no way out was found, or only through a hole, 0 to 1.
    pub escaped: f64,
    /// Share of the area whose rays grazed the far side, 0 to 1.
    pub grazed: f64,
    /// Share of the area that lies inside the material, 0 to 1: where one part reaches into another,
    /// where a surface crosses itself, and where a look outward through a hole makes it seem so.
    pub buried: f64,
    /// Rays sent.
    pub samples: usize,
}

/// Cosine of the widest angle from straight at the far side: 60 degrees.
const STRAIGHT: f64 = 0.5;
/// Bars of the histogram at most.
const BARS: usize = 1000;
/// Thin samples within about this many times their usual distance are one place.
const NEAR: f64 = 2.0;

/// What a ray found.
#[derive(Clone, Copy)]
enum Ray {
    Wall(f64),
    Escaped,
    Grazed,
    Buried,
}

/// Measures the walls of a body made of these parts. `None` when no wall could be measured at all.
pub fn walls(parts: &[Part], asked: WallAsked) -> Option<Walls> {
    let area: Vec<f64> = parts
        .iter()
        .map(|p| crate::mesh::area_mm2(p.mesh))
        .collect();
    let total: f64 = area.iter().sum();
    let all: Vec<Sample> = parts
        .iter()
        .zip(&area)
        .flat_map(|(part, area)| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a share of the count"
            )]
            let count = (f64::from(asked.samples) * area / total).ceil() as u32;
            samples(*part, count, |_| true)
        })
        .collect();
    let rays: Vec<Ray> = all.par_iter().map(|s| inward(parts, s)).collect();
    let share = |of: fn(&Ray) -> bool| {
        let area = |keep: &dyn Fn(&Ray) -> bool| -> f64 {
            let pairs = all.iter().zip(&rays);
            pairs
                .filter(|(_, r)| keep(r))
                .map(|(s, _)| s.area_mm2)
                .sum()
        };
        area(&of) / area(&|_| true)
    };
    let mut found: Vec<(f64, Sample)> = all
        .iter()
        .zip(&rays)
        .filter_map(|(s, r)| match r {
            Ray::Wall(mm) => Some((*mm, *s)),
            Ray::Escaped | Ray::Grazed | Ray::Buried => None,
        })
        .collect();
    // Stable, so that equals keep the order of the surface.
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (least_mm, first) = *found.first()?;
    let far = first.point - first.normal * least_mm;
    Some(Walls {
        least_mm,
        least_at: Spot::around([first.point, far].into_iter()),
        median_mm: at_share(&found, 0.5),
        p05_mm: at_share(&found, 0.05),
        histogram: histogram(&found, asked.bar_mm),
        thin_below_mm: asked.thin_below_mm,
        thin: thin(&found, asked.thin_below_mm),
        escaped: share(|r| matches!(r, Ray::Escaped)),
        grazed: share(|r| matches!(r, Ray::Grazed)),
        buried: share(|r| matches!(r, Ray::Buried)),
        samples: all.len(),
    })
}

/// Crossings nearer than this share of the largest coordinate are the surface that the ray begins
/// on, or one that touches it exactly.
const HERE: f64 = 1e-12;

/// The wall below a sample.
fn inward(parts: &[Part], sample: &Sample) -> Ray {
    let way = -sample.normal;
    let here = sample.point.abs().max_element() * HERE;
    let first = |enters: bool, far_mm: f64| {
        let met = parts.iter().filter_map(|part| {
            let wanted = |c: &Crossed| c.enters == enters && c.distance_mm > here;
            let found = part.tree.first_along(sample.point, way, far_mm, wanted)?;
            Some((part, found))
        });
        met.min_by(|a, b| a.1.distance_mm.total_cmp(&b.1.distance_mm))
    };
    let Some((part, out)) = first(false, f64::INFINITY) else {
        return Ray::Escaped;
    };
    if depth(parts, sample, -way, here) > 0 {
        return Ray::Buried;
    }
    if first(true, out.distance_mm).is_some() && depth(parts, sample, way, here) != 1 {
        return Ray::Escaped;
    }
    let [a, b, c] = part.mesh.corners(out.face);
    let normal = (b - a).cross(c - a).normalize_or_zero();
    if normal.dot(way) < STRAIGHT {
        return Ray::Grazed;
    }
    Ray::Wall(out.distance_mm)
}

/// How many times a line from a sample comes out of the material more often than it goes in: how
/// deep in the material it begins.
fn depth(parts: &[Part], sample: &Sample, way: DVec3, here: f64) -> i32 {
    let all = parts
        .iter()
        .flat_map(|part| part.tree.crossings_along(sample.point, way, f64::INFINITY));
    let ahead = all.filter(|c| c.distance_mm > here);
    ahead.map(|c| if c.enters { -1 } else { 1 }).sum()
}

/// The thickness below which a share of the area lies; `found` in ascending order.
fn at_share(found: &[(f64, Sample)], share: f64) -> f64 {
    let goal = share * found.iter().map(|f| f.1.area_mm2).sum::<f64>();
    let mut area = 0.0;
    for (mm, sample) in found {
        area += sample.area_mm2;
        if area >= goal {
            return *mm;
        }
    }
    found.last().map_or(0.0, |f| f.0)
}

fn histogram(found: &[(f64, Sample)], bar_mm: f64) -> Vec<Bin> {
    let mut bars: Vec<Bin> = Vec::new();
    for (mm, sample) in found {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a thickness is not negative, and the bars are limited"
        )]
        let bar = ((mm / bar_mm) as usize).min(BARS - 1);
        while bars.len() <= bar {
            let from_mm = bars.last().map_or(0.0, |b| b.to_mm);
            #[expect(clippy::cast_precision_loss, reason = "at most a thousand")]
            let to_mm = (bars.len() + 1) as f64 * bar_mm;
            bars.push(Bin {
                from_mm,
                to_mm,
                area_mm2: 0.0,
            });
        }
        bars[bar].area_mm2 += sample.area_mm2;
    }
    if let (Some(last), Some((thickest, _))) = (bars.last_mut(), found.last()) {
        last.to_mm = last.to_mm.max(*thickest);
    }
    bars
}

fn thin(found: &[(f64, Sample)], below_mm: f64) -> Vec<ThinPlace> {
    let thin = &found[..found.partition_point(|f| f.0 < below_mm)];
    // Neighbours on one side are about the root of their area apart; the other side of the wall
    // is nearer than the limit.
    let widest = thin.iter().map(|f| f.1.area_mm2).fold(0.0, f64::max).sqrt();
    let points: Vec<DVec3> = thin.iter().map(|f| f.1.point).collect();
    let mut places: Vec<ThinPlace> = groups(&points, (widest * NEAR).max(below_mm))
        .into_iter()
        .filter_map(|group| {
            // In ascending order of thickness, so the first is the thinnest.
            let (least_mm, sample) = thin[*group.first()?];
            Some(ThinPlace {
                spot: Spot::around(group.iter().map(|&i| points[i])),
                area_mm2: group.iter().map(|&i| thin[i].1.area_mm2).sum(),
                least_mm,
                least_at: sample.point,
            })
        })
        .collect();
    places.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    places
}

#[cfg(test)]
mod tests;

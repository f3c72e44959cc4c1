//! How much of a patch is seen from a direction.

use super::{Part, Patch};
use crate::profile::Plane;
use crate::record::ViewFrom;
use glam::DVec3;

/// Rays start this far above the surface, as a share of the body's size: clear of the noise of a
/// scan, and far below anything that could hide a detail.
const LIFT: f64 = 4e-4;
/// Surface that is seen more slantingly than this counts as turned away (cosine of 85°).
const SLANT: f64 = 0.087;
/// Points around a patch at which the outline is looked for, and how many radii off.
const RING: (u32, f64) = (12, 1.5);

/// From the object to the eye, a unit vector.
pub fn toward_eye(from: ViewFrom) -> DVec3 {
    let (azimuth, elevation) = (
        from.azimuth_deg.to_radians(),
        from.elevation_deg.to_radians(),
    );
    DVec3::new(
        azimuth.sin() * elevation.cos(),
        elevation.sin(),
        azimuth.cos() * elevation.cos(),
    )
}

/// What is left out of a picture, so that the rest is seen.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LeftOut {
    /// Parts that are taken away, by number.
    pub parts: Vec<usize>,
    /// The part of the patch is cut open here: what lies before the plane is left out.
    pub cut: Option<Plane>,
}

impl LeftOut {
    /// Whether the body is shown as it is.
    pub fn nothing(&self) -> bool {
        self.parts.is_empty() && self.cut.is_none()
    }
}

/// A body around one of its parts.
#[derive(Debug, Clone)]
pub struct Scenery<'a> {
    pub(super) parts: Vec<Part<'a>>,
    /// The part that the patch is on.
    pub(super) own: usize,
    /// Length of the diagonal of the box around the body, millimetres.
    size_mm: f64,
}

impl<'a> Scenery<'a> {
    /// Parts of a body, and the number of the one that the patch is on. `None` when there is no
    /// such part.
    pub fn of(parts: Vec<Part<'a>>, own: usize) -> Option<Self> {
        let boxes = parts.iter().filter_map(|p| p.mesh.bounds());
        let around = boxes.reduce(crate::mesh::Bounds::union)?;
        (own < parts.len()).then(|| Self {
            parts,
            own,
            size_mm: around.size().length(),
        })
    }

    /// Share of the patch that an eye far away sees.
    pub fn seen(&self, patch: &Patch, from: ViewFrom, left_out: &LeftOut) -> f64 {
        let eye = toward_eye(from);
        self.share(patch, |sample| {
            sample.normal.dot(eye) > SLANT
                && (0..self.parts.len()).all(|part| {
                    !self.blocked(
                        part,
                        sample.point + sample.normal * self.lift(),
                        eye,
                        left_out,
                    )
                })
        })
    }

    /// Share of the patch that each part stands before, itself included. Two parts may hide the
    /// same place, so that the shares add up to more than is hidden.
    pub fn hidden_by(&self, patch: &Patch, from: ViewFrom, left_out: &LeftOut) -> Vec<f64> {
        let eye = toward_eye(from);
        let of = |part: usize| {
            self.share(patch, |sample| {
                let faces = sample.normal.dot(eye) > SLANT;
                // What is turned away is hidden by the part's own thickness.
                if !faces {
                    return part == self.own;
                }
                self.blocked(
                    part,
                    sample.point + sample.normal * self.lift(),
                    eye,
                    left_out,
                )
            })
        };
        (0..self.parts.len()).map(of).collect()
    }

    /// Share of a ring around the patch, in the picture, behind which the body goes on: 1 well within
    /// its outline, about a half at its edge.
    pub(super) fn within_outline(&self, patch: &Patch, from: ViewFrom, left_out: &LeftOut) -> f64 {
        let eye = toward_eye(from);
        let (right, up) = eye.any_orthonormal_pair();
        let (count, radii) = RING;
        let inside = (0..count).filter(|k| {
            let turn = std::f64::consts::TAU * f64::from(*k) / f64::from(count);
            let off = (right * turn.cos() + up * turn.sin()) * patch.radius_mm * radii;
            let far = patch.centre + off - eye * self.size_mm * 1.5;
            (0..self.parts.len()).any(|part| self.blocked(part, far, eye, left_out))
        });
        inside.count() as f64 / f64::from(count)
    }

    pub(super) fn lift(&self) -> f64 {
        self.size_mm * LIFT
    }

    fn share(&self, patch: &Patch, holds: impl Fn(&super::patch::Sample) -> bool) -> f64 {
        let held = patch.samples.iter().filter(|s| holds(s));
        let area = held.fold(0.0, |area, s| area + s.area_mm2);
        (area / patch.area_mm2).clamp(0.0, 1.0)
    }

    /// Whether a part stands between a point and the eye. Of a part that is cut open only what lies
    /// behind the plane does, and a point before the plane is itself gone.
    fn blocked(&self, part: usize, origin: DVec3, eye: DVec3, left_out: &LeftOut) -> bool {
        if left_out.parts.contains(&part) {
            return false;
        }
        let far = 3.0 * self.size_mm;
        let far = match left_out.cut.filter(|_| part == self.own) {
            None => far,
            Some(plane) => {
                let toward = plane.toward_eye();
                let before = (origin - plane.origin).dot(toward);
                if before > 0.0 {
                    return true;
                }
                let approach = eye.dot(toward);
                if approach > 0.0 {
                    far.min(-before / approach)
                } else {
                    far
                }
            }
        };
        self.parts[part].tree.blocked(origin, eye, far)
    }
}

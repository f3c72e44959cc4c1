//! An orthographic camera: like an engraver's eye, far away, so that sizes can be compared.

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// Where the picture is taken from. Angles as in [`crate::record::ViewFrom`]: azimuth 0 looks from
/// +Z, 90 from +X; elevation is the height of the eye above the horizon.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Camera {
    /// The point at the middle of the picture, millimetres.
    pub centre_mm: DVec3,
    /// Turn about the vertical, degrees.
    pub azimuth_deg: f64,
    /// Height above the horizon, degrees.
    pub elevation_deg: f64,
    /// Half the height of the picture, millimetres.
    pub half_height_mm: f64,
    /// Width and height of the picture, pixels.
    pub size_px: [u32; 2],
}

/// Samples of a pixel that needs more than its middle, one in each quarter: a rotated square, so
/// that edges in any direction get four steps.
pub(super) const QUARTERS: [[f64; 2]; 4] = [
    [0.375, 0.125],
    [0.875, 0.375],
    [0.125, 0.625],
    [0.625, 0.875],
];

/// The three directions of a camera, unit vectors.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axes {
    pub(crate) right: DVec3,
    pub(crate) up: DVec3,
    /// From the object to the eye.
    pub(crate) toward_eye: DVec3,
}

impl Camera {
    /// A camera that looks at a point.
    pub fn at(
        centre_mm: DVec3,
        azimuth_deg: f64,
        elevation_deg: f64,
        half_height_mm: f64,
        size_px: [u32; 2],
    ) -> Self {
        Self {
            centre_mm,
            azimuth_deg,
            elevation_deg,
            half_height_mm,
            size_px,
        }
    }

    /// A camera that shows all of these points, with a share of the picture's width and of its
    /// height free on every side. Without points it shows the origin.
    pub fn framing(
        points: impl Iterator<Item = DVec3>,
        azimuth_deg: f64,
        elevation_deg: f64,
        size_px: [u32; 2],
        free: [f64; 2],
    ) -> Self {
        let mut camera = Self::at(DVec3::ZERO, azimuth_deg, elevation_deg, 1.0, size_px);
        let axes = camera.axes();
        let place =
            |p: DVec3| DVec3::new(p.dot(axes.right), p.dot(axes.up), p.dot(axes.toward_eye));
        let around = points
            .map(place)
            .fold(None, |box_: Option<(DVec3, DVec3)>, p| {
                let (low, high) = box_.unwrap_or((p, p));
                Some((low.min(p), high.max(p)))
            });
        let (low, high) = around.unwrap_or_default();
        let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
        camera.centre_mm = axes.right * middle.x + axes.up * middle.y + axes.toward_eye * middle.z;
        let by_width = half.x / camera.aspect() / (1.0 - 2.0 * free[0]);
        camera.half_height_mm = by_width
            .max(half.y / (1.0 - 2.0 * free[1]))
            .max(f64::MIN_POSITIVE);
        camera
    }

    /// Width over height.
    fn aspect(&self) -> f64 {
        f64::from(self.size_px[0]) / f64::from(self.size_px[1])
    }

    pub(crate) fn axes(&self) -> Axes {
        let (azimuth, elevation) = (
            self.azimuth_deg.to_radians(),
            self.elevation_deg.to_radians(),
        );
        let right = DVec3::new(azimuth.cos(), 0.0, -azimuth.sin());
        let toward_eye = DVec3::new(
            azimuth.sin() * elevation.cos(),
            elevation.sin(),
            azimuth.cos() * elevation.cos(),
        );
        Axes {
            right,
            up: toward_eye.cross(right),
            toward_eye,
        }
    }

    /// Width of a pixel, millimetres.
    pub(crate) fn pixel_mm(&self) -> f64 {
        2.0 * self.half_height_mm / f64::from(self.size_px[1].max(1))
    }

    /// The ray through a place of the picture, pixels from the top left corner: where it begins,
    /// `away_mm` before the plane of the picture's middle, and which way it goes.
    pub(super) fn ray(&self, axes: &Axes, [x, y]: [f64; 2], away_mm: f64) -> (DVec3, DVec3) {
        let [width, height] = self.size_px.map(f64::from);
        let (across, up) = (x - width / 2.0, height / 2.0 - y);
        let on_plane = (axes.right * across + axes.up * up) * self.pixel_mm();
        (
            self.centre_mm + on_plane + axes.toward_eye * away_mm,
            -axes.toward_eye,
        )
    }

    /// Where a point of the world falls in the picture, pixels from the top left corner.
    pub fn project(&self, point: DVec3) -> [f64; 2] {
        self.project_along(&self.axes(), point)
    }

    /// The same, for many points of a camera whose axes are known.
    pub(super) fn project_along(&self, axes: &Axes, point: DVec3) -> [f64; 2] {
        let from = point - self.centre_mm;
        let [width, height] = self.size_px.map(f64::from);
        let pixel_mm = self.pixel_mm();
        [
            width / 2.0 + from.dot(axes.right) / pixel_mm,
            height / 2.0 - from.dot(axes.up) / pixel_mm,
        ]
    }

    /// All that the picture depends on, for a store's key.
    pub fn digest_bytes(&self) -> Vec<u8> {
        let numbers = [self.azimuth_deg, self.elevation_deg, self.half_height_mm];
        let mut out: Vec<u8> = self
            .centre_mm
            .to_array()
            .iter()
            .chain(&numbers)
            .flat_map(|v| v.to_le_bytes())
            .collect();
        out.extend(self.size_px.iter().flat_map(|v| v.to_le_bytes()));
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn azimuth_and_elevation_mean_what_they_say() {
        let eye = |azimuth, elevation| {
            Camera::at(DVec3::ZERO, azimuth, elevation, 1.0, [2, 2])
                .axes()
                .toward_eye
        };
        for (found, expected) in [
            (eye(0.0, 0.0), DVec3::Z),
            (eye(90.0, 0.0), DVec3::X),
            (eye(0.0, 90.0), DVec3::Y),
            (eye(180.0, 0.0), DVec3::NEG_Z),
        ] {
            assert!((found - expected).length() < 1e-12);
        }
        let axes = Camera::at(DVec3::ZERO, 30.0, 20.0, 1.0, [2, 2]).axes();
        assert!(
            (axes.right.cross(axes.up) - axes.toward_eye).length() < 1e-12,
            "right-handed"
        );
    }

    /// The ray through a pixel meets what is shown there.
    #[test]
    fn a_ray_goes_through_its_place() {
        let camera = Camera::at(DVec3::new(3.0, -2.0, 7.0), 40.0, -25.0, 60.0, [320, 200]);
        for at in [[0.0, 0.0], [160.0, 100.0], [319.5, 12.25]] {
            let (from, way) = camera.ray(&camera.axes(), at, 500.0);
            let found = camera.project(from + way * 321.0);
            assert!((0..2).all(|k| (found[k] - at[k]).abs() < 1e-9), "{found:?}");
        }
    }

    #[test]
    fn a_known_length_has_its_length_in_pixels() {
        let corners = [
            DVec3::ZERO,
            DVec3::new(50.0, 130.0, 0.0),
            DVec3::new(-50.0, 0.0, 0.0),
        ];
        let camera = Camera::framing(corners.into_iter(), 0.0, 0.0, [1600, 1280], [0.1, 0.1]);
        let [low, high] = [0.0, 130.0].map(|y| camera.project(DVec3::new(0.0, y, 0.0)));
        assert!(
            (low[1] - high[1] - 1280.0 * 0.8).abs() < 1e-9,
            "fills what the margins leave"
        );
        assert!((low[0] - 800.0).abs() < 1e-9);
    }
}

//! The space between a patch and its feet on the other surface.

use super::Field;
use glam::DVec3;

/// Volume swept by a triangle as its corners go straight to their feet, signed by the triangle's
/// own outward side. The flow through the moving triangle is its mean velocity times its area
/// vector, and that is a quadratic in time, which Simpson's rule sums exactly.
pub(super) fn swept_mm3(from: [DVec3; 3], to: [DVec3; 3]) -> f64 {
    let velocity = (to[0] - from[0] + to[1] - from[1] + to[2] - from[2]) / 3.0;
    let area = |t: f64| {
        let p: [DVec3; 3] = std::array::from_fn(|k| from[k].lerp(to[k], t));
        (p[1] - p[0]).cross(p[2] - p[0]) / 2.0
    };
    velocity.dot(area(0.0) + area(0.5) * 4.0 + area(1.0)) / 6.0
}

/// Volume between the triangles of a patch and their feet, mm³: positive where the patch stands
/// outside the other surface. `free` says which corners belong to the patch or to none: a triangle
/// that reaches into a neighbour is the neighbour's.
pub(super) fn between_mm3(field: &Field, free: impl Fn(u32) -> bool, faces: &[u32]) -> f64 {
    faces
        .iter()
        .map(|face| field.triangles[*face as usize])
        .filter(|t| t.iter().all(|i| free(*i) && field.captured[*i as usize]))
        .map(|t| {
            let from = t.map(|i| field.places[i as usize]);
            let to = t.map(|i| field.feet[i as usize]);
            -swept_mm3(from, to)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A prism is base times height, and a triangle that shrinks into a point sweeps a pyramid.
    #[test]
    fn prisms_and_pyramids() {
        let base = [DVec3::ZERO, DVec3::X * 10.0, DVec3::Y * 20.0];
        let lifted = base.map(|p| p + DVec3::new(3.0, -1.0, 6.0));
        assert!((swept_mm3(base, lifted) - 600.0).abs() < 1e-9);
        let tip = [DVec3::new(2.0, 5.0, 30.0); 3];
        assert!((swept_mm3(base, tip) - 1000.0).abs() < 1e-9);
        assert!((swept_mm3(lifted, base) + 600.0).abs() < 1e-9);
    }
}

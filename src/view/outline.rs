//! The edge of a patch of surface, to be drawn: where the surface passes through a ball.

use crate::mesh::Mesh;
use crate::space::closest_on_triangle;
use glam::DVec3;

/// Triangles are cut down until their longest edge is below this share of the radius, so that the ball
/// is followed and not cut off.
const FINE: f64 = 0.2;
/// Triangles are halved so often at most.
const HALVINGS: u32 = 14;

/// Pieces of the edge of the patch around `centre`, from point to point, millimetres. Surface that faces
/// away from `normal`, as the far side of a thin wall does, has no part in it.
pub fn outline(mesh: &Mesh, centre: DVec3, normal: DVec3, radius_mm: f64) -> Vec<[DVec3; 2]> {
    let mut pieces = Vec::new();
    for face in (0u32..).take(mesh.triangles().len()) {
        let corners = mesh.corners(face);
        let [a, b, c] = corners;
        let reach = closest_on_triangle(centre, corners).point.distance(centre);
        if reach <= radius_mm && (b - a).cross(c - a).dot(normal) > 0.0 {
            crossed(corners, centre, radius_mm, HALVINGS, &mut pieces);
        }
    }
    pieces
}

fn crossed(
    corners: [DVec3; 3],
    centre: DVec3,
    radius_mm: f64,
    halvings: u32,
    pieces: &mut Vec<[DVec3; 2]>,
) {
    let [a, b, c] = corners;
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    if longest > FINE * radius_mm && halvings > 0 {
        let [ab, bc, ca] = [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0];
        for smaller in [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]] {
            if closest_on_triangle(centre, smaller).point.distance(centre) <= radius_mm {
                crossed(smaller, centre, radius_mm, halvings - 1, pieces);
            }
        }
        return;
    }
    let inside = corners.map(|p| p.distance(centre) <= radius_mm);
    let mut ends = (0..3).filter_map(|k| {
        let (from, to) = (k, (k + 1) % 3);
        (inside[from] != inside[to]).then(|| on_ball(corners[from], corners[to], centre, radius_mm))
    });
    if let (Some(one), Some(other)) = (ends.next(), ends.next()) {
        pieces.push([one, other]);
    }
}

/// Where the line between a point within the ball and one without passes through it.
fn on_ball(a: DVec3, b: DVec3, centre: DVec3, radius_mm: f64) -> DVec3 {
    let (way, off) = (b - a, a - centre);
    let (p, q, r) = (
        way.length_squared(),
        off.dot(way),
        off.length_squared() - radius_mm * radius_mm,
    );
    let root = (q * q - p * r).max(0.0).sqrt();
    let one = (-q - root) / p;
    let t = if (0.0..=1.0).contains(&one) {
        one
    } else {
        (root - q) / p
    };
    a + way * t.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::super::shapes::{Body, Shape};
    use super::*;
    use std::f64::consts::TAU;

    /// On a flat side the edge is a circle of circumference 2πr, whatever the triangles; every point of
    /// it is on the ball.
    #[test]
    fn on_a_flat_side_the_edge_is_a_circle() {
        let block = Body::of([Shape::block(DVec3::ZERO, DVec3::splat(400.0))]);
        let centre = DVec3::new(3.0, 5.0, 200.0);
        let pieces = outline(block.part(0).mesh, centre, DVec3::Z, 12.0);
        let length: f64 = pieces.iter().map(|[a, b]| a.distance(*b)).sum();
        assert!((length / (TAU * 12.0) - 1.0).abs() < 0.01, "{length}");
        for point in pieces.iter().flatten() {
            assert!((point.distance(centre) - 12.0).abs() < 1e-6);
        }
    }

    /// A plane that cuts a sphere of radius R in a circle around a point at reach r has the radius
    /// r √(1 − r²/4R²) (the chord's triangle, Euclid III 35).
    #[test]
    fn on_a_ball_the_edge_is_the_circle_of_the_chord() {
        let ball = Body::of([Shape::sphere(DVec3::ZERO, 40.0, 160)]);
        let pieces = outline(ball.part(0).mesh, DVec3::X * 40.0, DVec3::X, 12.0);
        let length: f64 = pieces.iter().map(|[a, b]| a.distance(*b)).sum();
        let radius = 12.0 * (1.0 - 144.0 / (4.0 * 1600.0f64)).sqrt();
        assert!((length / (TAU * radius) - 1.0).abs() < 0.01, "{length}");
    }
}

//! Two triangles: how far apart, and where.

use super::triangle::{closest_on_triangle, ray_triangle};
use glam::DVec3;

/// Two triangles' nearest points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// Distance, in the unit of the corners. Zero when they pass through one another.
    pub distance: f64,
    /// The nearest point of the one and of the other.
    pub points: [DVec3; 2],
}

/// The distance between two triangles: zero where an edge of one passes through the other, else the
/// least over corners against triangles and edges against edges (Ericson, *Real-Time Collision
/// Detection*, 2005, section 5.1.10).
pub fn between_triangles(one: [DVec3; 3], other: [DVec3; 3]) -> Apart {
    let edges = |t: [DVec3; 3]| [0, 1, 2].map(|k| [t[k], t[(k + 1) % 3]]);
    for (lines, face) in [(one, other), (other, one)] {
        for [from, to] in edges(lines) {
            if let Some((share, _)) = ray_triangle(from, to - from, face)
                && share <= 1.0
            {
                let point = from + (to - from) * share;
                return Apart {
                    distance: 0.0,
                    points: [point, point],
                };
            }
        }
    }
    let mut best = Apart {
        distance: f64::INFINITY,
        points: [one[0], other[0]],
    };
    let mut offer = |points: [DVec3; 2]| {
        let distance = points[0].distance(points[1]);
        if distance < best.distance {
            best = Apart { distance, points };
        }
    };
    for corner in one {
        offer([corner, closest_on_triangle(corner, other).point]);
    }
    for corner in other {
        offer([closest_on_triangle(corner, one).point, corner]);
    }
    for a in edges(one) {
        for b in edges(other) {
            offer(between_edges(a, b));
        }
    }
    best
}

/// Nearest points of two segments (Ericson, as above, section 5.1.9).
fn between_edges([a, b]: [DVec3; 2], [c, d]: [DVec3; 2]) -> [DVec3; 2] {
    let (one, other, from) = (b - a, d - c, a - c);
    let (long, wide) = (one.length_squared(), other.length_squared());
    let (p, q, r) = (one.dot(from), other.dot(from), one.dot(other));
    let share = |n: f64, d: f64| {
        if d > 0.0 {
            (n / d).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    let s = share(r * q - p * wide, long * wide - r * r);
    // The nearest point of the other edge to that; where it is an end, the nearest to the end.
    let t = share(r * s + q, wide);
    let s = share(r * t - p, long);
    [a + one * s, c + other * t]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(at: DVec3) -> [DVec3; 3] {
        [at, at + DVec3::X * 10.0, at + DVec3::Y * 10.0]
    }

    #[test]
    fn distances_worked_by_hand() {
        let one = flat(DVec3::ZERO);
        // Over one another, and side by side along the long edges' corner.
        assert!((between_triangles(one, flat(DVec3::Z * 3.0)).distance - 3.0).abs() < 1e-12);
        let aside = between_triangles(one, flat(DVec3::new(13.0, 0.0, 4.0)));
        assert!((aside.distance - 5.0).abs() < 1e-12);
        // Two edges that cross at a right angle, 2 apart: neither has a corner near.
        let across = [
            DVec3::new(5.0, -5.0, -2.0),
            DVec3::new(5.0, 5.0, -2.0),
            DVec3::new(5.0, 0.0, -9.0),
        ];
        let ridge = [
            DVec3::new(0.0, 0.0, 0.0),
            DVec3::new(10.0, 0.0, 0.0),
            DVec3::new(5.0, 0.0, 9.0),
        ];
        let met = between_triangles(ridge, across);
        assert!((met.distance - 2.0).abs() < 1e-12);
        assert!(met.points[0].distance(DVec3::X * 5.0) < 1e-12);
        assert!(met.points[1].distance(DVec3::new(5.0, 0.0, -2.0)) < 1e-12);
    }

    #[test]
    fn triangles_that_pass_through_are_not_apart() {
        let through = [
            DVec3::new(2.0, 2.0, -1.0),
            DVec3::new(2.0, 2.0, 1.0),
            DVec3::new(2.5, 2.5, 0.0),
        ];
        let met = between_triangles(flat(DVec3::ZERO), through);
        assert_eq!(met.distance, 0.0);
        assert!(met.points[0].distance(DVec3::new(2.0, 2.0, 0.0)) < 1e-12);
    }
}

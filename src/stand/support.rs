//! The polygon that a thing stands on, and when it tips over the polygon's edge.

use glam::{DVec2, DVec3};
use robust::{Coord, orient2d};

/// When a thing tips.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tip {
    /// The least angle by which the floor must tilt, degrees: atan(d/h), d the distance from the
    /// foot of the centre of mass to the nearest edge, h the height of the centre. Negative when
    /// the foot lies outside.
    pub least_deg: f64,
    /// The edge that it tips over.
    pub edge: [DVec3; 2],
    /// Away over that edge: a unit vector in the plane, in the body's frame.
    pub toward: DVec3,
    /// The distance d, millimetres; negative when the foot lies outside.
    pub distance_mm: f64,
}

/// Two directions across a plane, such that the first, the second and `up` are right-handed.
fn across(up: DVec3) -> (DVec3, DVec3) {
    let (u, v) = up.any_orthonormal_pair();
    if u.cross(v).dot(up) > 0.0 {
        (u, v)
    } else {
        (v, u)
    }
}

/// The convex hull of points that lie in the plane across `up`, counter-clockwise seen from above
/// (Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information
/// Processing Letters 9, 1979), with exact signs. Points in the middle of an edge are left out.
pub(super) fn polygon(points: &[DVec3], up: DVec3) -> Vec<DVec3> {
    let (u, v) = across(up);
    let mut flat: Vec<(DVec2, DVec3)> = points
        .iter()
        .map(|p| (DVec2::new(p.dot(u), p.dot(v)), *p))
        .collect();
    flat.sort_by(|a, b| (a.0.x.total_cmp(&b.0.x)).then(a.0.y.total_cmp(&b.0.y)));
    flat.dedup_by_key(|(p, _)| *p);
    if flat.len() < 3 {
        return flat.into_iter().map(|(_, p)| p).collect();
    }
    let mut out = chain(flat.iter());
    out.extend(chain(flat.iter().rev()));
    out
}

/// One half of the polygon, without its last point, which the other half begins with.
fn chain<'a>(points: impl Iterator<Item = &'a (DVec2, DVec3)>) -> Vec<DVec3> {
    let exact = |p: DVec2| Coord { x: p.x, y: p.y };
    let mut out: Vec<&(DVec2, DVec3)> = Vec::new();
    for p in points {
        while let [.., a, b] = out.as_slice() {
            if orient2d(exact(a.0), exact(b.0), exact(p.0)) > 0.0 {
                break;
            }
            out.pop();
        }
        out.push(p);
    }
    out.pop();
    out.into_iter().map(|(_, p)| *p).collect()
}

/// The edges of a polygon, in order.
fn edges(polygon: &[DVec3]) -> impl Iterator<Item = [DVec3; 2]> {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).map(|(a, b)| [*a, *b])
}

/// The least tip over the edges of a polygon that is counter-clockwise seen from above. `None`
/// when the polygon has no area: what touches the floor in a point or a line stands on nothing.
pub(super) fn tip(polygon: &[DVec3], up: DVec3, foot: DVec3, height_mm: f64) -> Option<Tip> {
    if polygon.len() < 3 {
        return None;
    }
    edges(polygon)
        .filter_map(|edge| {
            let toward = (edge[1] - edge[0]).cross(up).try_normalize()?;
            let distance_mm = (edge[0] - foot).dot(toward);
            Some(Tip {
                least_deg: distance_mm.atan2(height_mm).to_degrees(),
                edge,
                toward,
                distance_mm,
            })
        })
        .min_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm))
}

/// How far from the foot the polygon ends in a unit direction in its plane, millimetres. `None`
/// when the foot lies outside.
pub(super) fn extent_mm(
    polygon: &[DVec3],
    up: DVec3,
    foot: DVec3,
    direction: DVec3,
) -> Option<f64> {
    if polygon.len() < 3 {
        return None;
    }
    let mut least = f64::INFINITY;
    for [a, b] in edges(polygon) {
        let outward = (b - a).cross(up);
        let (room, speed) = ((a - foot).dot(outward), direction.dot(outward));
        if room < 0.0 {
            return None;
        }
        if speed > 0.0 {
            least = least.min(room / speed);
        }
    }
    least.is_finite().then_some(least)
}

/// How wide points lie in a unit direction, millimetres.
pub(super) fn width_mm(points: &[DVec3], way: DVec3) -> f64 {
    let along = points.iter().map(|p| p.dot(way));
    let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), d| {
        (l.min(d), h.max(d))
    });
    (high - low).max(0.0)
}

/// The least width of a convex polygon, millimetres: one of its edges lies along the narrowest strip
/// that holds it (Houle and Toussaint, "Computing the width of a set", IEEE Transactions on Pattern
/// Analysis and Machine Intelligence 10, 1988).
pub(super) fn narrowest_mm(polygon: &[DVec3], up: DVec3) -> f64 {
    edges(polygon)
        .filter_map(|[a, b]| (b - a).cross(up).try_normalize())
        .map(|way| width_mm(polygon, way))
        .reduce(f64::min)
        .unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_polygon_runs_counter_clockwise_and_leaves_out_what_is_within() {
        let mut points = Vec::new();
        for x in 0..5 {
            for z in 0..5 {
                points.push(DVec3::new(f64::from(x), 0.0, f64::from(z)));
            }
        }
        let found = polygon(&points, DVec3::Y);
        assert_eq!(found.len(), 4);
        let area: DVec3 = edges(&found).map(|[a, b]| a.cross(b)).sum::<DVec3>() / 2.0;
        assert!((area - DVec3::Y * 16.0).length() < 1e-12, "{area}");
        assert_eq!(polygon(&points[..1], DVec3::Y).len(), 1);
        assert_eq!(polygon(&[DVec3::X; 4], DVec3::Y).len(), 1);
        // In a line: two ends, and nothing to stand on.
        let line = polygon(&points[..5], DVec3::Y);
        assert_eq!(line.len(), 2);
        assert_eq!(tip(&line, DVec3::Y, DVec3::ZERO, 10.0), None);
    }

    /// A rectangle is as narrow as its shorter side, a regular triangle as its height.
    #[test]
    fn the_narrowest_way_across() {
        let flat = |x: f64, z: f64| DVec3::new(x, 0.0, z);
        let box_ = polygon(
            &[
                flat(0.0, 0.0),
                flat(30.0, 0.0),
                flat(30.0, 20.0),
                flat(0.0, 20.0),
            ],
            DVec3::Y,
        );
        assert!((narrowest_mm(&box_, DVec3::Y) - 20.0).abs() < 1e-12);
        assert!((width_mm(&box_, flat(0.6, 0.8)) - 34.0).abs() < 1e-12);
        let three = [flat(0.0, 0.0), flat(10.0, 0.0), flat(5.0, 75f64.sqrt())];
        let three = polygon(&three, DVec3::Y);
        assert!((narrowest_mm(&three, DVec3::Y) - 75f64.sqrt()).abs() < 1e-12);
    }
}

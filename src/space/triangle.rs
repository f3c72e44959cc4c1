//! One triangle: its closest point to a point, and where a ray meets it.

use glam::DVec3;

/// The point of a triangle nearest to another point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The point, in the unit of the corners.
    pub point: DVec3,
    /// Weights of the three corners, summing to 1.
    pub barycentric: [f64; 3],
}

/// Closest point of triangle `abc` to `p`, by the region of the triangle's plane that `p` lies
/// over (Ericson, *Real-Time Collision Detection*, 2005, section 5.1.5).
pub fn closest_on_triangle(p: DVec3, [a, b, c]: [DVec3; 3]) -> Nearest {
    let at = |v: f64, w: f64| Nearest {
        point: a + (b - a) * v + (c - a) * w,
        barycentric: [1.0 - v - w, v, w],
    };
    let (ab, ac) = (b - a, c - a);
    let ap = p - a;
    let (d1, d2) = (ab.dot(ap), ac.dot(ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return at(0.0, 0.0);
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(bp), ac.dot(bp));
    if d3 >= 0.0 && d4 <= d3 {
        return at(1.0, 0.0);
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 && d1 != d3 {
        return at(d1 / (d1 - d3), 0.0);
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(cp), ac.dot(cp));
    if d6 >= 0.0 && d5 <= d6 {
        return at(0.0, 1.0);
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 && d2 != d6 {
        return at(0.0, d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    let (on_b, on_c) = (d4 - d3, d5 - d6);
    if va <= 0.0 && on_b >= 0.0 && on_c >= 0.0 && on_b + on_c > 0.0 {
        let w = on_b / (on_b + on_c);
        return at(1.0 - w, w);
    }
    let total = va + vb + vc;
    if total > 0.0 {
        return at(vb / total, vc / total);
    }
    // A triangle without area: the nearest of its corners will do, since its edges were tried.
    let corner = [(a, at(0.0, 0.0)), (b, at(1.0, 0.0)), (c, at(0.0, 1.0))];
    let nearest = corner
        .into_iter()
        .min_by(|x, y| x.0.distance_squared(p).total_cmp(&y.0.distance_squared(p)));
    nearest.map_or_else(|| at(0.0, 0.0), |(_, found)| found)
}

/// Where a ray meets a triangle from either side: distance along the (not necessarily unit)
/// direction, and the weights of the corners (Möller and Trumbore, "Fast, minimum storage
/// ray/triangle intersection", Journal of Graphics Tools 2, 1997).
pub fn ray_triangle(
    origin: DVec3,
    direction: DVec3,
    [a, b, c]: [DVec3; 3],
) -> Option<(f64, [f64; 3])> {
    let (ab, ac) = (b - a, c - a);
    let across = direction.cross(ac);
    let determinant = ab.dot(across);
    if determinant == 0.0 {
        return None;
    }
    let inverse = 1.0 / determinant;
    let from = origin - a;
    let v = from.dot(across) * inverse;
    if !(0.0..=1.0).contains(&v) {
        return None;
    }
    let other = from.cross(ab);
    let w = direction.dot(other) * inverse;
    if w < 0.0 || v + w > 1.0 {
        return None;
    }
    let distance = ac.dot(other) * inverse;
    (distance > 0.0).then_some((distance, [1.0 - v - w, v, w]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Distances from the triangle (0,0,0)(10,0,0)(0,10,0), worked by hand for each region of its
    /// plane: inside, corner, long edge, edge, corner.
    #[test]
    fn distances_in_every_region() {
        let triangle = [
            DVec3::ZERO,
            DVec3::new(10.0, 0.0, 0.0),
            DVec3::new(0.0, 10.0, 0.0),
        ];
        for (point, expected) in [
            ([2.0, 3.0, 4.0], 4.0),
            ([-3.0, -4.0, 0.0], 5.0),
            ([10.0, 10.0, 0.0], 7.071_067_811_865_475),
            ([5.0, -2.0, 1.0], 2.236_067_977_499_79),
            ([12.0, 0.0, 5.0], 5.385_164_807_134_504),
        ] {
            let p = DVec3::from_array(point);
            let found = closest_on_triangle(p, triangle);
            assert!(
                (found.point.distance(p) - expected).abs() < 1e-12,
                "{point:?}"
            );
            assert!((found.barycentric.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_triangle_without_area_still_has_a_nearest_point() {
        let line = [DVec3::ZERO, DVec3::X * 10.0, DVec3::X * 10.0];
        let found = closest_on_triangle(DVec3::new(4.0, 3.0, 0.0), line);
        assert!((found.point - DVec3::X * 4.0).length() < 1e-12);
        let dot = [DVec3::ONE; 3];
        assert_eq!(closest_on_triangle(DVec3::ZERO, dot).point, DVec3::ONE);
    }
}

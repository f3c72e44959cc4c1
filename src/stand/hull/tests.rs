//! Hulls with closed forms, and points that lie where an inexact hull would break.

use super::*;
use std::collections::BTreeSet;
use std::f64::consts::PI;

/// Numbers in −1..1 from a fixed sequence (Knuth's 64-bit linear congruential constants).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    fn in_ball(&mut self, radius: f64) -> DVec3 {
        loop {
            let p = DVec3::new(self.next(), self.next(), self.next());
            if p.length_squared() <= 1.0 {
                return p * radius;
            }
        }
    }
}

/// Every side is run along once in each sense, its faces know one another, and no point is
/// strictly above a face.
fn validate(hull: &Hull, points: &[DVec3]) {
    let mut sides = BTreeSet::new();
    for (face, corners) in hull.faces.iter().enumerate() {
        for k in 0..3 {
            let side = (corners[k], corners[(k + 1) % 3]);
            assert!(sides.insert(side), "side {side:?} twice");
            let other = hull.faces[hull.beside[face][k]];
            assert!((0..3).any(|j| (other[(j + 1) % 3], other[j]) == side));
        }
        let corners = corners.map(|i| at(points, i));
        assert!(points.iter().all(|p| above(corners, *p) <= 0.0));
    }
    assert!(sides.iter().all(|&(a, b)| sides.contains(&(b, a))));
    // Euler's formula for a surface of triangles: F = 2V − 4.
    assert_eq!(hull.faces.len(), 2 * hull.points.len() - 4);
}

#[test]
fn points_of_a_ball() {
    let mut dice = Dice(11);
    let points: Vec<DVec3> = (0..20_000).map(|_| dice.in_ball(10.0)).collect();
    let hull = hull(&points).unwrap();
    validate(&hull, &points);
    // Less than the ball, and by little: 4/3 πr³ = 4188.790205 (standards of solids).
    let share = hull.volume_mm3(&points) / (4.0 / 3.0 * PI * 1000.0);
    assert!(share < 1.0 && share > 0.95, "{share}");
    assert!(hull.area_mm2(&points) < 4.0 * PI * 100.0);
}

#[test]
fn points_of_a_grid_lie_in_six_planes_exactly() {
    let mut points = Vec::new();
    for x in 0..21 {
        for y in 0..21 {
            for z in 0..21 {
                points.push(DVec3::new(f64::from(x), f64::from(y), f64::from(z)) * 0.1);
            }
        }
    }
    let hull = hull(&points).unwrap();
    validate(&hull, &points);
    assert!((hull.volume_mm3(&points) - 8.0).abs() < 1e-12);
    assert!((hull.area_mm2(&points) - 24.0).abs() < 1e-12);
}

#[test]
fn points_given_many_times_and_points_that_are_none() {
    let corner = |i: u32| {
        let bit = |k: u32| f64::from(i >> k & 1);
        DVec3::new(bit(0) * 10.0, bit(1) * 20.0, bit(2) * 30.0)
    };
    let mut points: Vec<DVec3> = (0..8000).map(|i| corner(i % 8)).collect();
    points.push(DVec3::NAN);
    points.push(DVec3::INFINITY);
    let hull = hull(&points).unwrap();
    assert_eq!(hull.points.len(), 8);
    assert!((hull.volume_mm3(&points) - 6000.0).abs() < 1e-9);
    assert!((hull.area_mm2(&points) - 2200.0).abs() < 1e-9);
    points.truncate(8000);
    validate(&hull, &points);
}

#[test]
fn flat_points_have_no_hull() {
    let mut dice = Dice(5);
    // x, y and x + y with few bits: exactly in the plane z = x + y.
    let flat: Vec<DVec3> = (0..500)
        .map(|_| {
            let (x, y) = ((dice.next() * 1e4).round(), (dice.next() * 1e4).round());
            DVec3::new(x, y, x + y)
        })
        .collect();
    assert_eq!(hull(&flat), None);
    let line: Vec<DVec3> = (0..50).map(|i| DVec3::splat(f64::from(i))).collect();
    assert_eq!(hull(&line), None);
    assert_eq!(hull(&[DVec3::ONE; 9]), None);
    assert_eq!(hull(&[]), None);
    // The least step out of the plane is enough.
    let mut almost = flat;
    almost[77].z = almost[77].z.next_up();
    assert!(hull(&almost).is_some());
}

#[test]
fn a_flat_noisy_foot_under_many_points() {
    let mut dice = Dice(3);
    let points: Vec<DVec3> = (0..3000)
        .map(|i| {
            let p = dice.in_ball(40.0);
            let floor = if i % 2 == 0 {
                dice.next() * 1e-7
            } else {
                p.y.abs()
            };
            DVec3::new(p.x, floor, p.z).as_vec3().as_dvec3()
        })
        .collect();
    let hull = hull(&points).unwrap();
    validate(&hull, &points);
}

#[test]
fn a_million_points() {
    let mut dice = Dice(1);
    let points: Vec<DVec3> = (0..1_000_000).map(|_| dice.in_ball(50.0)).collect();
    let hull = hull(&points).unwrap();
    assert_eq!(hull.faces.len(), 2 * hull.points.len() - 4);
    let ball = 4.0 / 3.0 * PI * 50f64.powi(3);
    let share = hull.volume_mm3(&points) / ball;
    assert!(share < 1.0 && share > 0.995, "{share}");
}

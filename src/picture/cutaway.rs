//! A surface cut open by a plane: what lies behind it, and a flat face where solid was cut.

use crate::mesh::{Between, Mesh, Welded};
use crate::profile::{self, Line, Plane};
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// Changes whenever the same surface and plane would give another cut.
pub const CUTAWAY_METHOD: &str = "cutaway 3";

/// The cut face, sRGB: fired clay, neither metal nor paper, so that nobody takes it for a
/// break.
const CUT_FACE: [u8; 4] = [172, 132, 112, 255];
/// An outline that a hole in a scan left open is closed across the hole up to this share of its
/// length; beyond, nobody knows what is solid there.
const BRIDGED: f64 = 0.2;
/// The cut face lies this far behind the plane, millimetres, so that it hides no edge of the rest.
const BEHIND_MM: f64 = 0.002;

/// A surface that is cut open.
#[derive(Debug)]
pub struct CutOpen {
    /// What lies behind the plane, with its colours; `None` when nothing does.
    pub rest: Option<Mesh>,
    /// The cut face in a plain colour; `None` when no solid was cut.
    pub face: Option<Mesh>,
}

/// Leaves out what lies before the plane, on its eye's side.
pub fn cut_open(mesh: &Mesh, welded: &Welded, plane: &Plane) -> CutOpen {
    CutOpen {
        rest: rest(mesh, plane),
        face: face(welded, plane),
    }
}

fn rest(mesh: &Mesh, plane: &Plane) -> Option<Mesh> {
    let toward = plane.toward_eye();
    let before = |i: u32| (mesh.positions()[i as usize].as_dvec3() - plane.origin).dot(toward);
    let mut kept = Kept::default();
    for t in mesh.triangles() {
        let heights = t.map(before);
        let mut corners = Vec::with_capacity(4);
        for k in 0..3 {
            let next = (k + 1) % 3;
            if heights[k] <= 0.0 {
                corners.push(kept.corner(t[k]));
            }
            if (heights[k] <= 0.0) != (heights[next] <= 0.0) {
                let share = heights[k] / (heights[k] - heights[next]);
                corners.push(kept.between(t[k], t[next], share));
            }
        }
        for k in 2..corners.len() {
            kept.triangles
                .push([corners[0], corners[k - 1], corners[k]]);
        }
    }
    mesh.between(&kept.vertices, kept.triangles).ok()
}

/// Corners of what is left, each once.
#[derive(Default)]
struct Kept {
    vertices: Vec<Between>,
    triangles: Vec<[u32; 3]>,
    corners: BTreeMap<u32, u32>,
    cuts: BTreeMap<[u32; 2], u32>,
}

impl Kept {
    fn add(vertices: &mut Vec<Between>, vertex: Between) -> u32 {
        vertices.push(vertex);
        // No more corners come out than twice those of a mesh that is counted in u32 itself.
        u32::try_from(vertices.len() - 1).unwrap_or(u32::MAX)
    }

    fn corner(&mut self, i: u32) -> u32 {
        let new = || Self::add(&mut self.vertices, Between::at(i));
        *self.corners.entry(i).or_insert_with(new)
    }

    fn between(&mut self, a: u32, b: u32, share: f64) -> u32 {
        let new = || Self::add(&mut self.vertices, Between { a, b, share });
        let edge = [a.min(b), a.max(b)];
        *self.cuts.entry(edge).or_insert_with(new)
    }
}

/// The flat face that closes the cut. Outlines run with what is solid on their left, so those that
/// run clockwise are holes in the one around them.
fn face(welded: &Welded, plane: &Plane) -> Option<Mesh> {
    let places: Vec<DVec3> = welded.places.iter().map(|p| p.as_dvec3()).collect();
    let found = profile::cut(&places, &welded.triangles, plane);
    let bridged = found.open.into_iter().filter(bridgeable);
    let lines: Vec<Line> = found.closed.into_iter().chain(bridged).collect();
    let (outer, holes): (Vec<Line>, Vec<Line>) =
        lines.into_iter().partition(|l| profile::area_mm2(l) > 0.0);
    let mut within: Vec<Vec<Line>> = vec![Vec::new(); outer.len()];
    for hole in holes {
        let around =
            (0..outer.len()).filter(|i| hole.first().is_some_and(|p| inside(*p, &outer[*i])));
        let smallest = around
            .min_by(|a, b| profile::area_mm2(&outer[*a]).total_cmp(&profile::area_mm2(&outer[*b])));
        if let Some(i) = smallest {
            within[i].push(hole);
        }
    }
    let mut positions = Vec::new();
    let mut triangles: Vec<[u32; 3]> = Vec::new();
    let at = |p: &DVec2| {
        let point = plane.origin + plane.right * p.x + plane.up * p.y;
        (point - plane.toward_eye() * BEHIND_MM).as_vec3()
    };
    for (line, holes) in outer.iter().zip(&within) {
        let mut points: Vec<DVec2> = line.clone();
        let mut begins: Vec<u32> = Vec::new();
        for hole in holes {
            begins.push(u32::try_from(points.len()).ok()?);
            points.extend(hole);
        }
        let mut corners: Vec<u32> = Vec::new();
        earcut::Earcut::new().earcut(points.iter().map(|p| p.to_array()), &begins, &mut corners);
        let base = u32::try_from(positions.len()).ok()?;
        positions.extend(points.iter().map(at));
        let place = |i: u32| points[i as usize];
        for t in corners.chunks_exact(3) {
            let [a, b, c] = [t[0], t[1], t[2]];
            let turns = (place(b) - place(a)).perp_dot(place(c) - place(a));
            let facing = if turns >= 0.0 { [a, b, c] } else { [a, c, b] };
            triangles.push(facing.map(|i| i + base));
        }
    }
    let colours = vec![CUT_FACE; positions.len()];
    Mesh::new(positions, triangles)
        .ok()?
        .with_colours(colours)
        .ok()
}

fn bridgeable(open: &Line) -> bool {
    let along: f64 = open.windows(2).map(|p| p[0].distance(p[1])).sum();
    match (open.first(), open.last()) {
        (Some(first), Some(last)) => first.distance(*last) < BRIDGED * along,
        _ => false,
    }
}

/// Whether a point lies within a closed line: a ray to the right meets it an odd number of times
/// (Shimrat, "Algorithm 112: Position of point relative to polygon", CACM 5, 1962).
fn inside(point: DVec2, closed: &Line) -> bool {
    let ends = closed.iter().skip(1).chain(closed.first());
    let met = closed.iter().zip(ends).filter(|(a, b)| {
        (a.y > point.y) != (b.y > point.y)
            && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    met.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::weld;
    use std::f64::consts::{PI, TAU};

    /// A ball with a hollow in it, or without.
    fn ball(radii: &[f64]) -> Mesh {
        let (rows, around) = (48u32, 96u32);
        let (mut positions, mut triangles) = (Vec::new(), Vec::new());
        for (shell, radius) in radii.iter().enumerate() {
            let base = positions.len() as u32;
            for row in 0..=rows {
                for k in 0..around {
                    let (down, turn) = (
                        PI * f64::from(row) / f64::from(rows),
                        TAU * f64::from(k) / f64::from(around),
                    );
                    let ring = if row % rows == 0 { 0.0 } else { down.sin() };
                    let p = DVec3::new(ring * turn.sin(), down.cos(), ring * turn.cos());
                    positions.push((p * *radius).as_vec3());
                }
            }
            let at = |row: u32, k: u32| base + row * around + k % around;
            for row in 0..rows {
                for k in 0..around {
                    let [a, b] = [at(row, k), at(row, k + 1)];
                    let [c, d] = [at(row + 1, k + 1), at(row + 1, k)];
                    let both = [[a, d, c], [a, c, b]];
                    triangles.extend(if shell == 0 {
                        both
                    } else {
                        both.map(|[a, b, c]| [a, c, b])
                    });
                }
            }
        }
        let flat = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| positions[i as usize]);
            (b - a).cross(c - a).length() < 1e-6
        };
        triangles.retain(|t| !flat(t));
        Mesh::new(positions, triangles).unwrap()
    }

    fn area(mesh: &Mesh) -> f64 {
        let of = |face| {
            let [a, b, c] = mesh.corners(face);
            (b - a).cross(c - a).length() / 2.0
        };
        (0u32..).take(mesh.triangles().len()).map(of).sum()
    }

    /// Cut at a distance h from its middle, a ball of radius R shows a disc of π (R² − h²), and
    /// keeps 2π R (R + h) of its surface (Archimedes, On the Sphere and Cylinder I, 42–43). A hollow
    /// takes its own disc away.
    #[test]
    fn a_ball_cut_open_shows_a_disc_or_a_ring() {
        let (big, small, off) = (30.0_f64, 18.0_f64, 7.3_f64);
        let plane = Plane::upright(DVec3::new(off, 3.0, 0.0), 90.0);
        let disc = |r: f64| PI * (r * r - off * off);
        for (radii, shown) in [
            (&[big][..], disc(big)),
            (&[big, small][..], disc(big) - disc(small)),
        ] {
            let mesh = ball(radii);
            let open = cut_open(&mesh, &weld(&mesh), &plane);
            let (rest, face) = (open.rest.unwrap(), open.face.unwrap());
            let near = |found: f64, expected: f64| (found / expected - 1.0).abs() < 0.01;
            assert!(near(area(&face), shown), "{} and {shown}", area(&face));
            let kept: f64 = radii.iter().map(|r| TAU * r * (r + off)).sum();
            assert!(near(area(&rest), kept), "{} and {kept}", area(&rest));
            assert!(rest.positions().iter().all(|p| f64::from(p.x) < off + 1e-5));
            for t in (0u32..).take(face.triangles().len()) {
                let [a, b, c] = face.corners(t);
                // Corners are rounded to single precision.
                assert!(
                    (b - a).cross(c - a).x > -1e-3,
                    "the cut face looks at the eye"
                );
            }
        }
    }

    #[test]
    fn a_plane_beside_the_surface_cuts_nothing_or_leaves_nothing() {
        let mesh = ball(&[10.0]);
        let before = cut_open(&mesh, &weld(&mesh), &Plane::upright(DVec3::Z * 11.0, 0.0));
        assert_eq!(
            before.rest.unwrap().triangles().len(),
            mesh.triangles().len()
        );
        assert!(before.face.is_none());
        let behind = cut_open(&mesh, &weld(&mesh), &Plane::upright(DVec3::Z * -11.0, 0.0));
        assert!(behind.rest.is_none() && behind.face.is_none());
    }
}

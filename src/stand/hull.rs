//! The convex hull of many points.
//!
//! Quickhull (Barber, Dobkin and Huhdanpaa, "The quickhull algorithm for convex hulls", ACM
//! Transactions on Mathematical Software 22, 1996). Whether a point lies above a face is decided
//! by an exact sign (Shewchuk, "Adaptive precision floating-point arithmetic and fast robust
//! geometric predicates", Discrete and Computational Geometry 18, 1997). A face is taken away only
//! when a point lies strictly above it, so points in one plane, in one line or in one place cannot
//! break the surface; they may leave corners in the middle of a flat side.

use glam::DVec3;
use robust::{Coord, Coord3D, orient2d, orient3d};
use std::collections::VecDeque;

/// A convex hull. Its surface is closed, and every given point is on it or inside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hull {
    /// Indices of its corners among the given points, ascending.
    pub points: Vec<u32>,
    /// Its triangles: indices into the given points, counter-clockwise from outside.
    pub faces: Vec<[u32; 3]>,
    /// For each face, the faces beyond its sides: first 0–1, then 1–2, then 2–0.
    pub(super) beside: Vec<[usize; 3]>,
}

impl Hull {
    /// The volume inside, cubic millimetres. `points` are those that the hull was made of.
    pub fn volume_mm3(&self, points: &[DVec3]) -> f64 {
        let origin = self.points.first().map_or(DVec3::ZERO, |&i| at(points, i));
        let six: f64 = self
            .faces
            .iter()
            .map(|f| {
                let [a, b, c] = f.map(|i| at(points, i) - origin);
                a.dot(b.cross(c))
            })
            .sum();
        six / 6.0
    }

    /// The area of its faces, square millimetres. `points` are those that the hull was made of.
    pub fn area_mm2(&self, points: &[DVec3]) -> f64 {
        let twice: f64 = self
            .faces
            .iter()
            .map(|f| {
                let [a, b, c] = f.map(|i| at(points, i));
                (b - a).cross(c - a).length()
            })
            .sum();
        twice / 2.0
    }
}

/// The convex hull of points in millimetres. Points that are not finite are passed over. `None`
/// when all points lie in one plane.
pub fn hull(points: &[DVec3]) -> Option<Hull> {
    let mut work = Work::begin(points)?;
    while let Some(face) = work.open.pop_front() {
        let here = &work.faces[face];
        if here.gone {
            continue;
        }
        if let Some(eye) = here.furthest {
            work.reach(face, eye);
        }
    }
    Some(work.finish())
}

fn at(points: &[DVec3], i: u32) -> DVec3 {
    points[i as usize]
}

fn exact(p: DVec3) -> Coord3D<f64> {
    Coord3D {
        x: p.x,
        y: p.y,
        z: p.z,
    }
}

/// Six times the volume between a triangle and a point; the sign is exact: positive when the
/// point lies on the side from which the triangle is counter-clockwise.
fn above([a, b, c]: [DVec3; 3], p: DVec3) -> f64 {
    -orient3d(exact(a), exact(b), exact(c), exact(p))
}

/// How far three points are from one line: the largest of the areas of their three shadows. Zero
/// only when they lie in a line.
fn off_line(a: DVec3, b: DVec3, p: DVec3) -> f64 {
    let shadow = |x: fn(DVec3) -> f64, y: fn(DVec3) -> f64| {
        let flat = |q: DVec3| Coord { x: x(q), y: y(q) };
        orient2d(flat(a), flat(b), flat(p)).abs()
    };
    shadow(|q| q.x, |q| q.y)
        .max(shadow(|q| q.y, |q| q.z))
        .max(shadow(|q| q.z, |q| q.x))
}

/// A face in the making.
struct Face {
    corners: [u32; 3],
    beside: [usize; 3],
    /// Points strictly above it that are still to be reached.
    above: Vec<u32>,
    furthest: Option<u32>,
    height: f64,
    gone: bool,
    /// The round in which it was last looked at, and whether the point of that round saw it.
    looked: (u32, bool),
}

impl Face {
    fn new(corners: [u32; 3], beside: [usize; 3]) -> Self {
        Self {
            corners,
            beside,
            above: Vec::new(),
            furthest: None,
            height: 0.0,
            gone: false,
            looked: (0, false),
        }
    }
}

/// A side between a face that is seen and one that is not.
struct Ridge {
    from: u32,
    to: u32,
    unseen: usize,
}

struct Work<'a> {
    points: &'a [DVec3],
    faces: Vec<Face>,
    /// Faces with points above them, the oldest first: points far apart are reached in turn. Were
    /// the newest first, each point of a turned rim would see half of the rim below it.
    open: VecDeque<usize>,
    round: u32,
    /// For each point, the new face of this round whose ridge starts there.
    starts: Vec<usize>,
}

impl<'a> Work<'a> {
    /// Begins with four points that are not in one plane.
    fn begin(points: &'a [DVec3]) -> Option<Self> {
        let finite = || (0u32..).zip(points).filter(|(_, p)| p.is_finite());
        let order = |p: &DVec3, q: &DVec3| {
            (p.x.total_cmp(&q.x))
                .then(p.y.total_cmp(&q.y))
                .then(p.z.total_cmp(&q.z))
        };
        let furthest = |measure: &dyn Fn(DVec3) -> f64| {
            let mut best = (0, 0.0);
            for (i, p) in finite() {
                let value = measure(*p);
                if value > best.1 {
                    best = (i, value);
                }
            }
            (best.1 > 0.0).then_some(best.0)
        };
        let (first, a) = finite().min_by(|x, y| order(x.1, y.1))?;
        let (second, b) = finite().max_by(|x, y| order(x.1, y.1))?;
        let third = furthest(&|p| off_line(*a, *b, p))?;
        let base = [*a, *b, at(points, third)];
        let fourth = furthest(&|p| above(base, p).abs())?;
        let [a, b, c] = if above(base, at(points, fourth)) > 0.0 {
            [second, first, third]
        } else {
            [first, second, third]
        };
        let d = fourth;
        let mut work = Self {
            points,
            faces: vec![
                Face::new([a, b, c], [1, 2, 3]),
                Face::new([b, a, d], [0, 3, 2]),
                Face::new([c, b, d], [0, 1, 3]),
                Face::new([a, c, d], [0, 2, 1]),
            ],
            open: VecDeque::new(),
            round: 0,
            starts: vec![0; points.len()],
        };
        let all: Vec<u32> = finite().map(|(i, _)| i).collect();
        work.share_out(&all, 0);
        Some(work)
    }

    fn height(&self, face: usize, p: u32) -> f64 {
        let corners = self.faces[face].corners.map(|i| at(self.points, i));
        above(corners, at(self.points, p))
    }

    /// Gives each point to the first face, from `first` on, that it lies above. The others are
    /// inside and need no more thought.
    fn share_out(&mut self, homeless: &[u32], first: usize) {
        let points = self.points;
        let fresh = &mut self.faces[first..];
        let corners: Vec<[DVec3; 3]> = fresh
            .iter()
            .map(|f| f.corners.map(|i| at(points, i)))
            .collect();
        for &p in homeless {
            let place = at(points, p);
            for (face, corners) in fresh.iter_mut().zip(&corners) {
                let height = above(*corners, place);
                if height > 0.0 {
                    face.above.push(p);
                    if height > face.height {
                        face.height = height;
                        face.furthest = Some(p);
                    }
                    break;
                }
            }
        }
        let open = (first..).zip(&self.faces[first..]);
        self.open
            .extend(open.filter(|(_, f)| f.furthest.is_some()).map(|(i, _)| i));
    }

    /// Draws the hull out to a point above a face: what the point sees goes, and the point is
    /// joined to the rim of the rest.
    fn reach(&mut self, face: usize, eye: u32) {
        self.round += 1;
        let (seen, rim) = self.look(face, eye);
        let mut homeless = Vec::new();
        for face in seen {
            let gone = &mut self.faces[face];
            gone.gone = true;
            homeless.append(&mut gone.above);
        }
        let first = self.faces.len();
        for (face, ridge) in (first..).zip(&rim) {
            self.starts[ridge.from as usize] = face;
        }
        for (face, ridge) in (first..).zip(&rim) {
            let unseen = &mut self.faces[ridge.unseen];
            for k in 0..3 {
                if unseen.corners[k] == ridge.to && unseen.corners[(k + 1) % 3] == ridge.from {
                    unseen.beside[k] = face;
                }
            }
            let next = self.starts[ridge.to as usize];
            // The face before this one comes to know it in the second pass.
            self.faces.push(Face::new(
                [ridge.from, ridge.to, eye],
                [ridge.unseen, next, first],
            ));
        }
        for face in first..self.faces.len() {
            let next = self.faces[face].beside[1];
            self.faces[next].beside[2] = face;
        }
        self.share_out(&homeless, first);
    }

    /// The faces that a point sees, from one of them, and the rim around them.
    fn look(&mut self, face: usize, eye: u32) -> (Vec<usize>, Vec<Ridge>) {
        let round = self.round;
        let (mut seen, mut rim) = (vec![face], Vec::new());
        self.faces[face].looked = (round, true);
        let mut next = 0;
        while let Some(&face) = seen.get(next) {
            next += 1;
            let (corners, beside) = (self.faces[face].corners, self.faces[face].beside);
            for k in 0..3 {
                let other = beside[k];
                if self.faces[other].looked.0 != round {
                    let visible = self.height(other, eye) > 0.0;
                    self.faces[other].looked = (round, visible);
                    if visible {
                        seen.push(other);
                    }
                }
                if !self.faces[other].looked.1 {
                    rim.push(Ridge {
                        from: corners[k],
                        to: corners[(k + 1) % 3],
                        unseen: other,
                    });
                }
            }
        }
        (seen, rim)
    }

    fn finish(self) -> Hull {
        let mut number = vec![0; self.faces.len()];
        let kept = || (0usize..).zip(&self.faces).filter(|(_, f)| !f.gone);
        for (new, (old, _)) in kept().enumerate() {
            number[old] = new;
        }
        let faces: Vec<[u32; 3]> = kept().map(|(_, f)| f.corners).collect();
        let beside = kept().map(|(_, f)| f.beside.map(|n| number[n])).collect();
        let mut points: Vec<u32> = faces.iter().flatten().copied().collect();
        points.sort_unstable();
        points.dedup();
        Hull {
            points,
            faces,
            beside,
        }
    }
}

#[cfg(test)]
mod tests;

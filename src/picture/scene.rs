//! What stands before the camera: parts, one tree over all of them, smooth normals, colours.

use super::Camera;
use super::sky::{self, Harmonics};
use crate::mesh::{Bounds, Mesh, vertex_normals};
use crate::space::{Hit, Tree};
use glam::{DVec3, Vec3};
use std::sync::{Arc, OnceLock};

/// How a surface takes the light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// Microfacet roughness, 0 mirror to 1 chalk.
    pub roughness: f32,
    /// Share of metal, 0 to 1.
    pub metallic: f32,
}

impl Default for Finish {
    /// Old metal under patina or lacquer: mostly matt, a little metal shining through.
    fn default() -> Self {
        Self {
            roughness: 0.42,
            metallic: 0.55,
        }
    }
}

/// Colour of a surface that has none of its own: a pale neutral grey.
const NO_COLOUR: [f32; 3] = [0.72, 0.71, 0.69];
/// A smooth normal further than this from its triangle's own is a sharp edge (cosine of 55°).
const CREASE: f32 = 0.57;
/// A detail seen more slantingly than this is not seen (cosine of 80°).
const SLANT: f64 = 0.17;
/// Rays start this far above the surface, as a share of the scene's size.
const LIFT: f64 = 1e-4;
/// How far a hollow can darken itself, as a share of the scene's size.
const HOLLOW: f64 = 0.45;
/// A triangle with a longer edge, as a share of the scene's size, is too coarse for light that is
/// known at its corners only.
const COARSE: f64 = 0.02;

/// Parts in front of a camera.
pub struct Scene {
    tree: Arc<Tree>,
    mesh: Mesh,
    normals: Arc<[Vec3]>,
    parts: Vec<Part>,
    bounds: Bounds,
    /// What each vertex sees of the sky; found when a camera first looks at it.
    open: Arc<[OnceLock<Harmonics>]>,
}

/// What a part brings along.
struct Part {
    /// Its first face.
    start: u32,
    finish: Finish,
}

/// A point of a surface, ready for light.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub(super) point: DVec3,
    /// Unit, toward the eye's side; where a normal map is, as it draws the surface.
    pub(super) normal: Vec3,
    /// The same without normal maps.
    pub(super) even: Vec3,
    /// Its triangle, and the weights of the corners.
    pub(super) face: u32,
    pub(super) weights: [f32; 3],
    /// sRGB.
    pub(super) colour: [f32; 3],
    pub(super) finish: Finish,
    /// What it sees of the sky, where that is known from the corners of its triangle.
    pub(super) open: Option<Harmonics>,
    /// Whether those corners are so far off that shadows may fall between them.
    pub(super) coarse: bool,
}

impl Scene {
    /// A scene of these parts, each with its finish. `None` when there are none.
    pub fn new(parts: Vec<(Mesh, Finish)>) -> Option<Self> {
        let mut starts = Vec::new();
        let mut start = 0;
        for (mesh, finish) in &parts {
            let finish = *finish;
            starts.push(Part { start, finish });
            start += u32::try_from(mesh.triangles().len()).ok()?;
        }
        let meshes: Vec<Mesh> = parts.into_iter().map(|(mesh, _)| mesh).collect();
        let [r, g, b] = NO_COLOUR.map(crate::mesh::to_byte);
        let mesh = Mesh::together(&meshes, [r, g, b, 255]).ok()?;
        let bounds = mesh.bounds()?;
        Some(Self {
            tree: Arc::new(Tree::build(&mesh)),
            normals: vertex_normals(&mesh).into(),
            open: mesh.positions().iter().map(|_| OnceLock::new()).collect(),
            mesh,
            parts: starts,
            bounds,
        })
    }

    /// The same parts, all of one colour (sRGB) and finish. What is found about the shape of one is
    /// known to the other.
    pub(super) fn in_one(&self, colour: [u8; 4], finish: Finish) -> Self {
        Self {
            tree: Arc::clone(&self.tree),
            normals: Arc::clone(&self.normals),
            open: Arc::clone(&self.open),
            mesh: self.mesh.clone().in_one_colour(colour),
            parts: vec![Part { start: 0, finish }],
            bounds: self.bounds,
        }
    }

    /// The box around everything, millimetres.
    pub(super) fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// A length by which rays are lifted off a surface, millimetres.
    pub(super) fn lift(&self) -> f64 {
        self.bounds.size().length() * LIFT
    }

    /// A length beyond everything from any place of it, millimetres.
    pub(super) fn beyond(&self) -> f64 {
        self.bounds.size().length() * 2.0
    }

    /// How far light rays look for what hides the sky, millimetres.
    pub(super) fn hollow(&self) -> f64 {
        self.bounds.size().length() * HOLLOW
    }

    /// Finds what these vertices see of the sky, where that has not been done.
    pub(super) fn look_around(&self, vertices: &[u32]) {
        let unknown: Vec<usize> = (vertices.iter().map(|v| *v as usize))
            .filter(|v| self.open[*v].get().is_none())
            .collect();
        let places: Vec<(Vec3, Vec3)> = unknown
            .iter()
            .map(|v| (self.mesh.positions()[*v], self.normals[*v]))
            .collect();
        let found = sky::open(&self.tree, &places, self.lift(), self.hollow());
        for (vertex, open) in unknown.into_iter().zip(found) {
            // Another still may have been quicker; it found the same.
            self.open[vertex].get_or_init(|| open);
        }
    }

    pub(super) fn ray(&self, origin: DVec3, direction: DVec3) -> Option<Hit> {
        self.tree.ray(origin, direction)
    }

    pub(super) fn blocked(&self, origin: DVec3, direction: DVec3, far_mm: f64) -> bool {
        self.tree.blocked(origin, direction, far_mm)
    }

    /// The vertices of a triangle, counted through all parts in their order.
    pub(super) fn vertices(&self, face: u32) -> [usize; 3] {
        self.mesh.triangles()[face as usize].map(|i| i as usize)
    }

    /// All vertices, through all parts in their order.
    pub(super) fn places(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.mesh.positions().iter().map(|p| p.as_dvec3())
    }

    /// The vertices of all triangles.
    pub(super) fn faces(&self) -> impl Iterator<Item = [u32; 3]> + '_ {
        self.mesh.triangles().iter().copied()
    }

    /// A vertex and its normal.
    pub(super) fn corner(&self, vertex: usize) -> (DVec3, Vec3) {
        let place = self.mesh.positions()[vertex].as_dvec3();
        (place, self.normals[vertex])
    }

    /// What a ray met.
    pub(super) fn spot(&self, hit: &Hit, toward_eye: DVec3) -> Spot {
        let corners = self.mesh.corners(hit.face);
        let point = (0..3).map(|k| corners[k] * hit.barycentric[k]).sum();
        #[expect(clippy::cast_possible_truncation, reason = "weights between 0 and 1")]
        let weights = hit.barycentric.map(|w| w as f32);
        let mut flat = (corners[1] - corners[0])
            .cross(corners[2] - corners[0])
            .normalize_or_zero()
            .as_vec3();
        let eye = toward_eye.as_vec3();
        // A hole shows the inside of the surface: light it as if it were the outside.
        let turned = flat.dot(eye) < 0.0;
        let ids = self.mesh.triangles()[hit.face as usize];
        let mut smooth: Vec3 = (0..3)
            .map(|k| self.normals[ids[k] as usize] * weights[k])
            .sum();
        if turned {
            flat = -flat;
            smooth = -smooth;
        }
        let smooth = smooth.normalize_or_zero();
        let normal = if smooth.dot(flat) > CREASE {
            smooth
        } else {
            flat
        };
        // The vertices know of the sky on their own side, about their own smooth normals.
        let longest = (0..3).map(|k| corners[k].distance_squared(corners[(k + 1) % 3]));
        let coarse = (self.bounds.size().length() * COARSE).powi(2);
        let open = if !turned && smooth.dot(flat) > CREASE {
            self.open_at(ids, weights)
        } else {
            None
        };
        let part = self
            .parts
            .partition_point(|part| part.start <= hit.face)
            .saturating_sub(1);
        let part = self.parts.get(part);
        let drawn = self.mesh.drawn_normal_at(hit.face, weights);
        let drawn = drawn.map_or(normal, |drawn| if turned { -drawn } else { drawn });
        Spot {
            point,
            normal: drawn,
            even: normal,
            open,
            coarse: longest.fold(0.0, f64::max) >= coarse,
            face: hit.face,
            weights,
            colour: self.mesh.colour_at(hit.face, weights).unwrap_or(NO_COLOUR),
            finish: part.map_or_else(Finish::default, |part| part.finish),
        }
    }

    /// What a place of a triangle sees of the sky, if its corners know.
    fn open_at(&self, corners: [u32; 3], weights: [f32; 3]) -> Option<Harmonics> {
        let mut sum = Harmonics::default();
        for (corner, weight) in corners.into_iter().zip(weights) {
            let own = self.open[corner as usize].get()?;
            for (sum, own) in sum.iter_mut().zip(own) {
                *sum += own * weight;
            }
        }
        Some(sum)
    }

    /// Whether a point of the surface can be seen: it faces the camera and nothing is before it.
    pub fn visible(&self, point: DVec3, normal: DVec3, camera: &Camera) -> bool {
        let toward_eye = camera.axes().toward_eye;
        if normal.dot(toward_eye) < SLANT {
            return false;
        }
        // Lifted clear of the relief around the point.
        let lift = self.bounds.size().length() * 0.004;
        !self.blocked(point + normal * lift, toward_eye, self.beyond())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Texture;
    use glam::Vec2;
    use image::RgbaImage;

    /// Two triangles with a picture of four fields: the stills show each field, although no vertex
    /// stands within one.
    #[test]
    fn a_texture_is_seen_between_the_vertices() {
        let corner = |x: f32, y: f32| Vec3::new(x * 40.0, y * 40.0, 0.0);
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let fields = RgbaImage::from_fn(64, 64, |x, y| match (x < 32, y < 32) {
            (true, true) => image::Rgba([220, 30, 30, 255]),
            (false, true) => image::Rgba([30, 200, 30, 255]),
            (true, false) => image::Rgba([30, 30, 220, 255]),
            (false, false) => image::Rgba([200, 200, 200, 255]),
        });
        let mesh = Mesh::new(
            square.iter().map(|(x, y)| corner(*x, *y)).collect(),
            vec![[0, 1, 2], [0, 2, 3]],
        )
        .and_then(|mesh| {
            mesh.with_texture(Texture {
                // Pictures begin at the top.
                places: square.iter().map(|(x, y)| Vec2::new(*x, 1.0 - y)).collect(),
                picture: Arc::new(fields),
            })
        })
        .unwrap();
        let scene = Scene::new(vec![(mesh, Finish::default())]).unwrap();
        let seen = |x: f64, y: f64| {
            let from = DVec3::new(x * 40.0, y * 40.0, 100.0);
            let hit = scene.ray(from, DVec3::NEG_Z).unwrap();
            scene.spot(&hit, DVec3::Z).colour.map(crate::mesh::to_byte)
        };
        assert_eq!(seen(0.25, 0.75), [220, 30, 30]);
        assert_eq!(seen(0.75, 0.75), [30, 200, 30]);
        assert_eq!(seen(0.25, 0.25), [30, 30, 220]);
        assert_eq!(seen(0.75, 0.25), [200, 200, 200]);
    }
}

//! Pictures that lie over a surface: its colours, and slopes finer than its triangles.

use super::MeshError;
use glam::{Vec2, Vec3};
use image::RgbaImage;
use std::sync::Arc;

/// A picture over the whole of a surface.
#[derive(Debug, Clone)]
pub struct Texture {
    /// One place per vertex, (0, 0) the top left corner, as in glTF.
    pub places: Vec<Vec2>,
    /// The picture; of colours, sRGB.
    pub picture: Arc<RgbaImage>,
}

/// Directions at a vertex in which a picture of slopes is to be read (glTF 2.0, sections 3.7.2.1
/// and 3.9.3).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Unit, outward: the picture's blue.
    pub normal: Vec3,
    /// Unit, where the picture runs to the right: its red.
    pub tangent: Vec3,
    /// 1 where normal × tangent runs up the picture, its green; −1 where it lies mirrored.
    pub hand: f32,
    /// What the red and green of the picture are multiplied by.
    pub scale: f32,
}

/// A picture of slopes over the whole of a surface (glTF 2.0, `normalTexture`).
#[derive(Debug, Clone)]
pub struct NormalMap {
    /// The picture and its places: red, green and blue stand for −1 to 1.
    pub texture: Texture,
    /// One per vertex.
    pub frames: Vec<Frame>,
}

/// A vertex that lies between two of a mesh: their numbers, and the share of the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Between {
    /// The first, and where the share is 0 the only one.
    pub(crate) a: u32,
    /// The second.
    pub(crate) b: u32,
    /// 0 to 1.
    pub(crate) share: f64,
}

impl Between {
    /// A vertex itself.
    pub(crate) fn at(vertex: u32) -> Self {
        Self {
            a: vertex,
            b: vertex,
            share: 0.0,
        }
    }
}

/// Several pictures, each over vertices of its own. A triangle has all its corners on one of them,
/// or none.
#[derive(Debug, Clone, Default)]
pub(super) struct Laid {
    /// The number of the picture on which a vertex lies.
    pub(super) on: Vec<Option<u16>>,
    pub(super) places: Vec<Vec2>,
    pub(super) pictures: Vec<Arc<RgbaImage>>,
}

impl Laid {
    /// One picture over everything.
    ///
    /// # Errors
    /// The picture is empty.
    pub(super) fn of(texture: Texture) -> Result<Self, MeshError> {
        if texture.picture.width() == 0 || texture.picture.height() == 0 {
            return Err(MeshError::new(
                "the texture is an empty picture",
                "export the model again",
            ));
        }
        Ok(Self {
            on: vec![Some(0); texture.places.len()],
            places: texture.places,
            pictures: vec![texture.picture],
        })
    }

    /// Vertices.
    pub(super) fn count(&self) -> usize {
        self.on.len()
    }

    /// Whether a vertex lies on a picture.
    pub(super) fn covers(&self, vertex: usize) -> bool {
        self.on[vertex].is_some()
    }

    /// So many vertices; those that are new lie on no picture.
    pub(super) fn grow(&mut self, count: usize) {
        self.on.resize(count, None);
        self.places.resize(count, Vec2::ZERO);
    }

    /// The other's vertices after one's own.
    ///
    /// # Errors
    /// More pictures than can be numbered.
    pub(super) fn append(&mut self, other: &Self) -> Result<(), MeshError> {
        let base = self.pictures.len();
        let number = |own: u16| u16::try_from(base + usize::from(own));
        for on in &other.on {
            let on = on.map(number).transpose().map_err(|_| {
                MeshError::new(
                    "the model has more than 65536 textures",
                    "export it again with its textures joined on a few pictures",
                )
            })?;
            self.on.push(on);
        }
        self.places.extend(&other.places);
        self.pictures.extend(other.pictures.iter().cloned());
        Ok(())
    }

    /// The same pictures over vertices that lie between these.
    pub(super) fn between(&self, vertices: &[Between]) -> Self {
        let place = |v: &Between| {
            #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
            let share = v.share as f32;
            self.places[v.a as usize].lerp(self.places[v.b as usize], share)
        };
        Self {
            on: vertices.iter().map(|v| self.on[v.a as usize]).collect(),
            places: vertices.iter().map(place).collect(),
            pictures: self.pictures.clone(),
        }
    }

    /// What the picture shows between the corners of a triangle, each channel from 0 to 1; `None`
    /// where none lies.
    pub(super) fn at(&self, corners: [u32; 3], weights: [f32; 3]) -> Option<[f32; 3]> {
        let picture = &self.pictures[usize::from(self.on[corners[0] as usize]?)];
        let place = corners
            .iter()
            .zip(weights)
            .map(|(c, w)| self.places[*c as usize] * w)
            .sum::<Vec2>();
        Some(sample(picture, place))
    }
}

/// Slopes of a surface, finer than its triangles.
#[derive(Debug, Clone, Default)]
pub(super) struct Slopes {
    pub(super) laid: Laid,
    pub(super) frames: Vec<Frame>,
}

impl Slopes {
    /// Of one picture over everything.
    ///
    /// # Errors
    /// The picture is empty.
    pub(super) fn of(map: NormalMap) -> Result<Self, MeshError> {
        Ok(Self {
            laid: Laid::of(map.texture)?,
            frames: map.frames,
        })
    }

    /// Vertices.
    pub(super) fn count(&self) -> usize {
        self.laid.count()
    }

    /// As [`Laid::grow`].
    pub(super) fn grow(&mut self, count: usize) {
        self.laid.grow(count);
        let none = Frame {
            normal: Vec3::Y,
            tangent: Vec3::X,
            hand: 1.0,
            scale: 1.0,
        };
        self.frames.resize(count, none);
    }

    /// As [`Laid::append`].
    pub(super) fn append(&mut self, other: &Self) -> Result<(), MeshError> {
        self.frames.extend(&other.frames);
        self.laid.append(&other.laid)
    }

    /// As [`Laid::between`].
    pub(super) fn between(&self, vertices: &[Between]) -> Self {
        let frame = |v: &Between| {
            let [a, b] = [v.a, v.b].map(|i| self.frames[i as usize]);
            #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
            let share = v.share as f32;
            Frame {
                normal: a.normal.lerp(b.normal, share).normalize_or(a.normal),
                tangent: a.tangent.lerp(b.tangent, share).normalize_or(a.tangent),
                ..a
            }
        };
        Self {
            laid: self.laid.between(vertices),
            frames: vertices.iter().map(frame).collect(),
        }
    }

    /// The same slopes after a motion of the surface that takes a direction at a vertex elsewhere.
    pub(super) fn turned(&mut self, turn: impl Fn(usize, Vec3) -> Vec3) {
        for (vertex, frame) in self.frames.iter_mut().enumerate() {
            frame.normal = turn(vertex, frame.normal).normalize_or(frame.normal);
            frame.tangent = turn(vertex, frame.tangent).normalize_or(frame.tangent);
        }
    }

    /// The unit normal that the picture draws between the corners of a triangle; `None` where there
    /// is no picture.
    pub(super) fn normal_at(&self, corners: [u32; 3], weights: [f32; 3]) -> Option<Vec3> {
        let drawn = self.laid.at(corners, weights)?;
        let frames = corners.map(|i| self.frames[i as usize]);
        let mean = |of: fn(&Frame) -> Vec3| -> Vec3 {
            frames.iter().zip(weights).map(|(f, w)| of(f) * w).sum()
        };
        let normal = mean(|f| f.normal).try_normalize()?;
        let tangent = mean(|f| f.tangent).reject_from_normalized(normal);
        let tangent = tangent.try_normalize()?;
        let Frame { hand, scale, .. } = frames[0];
        let [right, up, out] = drawn.map(|c| c * 2.0 - 1.0);
        let across = tangent * right + normal.cross(tangent) * (up * hand);
        (across * scale + normal * out).try_normalize()
    }
}

/// Bilinear, repeating at the edges (glTF's default wrapping).
fn sample(picture: &RgbaImage, place: Vec2) -> [f32; 3] {
    let (width, height) = picture.dimensions();
    #[expect(clippy::cast_precision_loss, reason = "sizes of pictures")]
    let at = Vec2::new(
        place.x.rem_euclid(1.0) * width as f32 - 0.5,
        place.y.rem_euclid(1.0) * height as f32 - 0.5,
    );
    let base = at.floor();
    let part = at - base;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "within the picture by rem_euclid"
    )]
    let (x, y) = (base.x as i64, base.y as i64);
    let pixel = |dx: i64, dy: i64| {
        let wrap = |v: i64, n: u32| u32::try_from(v.rem_euclid(i64::from(n))).unwrap_or(0);
        picture
            .get_pixel(wrap(x + dx, width), wrap(y + dy, height))
            .0
    };
    let mut out = [0.0; 3];
    for (dx, dy, weight) in [
        (0, 0, (1.0 - part.x) * (1.0 - part.y)),
        (1, 0, part.x * (1.0 - part.y)),
        (0, 1, (1.0 - part.x) * part.y),
        (1, 1, part.x * part.y),
    ] {
        for (channel, value) in out.iter_mut().zip(pixel(dx, dy)) {
            *channel += weight * f32::from(value) / 255.0;
        }
    }
    out
}

//! The mesh itself: a checked constructor, and what can be asked of it.

use glam::{DVec3, Vec2, Vec3};
use image::RgbaImage;
use std::fmt;

/// Why a mesh cannot be used, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeshError {
    /// What is wrong, a clause that can follow a colon.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl MeshError {
    pub(crate) fn new(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    /// There is nothing to show or to measure.
    pub(crate) fn empty() -> Self {
        Self::new(
            "the model has no triangles",
            "export the model again and check it in the program that made it",
        )
    }
}

impl fmt::Display for MeshError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for MeshError {}

/// An upright box, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lowest corner.
    pub min: DVec3,
    /// Highest corner.
    pub max: DVec3,
}

impl Bounds {
    /// The box around both.
    #[must_use]
    pub fn union(self, other: Bounds) -> Bounds {
        Bounds {
            min: self.min.min(other.min),
            max: self.max.max(other.max),
        }
    }

    /// Lengths of the edges, millimetres.
    pub fn size(&self) -> DVec3 {
        self.max - self.min
    }

    /// The middle.
    pub fn centre(&self) -> DVec3 {
        (self.min + self.max) / 2.0
    }
}

/// A colour picture laid over the surface.
#[derive(Debug, Clone)]
pub struct Texture {
    /// One place per vertex, (0, 0) the top left corner, as in glTF.
    pub places: Vec<Vec2>,
    /// The picture, sRGB.
    pub picture: RgbaImage,
}

/// A triangle mesh in millimetres.
#[derive(Debug, Clone)]
pub struct Mesh {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    colours: Option<Vec<[u8; 4]>>,
    texture: Option<Texture>,
}

impl Mesh {
    /// A mesh of these vertices (millimetres) and triangles (counter-clockwise from outside).
    ///
    /// # Errors
    /// No triangles, an index beyond the vertices, or a coordinate that is not a finite number.
    pub fn new(positions: Vec<Vec3>, triangles: Vec<[u32; 3]>) -> Result<Self, MeshError> {
        let again = "export the model again and check it in the program that made it";
        if triangles.is_empty() {
            return Err(MeshError::empty());
        }
        if let Some(bad) = positions.iter().position(|p| !p.is_finite()) {
            return Err(MeshError::new(
                format!("the coordinates of vertex {bad} are not finite numbers"),
                again,
            ));
        }
        let count = positions.len();
        let beyond = triangles
            .iter()
            .position(|t| t.iter().any(|&i| i as usize >= count));
        if let Some(bad) = beyond {
            return Err(MeshError::new(
                format!("triangle {bad} names a vertex beyond the {count} that there are"),
                again,
            ));
        }
        Ok(Self {
            positions,
            triangles,
            colours: None,
            texture: None,
        })
    }

    /// The same mesh with one sRGB colour per vertex.
    ///
    /// # Errors
    /// A count of colours that is not the count of vertices.
    pub fn with_colours(mut self, colours: Vec<[u8; 4]>) -> Result<Self, MeshError> {
        self.same_count(colours.len(), "colours")?;
        self.colours = Some(colours);
        Ok(self)
    }

    /// The same mesh in one colour (sRGB), without a colour picture.
    pub fn in_one_colour(mut self, colour: [u8; 4]) -> Self {
        self.colours = Some(vec![colour; self.positions.len()]);
        self.texture = None;
        self
    }

    /// The same mesh with a colour picture.
    ///
    /// # Errors
    /// A count of places that is not the count of vertices, or an empty picture.
    pub fn with_texture(mut self, texture: Texture) -> Result<Self, MeshError> {
        self.same_count(texture.places.len(), "texture places")?;
        if texture.picture.width() == 0 || texture.picture.height() == 0 {
            return Err(MeshError::new(
                "the texture is an empty picture",
                "export the model again",
            ));
        }
        self.texture = Some(texture);
        Ok(self)
    }

    fn same_count(&self, count: usize, of: &str) -> Result<(), MeshError> {
        if count == self.positions.len() {
            return Ok(());
        }
        Err(MeshError::new(
            format!(
                "there are {count} {of} for {} vertices",
                self.positions.len()
            ),
            "export the model again",
        ))
    }

    /// The same mesh with every vertex put elsewhere. A vertex whose new place is not finite stays.
    #[must_use]
    pub fn mapped(&self, put: impl Fn(DVec3) -> DVec3) -> Self {
        let mut mesh = self.clone();
        for p in &mut mesh.positions {
            let there = put(p.as_dvec3()).as_vec3();
            if there.is_finite() {
                *p = there;
            }
        }
        mesh
    }

    /// The shapes of several meshes as one, without colours. `None` for none.
    pub fn joined<'m>(meshes: impl Iterator<Item = &'m Mesh>) -> Option<Self> {
        let (mut positions, mut triangles) = (Vec::new(), Vec::new());
        for mesh in meshes {
            let base = u32::try_from(positions.len()).ok()?;
            positions.extend(&mesh.positions);
            triangles.extend(mesh.triangles.iter().map(|t| t.map(|i| base + i)));
        }
        Self::new(positions, triangles).ok()
    }

    /// Vertices, millimetres.
    pub fn positions(&self) -> &[Vec3] {
        &self.positions
    }

    /// Triangles as indices into the vertices.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// sRGB colours, one per vertex, if there are any.
    pub fn colours(&self) -> Option<&[[u8; 4]]> {
        self.colours.as_deref()
    }

    /// The texture, if there is one.
    pub fn texture(&self) -> Option<&Texture> {
        self.texture.as_ref()
    }

    /// The corners of a triangle, in double precision.
    pub fn corners(&self, face: u32) -> [DVec3; 3] {
        self.triangles[face as usize].map(|i| self.positions[i as usize].as_dvec3())
    }

    /// The box around the triangles; `None` never occurs for a mesh with a triangle, but a box
    /// around nothing has no meaning, so the type says so.
    pub fn bounds(&self) -> Option<Bounds> {
        let mut points = self
            .triangles
            .iter()
            .flatten()
            .map(|&i| self.positions[i as usize].as_dvec3());
        let first = points.next()?;
        Some(points.fold(
            Bounds {
                min: first,
                max: first,
            },
            |b, p| Bounds {
                min: b.min.min(p),
                max: b.max.max(p),
            },
        ))
    }

    /// Colour of a point of a triangle: the texture's where there is one, times the vertices',
    /// sRGB; `None` when the model has no colour.
    pub fn colour_at(&self, face: u32, barycentric: [f32; 3]) -> Option<[f32; 3]> {
        let corners = self.triangles[face as usize];
        let vertex = self.colours.as_ref().map(|colours| {
            let mut sum = [0.0; 3];
            for (corner, weight) in corners.iter().zip(barycentric) {
                for (channel, value) in sum.iter_mut().zip(colours[*corner as usize]) {
                    *channel += weight * f32::from(value) / 255.0;
                }
            }
            sum
        });
        let picture = self.texture.as_ref().map(|texture| {
            let place = corners
                .iter()
                .zip(barycentric)
                .map(|(c, w)| texture.places[*c as usize] * w)
                .sum::<Vec2>();
            sample(&texture.picture, place)
        });
        match (vertex, picture) {
            (Some(a), Some(b)) => Some([a[0] * b[0], a[1] * b[1], a[2] * b[2]]),
            (one, other) => one.or(other),
        }
    }

    /// One sRGB colour per vertex, from the vertices' own or from the texture.
    pub fn vertex_colours(&self) -> Option<Vec<[u8; 4]>> {
        if self.texture.is_none() {
            return self.colours.clone();
        }
        let mut out = vec![[255; 4]; self.positions.len()];
        for (face, corners) in (0u32..).zip(&self.triangles) {
            for (k, corner) in corners.iter().enumerate() {
                let mut at = [0.0; 3];
                at[k] = 1.0;
                if let Some(colour) = self.colour_at(face, at) {
                    let [r, g, b] = colour.map(to_byte);
                    out[*corner as usize] = [r, g, b, 255];
                }
            }
        }
        Some(out)
    }
}

/// The nearest byte of a channel between 0 and 1.
pub(crate) fn to_byte(value: f32) -> u8 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 0..=255"
    )]
    let byte = (value.clamp(0.0, 1.0) * 255.0).round() as u8;
    byte
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

/// sRGB to linear light, 0..1 (IEC 61966-2-1).
pub(crate) fn srgb_to_linear(value: f32) -> f32 {
    if value <= 0.040_45 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// Linear light to sRGB, 0..1 (IEC 61966-2-1).
pub(crate) fn linear_to_srgb(value: f32) -> f32 {
    if value <= 0.003_130_8 {
        value * 12.92
    } else {
        1.055 * value.powf(1.0 / 2.4) - 0.055
    }
}

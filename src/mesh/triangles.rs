//! The mesh itself: a checked constructor, and what can be asked of it.

use super::colour::{between, to_byte};
use super::laid::{Between, Laid, NormalMap, Slopes, Texture};
use glam::{DVec3, Vec3};
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

/// A triangle mesh in millimetres.
#[derive(Debug, Clone)]
pub struct Mesh {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    colours: Option<Vec<[u8; 4]>>,
    pub(super) texture: Option<Laid>,
    pub(super) slopes: Option<Slopes>,
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
            slopes: None,
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
    pub fn with_texture(self, texture: Texture) -> Result<Self, MeshError> {
        let laid = Laid::of(texture)?;
        self.with_pictures(Some(laid), None)
    }

    /// The same mesh with slopes that are finer than its triangles.
    ///
    /// # Errors
    /// A count of places or frames that is not the count of vertices, or an empty picture.
    pub fn with_normal_map(self, map: NormalMap) -> Result<Self, MeshError> {
        self.same_count(map.frames.len(), "directions of a normal map")?;
        let slopes = Slopes::of(map)?;
        self.with_pictures(None, Some(slopes))
    }

    /// The same mesh with these pictures, where there are any.
    pub(super) fn with_pictures(
        mut self,
        texture: Option<Laid>,
        slopes: Option<Slopes>,
    ) -> Result<Self, MeshError> {
        if let Some(texture) = texture {
            self.same_count(texture.count(), "texture places")?;
            self.texture = Some(texture);
        }
        if let Some(slopes) = slopes {
            self.same_count(slopes.count(), "places on a normal map")?;
            self.slopes = Some(slopes);
        }
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
    /// A normal map is turned as a motion turns it, so `put` must not bend a mesh that has one.
    #[must_use]
    pub fn mapped(&self, put: impl Fn(DVec3) -> DVec3) -> Self {
        let mut mesh = self.clone();
        if let Some(slopes) = &mut mesh.slopes {
            slopes.turned(|vertex, way| {
                let from = self.positions[vertex].as_dvec3();
                (put(from + way.as_dvec3()) - put(from)).as_vec3()
            });
        }
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

    /// Several meshes as one, with all that lies over them; what has no colour becomes `plain`
    /// (sRGB).
    ///
    /// # Errors
    /// There are none, or more vertices or textures than can be numbered.
    pub fn together(meshes: &[Self], plain: [u8; 4]) -> Result<Self, MeshError> {
        let mut colours = Vec::new();
        let (mut texture, mut slopes) = (Laid::default(), Slopes::default());
        for mesh in meshes {
            let before = colours.len();
            colours.extend((0..mesh.positions.len()).map(|vertex| {
                let textured = mesh.texture.as_ref().is_some_and(|t| t.covers(vertex));
                match &mesh.colours {
                    Some(own) => own[vertex],
                    None if textured => [255; 4],
                    None => plain,
                }
            }));
            texture.grow(before);
            slopes.grow(before);
            if let Some(own) = &mesh.texture {
                texture.append(own)?;
            }
            if let Some(own) = &mesh.slopes {
                slopes.append(own)?;
            }
        }
        texture.grow(colours.len());
        slopes.grow(colours.len());
        let any = |has: fn(&Self) -> bool| meshes.iter().any(has);
        let texture = any(|m| m.texture.is_some()).then_some(texture);
        let slopes = any(|m| m.slopes.is_some()).then_some(slopes);
        Self::joined(meshes.iter())
            .ok_or_else(MeshError::empty)?
            .with_colours(colours)?
            .with_pictures(texture, slopes)
    }

    /// A mesh whose vertices lie between vertices of this one, with all that lies over it.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub(crate) fn between(
        &self,
        vertices: &[Between],
        triangles: Vec<[u32; 3]>,
    ) -> Result<Self, MeshError> {
        let place = |v: &Between| {
            let [a, b] = [v.a, v.b].map(|i| self.positions[i as usize].as_dvec3());
            a.lerp(b, v.share).as_vec3()
        };
        let mut mesh = Self::new(vertices.iter().map(place).collect(), triangles)?;
        mesh.colours = self
            .colours
            .as_ref()
            .map(|own| vertices.iter().map(|v| between(own, v)).collect());
        mesh.with_pictures(
            self.texture.as_ref().map(|own| own.between(vertices)),
            self.slopes.as_ref().map(|own| own.between(vertices)),
        )
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
        let picture = self
            .texture
            .as_ref()
            .and_then(|texture| texture.at(corners, barycentric));
        match (vertex, picture) {
            (Some(a), Some(b)) => Some([a[0] * b[0], a[1] * b[1], a[2] * b[2]]),
            (one, other) => one.or(other),
        }
    }

    /// The unit normal that a normal map draws at a point of a triangle; `None` without one.
    pub fn drawn_normal_at(&self, face: u32, barycentric: [f32; 3]) -> Option<Vec3> {
        let slopes = self.slopes.as_ref()?;
        slopes.normal_at(self.triangles[face as usize], barycentric)
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

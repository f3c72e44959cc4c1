//! Textures of glTF: each picture decoded once, and where the vertices lie on it.

use super::gltf::damaged;
use super::{accessors, resources};
use crate::limits::Limits;
use crate::mesh::MeshError;
use glam::{Mat2, Vec2};
use gltf::Semantic;
use image::RgbaImage;
use serde::Deserialize;
use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

/// The pictures of a file.
pub(super) struct Gallery<'a> {
    buffers: &'a [Vec<u8>],
    folder: Option<&'a Path>,
    limits: &'a Limits,
    decoded: HashMap<usize, Arc<RgbaImage>>,
    pixels: u64,
}

impl<'a> Gallery<'a> {
    pub(super) fn new(
        buffers: &'a [Vec<u8>],
        folder: Option<&'a Path>,
        limits: &'a Limits,
    ) -> Self {
        Self {
            buffers,
            folder,
            limits,
            decoded: HashMap::new(),
            pixels: 0,
        }
    }

    /// One of them, decoded within the limits.
    pub(super) fn one(&mut self, image: &gltf::Image<'_>) -> Result<Arc<RgbaImage>, MeshError> {
        if let Some(known) = self.decoded.get(&image.index()) {
            return Ok(Arc::clone(known));
        }
        let bytes = resources::picture(image, self.buffers, self.folder, self.limits)?;
        let picture = crate::picture::decode(&bytes, self.limits).map_err(|e| {
            MeshError::new(
                format!("its texture cannot be used: {e}"),
                "export the model with JPEG or PNG textures",
            )
        })?;
        self.pixels += u64::from(picture.width()) * u64::from(picture.height());
        if self.pixels > self.limits.texture_pixels {
            return Err(MeshError::new(
                format!(
                    "its textures have more than {} pixels together",
                    self.limits.texture_pixels
                ),
                "export the model with smaller textures",
            ));
        }
        let picture = Arc::new(picture);
        self.decoded.insert(image.index(), Arc::clone(&picture));
        Ok(picture)
    }
}

/// How a texture is moved over the surface (KHR_texture_transform).
#[derive(Debug, Deserialize)]
#[serde(default, rename_all = "camelCase")]
pub(super) struct Moved {
    offset: Vec2,
    /// Radians, counter-clockwise as one sees a picture whose places count downward.
    rotation: f32,
    scale: Vec2,
    /// Another set of places.
    tex_coord: Option<u32>,
}

impl Default for Moved {
    fn default() -> Self {
        Self {
            offset: Vec2::ZERO,
            rotation: 0.0,
            scale: Vec2::ONE,
            tex_coord: None,
        }
    }
}

impl Moved {
    pub(super) const NAME: &str = "KHR_texture_transform";

    /// As the extension says, if there is one.
    pub(super) fn of(extension: Option<&serde_json::Value>) -> Result<Self, MeshError> {
        match extension {
            Some(value) => {
                Self::deserialize(value).map_err(|e| damaged(&format!("{}: {e}", Self::NAME)))
            }
            None => Ok(Self::default()),
        }
    }

    /// Where the vertices lie on the picture: on the set of places that the texture names.
    pub(super) fn places(
        &self,
        primitive: &gltf::Primitive<'_>,
        set: u32,
        count: usize,
        buffers: &[Vec<u8>],
    ) -> Result<Vec<Vec2>, MeshError> {
        let accessor = primitive
            .get(&Semantic::TexCoords(self.tex_coord.unwrap_or(set)))
            .ok_or_else(|| damaged("a textured mesh has no texture coordinates"))?;
        // Counter-clockwise seen with the second coordinate down.
        let turn = Mat2::from_angle(-self.rotation);
        let mut places: Vec<Vec2> = accessors::floats::<2>(&accessor, buffers, 0.0)?
            .into_iter()
            .map(|own| turn * (Vec2::from_array(own) * self.scale) + self.offset)
            .collect();
        places.resize(count, Vec2::ZERO);
        Ok(places)
    }
}

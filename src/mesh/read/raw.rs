//! What a reader gathers, piece by piece, still in the file's unit and unchecked.

use crate::limits::Limits;
use crate::mesh::{MeshError, Texture, to_byte};
use glam::Vec3;

const WHITE: [u8; 4] = [255; 4];

/// The model so far.
#[derive(Default)]
pub(super) struct Raw {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) colours: Option<Vec<[u8; 4]>>,
    pub(super) texture: Option<Texture>,
}

/// One piece of a model: its triangles count its own vertices.
#[derive(Default)]
pub(super) struct Piece {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) colours: Option<Vec<[u8; 4]>>,
    pub(super) texture: Option<Texture>,
}

impl Raw {
    /// Adds a piece. One textured piece keeps its texture; of several, each texture is brought to
    /// vertex colours, as a mesh has at most one picture.
    pub(super) fn add(&mut self, piece: Piece, limits: &Limits) -> Result<(), MeshError> {
        if self.triangles.len() + piece.triangles.len() > limits.triangles {
            return Err(super::too_many_triangles(limits));
        }
        let end = self.positions.len() + piece.positions.len();
        let base = u32::try_from(end)
            .and_then(|_| u32::try_from(self.positions.len()))
            .map_err(|_| super::too_many_triangles(limits))?;
        let first = self.positions.is_empty();
        let count = piece.positions.len();
        self.positions.extend(piece.positions);
        self.triangles
            .extend(piece.triangles.iter().map(|t| t.map(|i| i + base)));
        if first {
            self.colours = piece.colours;
            self.texture = piece.texture;
            return Ok(());
        }
        if let Some(texture) = self.texture.take() {
            self.colours = Some(bake(self.colours.take(), &texture));
        }
        let colours = match &piece.texture {
            Some(texture) => Some(bake(piece.colours, texture)),
            None => piece.colours,
        };
        if self.colours.is_some() || colours.is_some() {
            let all = self.colours.get_or_insert_default();
            all.resize(base as usize, WHITE);
            all.extend(colours.unwrap_or_default());
            all.resize(base as usize + count, WHITE);
        }
        Ok(())
    }
}

/// The texture's colour at every vertex, times the vertex's own.
fn bake(colours: Option<Vec<[u8; 4]>>, texture: &Texture) -> Vec<[u8; 4]> {
    let (width, height) = texture.picture.dimensions();
    let nearest = |place: &glam::Vec2| {
        let at = |share: f32, n: u32| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                clippy::cast_precision_loss,
                reason = "within the picture"
            )]
            let pixel = (share.rem_euclid(1.0) * n as f32) as u32;
            pixel.min(n.saturating_sub(1))
        };
        texture
            .picture
            .get_pixel(at(place.x, width), at(place.y, height))
            .0
    };
    let own = colours.unwrap_or_else(|| vec![WHITE; texture.places.len()]);
    own.iter()
        .zip(&texture.places)
        .map(|(colour, place)| {
            let picture = nearest(place);
            std::array::from_fn(|k| {
                to_byte(f32::from(colour[k]) * f32::from(picture[k]) / 65_025.0)
            })
        })
        .collect()
}

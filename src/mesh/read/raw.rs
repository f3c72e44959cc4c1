//! What a reader gathers, piece by piece, still in the file's unit and unchecked.

use crate::limits::Limits;
use crate::mesh::MeshError;
use crate::mesh::laid::{Laid, Slopes};
use glam::Vec3;

const WHITE: [u8; 4] = [255; 4];

/// The model so far.
#[derive(Default)]
pub(super) struct Raw {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) colours: Option<Vec<[u8; 4]>>,
    pub(super) texture: Option<Laid>,
    pub(super) slopes: Option<Slopes>,
}

/// One piece of a model: its triangles count its own vertices.
#[derive(Default)]
pub(super) struct Piece {
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) colours: Option<Vec<[u8; 4]>>,
    pub(super) texture: Option<Laid>,
    pub(super) slopes: Option<Slopes>,
}

impl Raw {
    /// Adds a piece.
    pub(super) fn add(&mut self, piece: Piece, limits: &Limits) -> Result<(), MeshError> {
        if self.triangles.len() + piece.triangles.len() > limits.triangles {
            return Err(super::too_many_triangles(limits));
        }
        let end = self.positions.len() + piece.positions.len();
        let base = u32::try_from(end)
            .and_then(|_| u32::try_from(self.positions.len()))
            .map_err(|_| super::too_many_triangles(limits))?;
        let count = piece.positions.len();
        self.positions.extend(piece.positions);
        self.triangles
            .extend(piece.triangles.iter().map(|t| t.map(|i| i + base)));
        if self.colours.is_some() || piece.colours.is_some() {
            let all = self.colours.get_or_insert_default();
            all.resize(base as usize, WHITE);
            all.extend(piece.colours.unwrap_or_default());
            all.resize(base as usize + count, WHITE);
        }
        if let Some(texture) = piece.texture {
            let all = self.texture.get_or_insert_default();
            all.grow(base as usize);
            all.append(&texture)?;
        }
        if let Some(slopes) = piece.slopes {
            let all = self.slopes.get_or_insert_default();
            all.grow(base as usize);
            all.append(&slopes)?;
        }
        if let Some(all) = &mut self.texture {
            all.grow(end);
        }
        if let Some(all) = &mut self.slopes {
            all.grow(end);
        }
        Ok(())
    }
}

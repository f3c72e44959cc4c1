//! The build: objects put where its items and their components say.

use super::damaged;
use super::model::{Model, Placed};
use crate::limits::Limits;
use crate::mesh::MeshError;
use crate::mesh::read::raw::{Piece, Raw};
use glam::Affine3A;

/// Deepest nesting of components.
const DEEPEST: usize = 32;
/// Most objects and components put into place: far beyond any real part.
const MOST_PLACED: usize = 10_000;

pub(super) fn place(
    model: &Model,
    most_triangles: usize,
    limits: &Limits,
) -> Result<Raw, MeshError> {
    if model.build.is_empty() {
        return Err(damaged("its build places no object"));
    }
    let mut placing = Placing {
        model,
        limits: &Limits {
            triangles: most_triangles,
            ..*limits
        },
        placed: 0,
        raw: Raw::default(),
    };
    for item in &model.build {
        placing.object(*item, Affine3A::IDENTITY, 0)?;
    }
    Ok(placing.raw)
}

struct Placing<'a> {
    model: &'a Model,
    limits: &'a Limits,
    placed: usize,
    raw: Raw,
}

impl Placing<'_> {
    fn object(&mut self, what: Placed, outer: Affine3A, depth: usize) -> Result<(), MeshError> {
        self.placed += 1;
        if depth > DEEPEST || self.placed > MOST_PLACED {
            return Err(damaged(
                "its components are nested too deeply or are too many",
            ));
        }
        let object = self
            .model
            .objects
            .get(&what.object)
            .ok_or_else(|| damaged(format!("there is no object {}", what.object)))?;
        let place = outer * what.place;
        if !object.triangles.is_empty() {
            let mut triangles = object.triangles.clone();
            if place.matrix3.determinant() < 0.0 {
                // A mirror turns the surface inside out.
                triangles.iter_mut().for_each(|t| t.swap(1, 2));
            }
            let positions = object
                .positions
                .iter()
                .map(|p| place.transform_point3(*p))
                .collect();
            self.raw.add(
                Piece {
                    positions,
                    triangles,
                    ..Piece::default()
                },
                self.limits,
            )?;
        }
        for component in &object.components {
            self.object(*component, place, depth + 1)?;
        }
        Ok(())
    }
}

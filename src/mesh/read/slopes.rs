//! Normal maps of glTF: in which directions at each vertex the picture is to be read.

use super::gltf::damaged;
use super::raw::Piece;
use crate::mesh::laid::{Between, Frame, Laid, Slopes};
use crate::mesh::{Mesh, MeshError, NormalMap, Texture, vertex_normals, weld};
use bevy_mikktspace::{Geometry, TangentSpace, generate_tangents};
use glam::{Mat3, Vec3, Vec4};
use std::collections::HashMap;

/// A normal map as a file has it.
pub(super) struct Given {
    pub(super) texture: Texture,
    /// What red and green are multiplied by.
    pub(super) scale: f32,
    /// The file's normals, one per vertex, in the piece's own directions.
    pub(super) normals: Option<Vec<Vec3>>,
    /// The file's tangents; without normals they say nothing (section 3.7.2.1).
    pub(super) tangents: Option<Vec<Vec4>>,
}

/// Lays a normal map over a piece that a node has put in its place. Where the file has no tangents,
/// a vertex at which several meet is split.
pub(super) fn lay(piece: &mut Piece, mut given: Given, node: Mat3) -> Result<(), MeshError> {
    let normals = match given.normals.take() {
        Some(own) => own.into_iter().map(|n| turned(node, n)).collect(),
        None => {
            given.tangents = None;
            own_normals(piece)?
        }
    };
    if let Some(own) = given.tangents.take() {
        // A mirror turns what is right to the left.
        let mirror = node.determinant().signum();
        let tangents = own
            .iter()
            .map(|t| (node * t.truncate()).extend(t.w * mirror));
        return finish(piece, given, &normals, tangents.collect());
    }
    let mut surface = Surface {
        piece,
        places: &given.texture,
        normals: &normals,
        tangents: vec![None; normals.len()],
        origins: (0u32..).take(normals.len()).collect(),
        split: HashMap::new(),
        triangles: piece.triangles.clone(),
    };
    surface.check()?;
    generate_tangents(&mut surface).map_err(|e| damaged(&e.to_string()))?;
    let Surface {
        origins,
        tangents,
        triangles,
        ..
    } = surface;
    piece.triangles = triangles;
    if origins.len() > normals.len() {
        split(piece, &origins);
        let texture = &mut given.texture;
        texture.places = origins
            .iter()
            .map(|i| texture.places[*i as usize])
            .collect();
    }
    let normals: Vec<Vec3> = origins.iter().map(|i| normals[*i as usize]).collect();
    let tangents = tangents.into_iter().map(|t| t.unwrap_or(Vec4::X)).collect();
    finish(piece, given, &normals, tangents)
}

fn finish(
    piece: &mut Piece,
    given: Given,
    normals: &[Vec3],
    tangents: Vec<Vec4>,
) -> Result<(), MeshError> {
    let frames = normals
        .iter()
        .zip(tangents)
        .map(|(normal, tangent)| Frame {
            normal: normal.normalize_or(Vec3::Y),
            tangent: tangent.truncate().normalize_or(Vec3::X),
            hand: if tangent.w < 0.0 { -1.0 } else { 1.0 },
            scale: given.scale,
        })
        .collect();
    let texture = given.texture;
    piece.slopes = Some(Slopes::of(NormalMap { texture, frames })?);
    Ok(())
}

/// A normal in the node's place: as areas turn, but outward even when mirrored.
fn turned(node: Mat3, normal: Vec3) -> Vec3 {
    let areas = Mat3::from_cols(
        node.y_axis.cross(node.z_axis),
        node.z_axis.cross(node.x_axis),
        node.x_axis.cross(node.y_axis),
    );
    areas * normal * node.determinant().signum()
}

/// Where a file has no normals: smooth ones, the same for all vertices at a place.
fn own_normals(piece: &Piece) -> Result<Vec<Vec3>, MeshError> {
    let mesh = Mesh::new(piece.positions.clone(), piece.triangles.clone())?;
    let welded = weld(&mesh);
    let by_place = vertex_normals(&Mesh::new(welded.places, welded.triangles)?);
    let of = |place: &u32| by_place[*place as usize];
    Ok(welded.place_of.iter().map(of).collect())
}

/// The piece over more vertices, each where one of the old ones is.
fn split(piece: &mut Piece, origins: &[u32]) {
    let vertices: Vec<Between> = origins.iter().map(|i| Between::at(*i)).collect();
    piece.positions = origins
        .iter()
        .map(|i| piece.positions[*i as usize])
        .collect();
    if let Some(colours) = &mut piece.colours {
        *colours = origins.iter().map(|i| colours[*i as usize]).collect();
    }
    piece.texture = piece.texture.as_ref().map(|t: &Laid| t.between(&vertices));
}

/// A piece before the maker of tangents, which has an answer for each corner of each triangle.
struct Surface<'a> {
    piece: &'a Piece,
    places: &'a Texture,
    normals: &'a [Vec3],
    /// Of each vertex, those that were split off included.
    tangents: Vec<Option<Vec4>>,
    /// The old vertex of each.
    origins: Vec<u32>,
    /// Which vertex stands for an old one with another tangent.
    split: HashMap<(u32, [u32; 4]), u32>,
    triangles: Vec<[u32; 3]>,
}

impl Surface<'_> {
    /// The maker of tangents expects numbers.
    fn check(&self) -> Result<(), MeshError> {
        let known = self.piece.positions.iter().all(|p| p.is_finite())
            && self.places.places.iter().all(|p| p.is_finite())
            && self.normals.iter().all(|n| n.is_finite());
        if known {
            return Ok(());
        }
        Err(damaged(
            "coordinates of its normal map are not finite numbers",
        ))
    }

    fn vertex(&self, face: usize, corner: usize) -> usize {
        self.piece.triangles[face][corner] as usize
    }
}

impl Geometry for Surface<'_> {
    fn num_faces(&self) -> usize {
        self.piece.triangles.len()
    }

    fn num_vertices_of_face(&self, _: usize) -> usize {
        3
    }

    fn position(&self, face: usize, corner: usize) -> [f32; 3] {
        self.piece.positions[self.vertex(face, corner)].to_array()
    }

    fn normal(&self, face: usize, corner: usize) -> [f32; 3] {
        self.normals[self.vertex(face, corner)]
            .normalize_or(Vec3::Y)
            .to_array()
    }

    fn tex_coord(&self, face: usize, corner: usize) -> [f32; 2] {
        self.places.places[self.vertex(face, corner)].to_array()
    }

    /// The maker takes places to count upward; glTF's count downward, so that its sign is the
    /// other one.
    fn set_tangent(&mut self, found: Option<TangentSpace>, face: usize, corner: usize) {
        let Some(found) = found else { return };
        let mut tangent = Vec4::from_array(found.tangent_encoded());
        tangent.w = -tangent.w;
        #[expect(clippy::cast_possible_truncation, reason = "the index of a vertex")]
        let own = self.vertex(face, corner) as u32;
        match self.tangents[own as usize] {
            None => self.tangents[own as usize] = Some(tangent),
            Some(known) if known == tangent => {}
            Some(_) => {
                let key = (own, tangent.to_array().map(f32::to_bits));
                let vertex = *self.split.entry(key).or_insert_with(|| {
                    self.tangents.push(Some(tangent));
                    self.origins.push(own);
                    #[expect(
                        clippy::cast_possible_truncation,
                        reason = "at most three for each triangle, whose count is limited"
                    )]
                    let new = (self.origins.len() - 1) as u32;
                    new
                });
                self.triangles[face][corner] = vertex;
            }
        }
    }
}

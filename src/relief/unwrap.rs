//! A place on one common sheet for every triangle of several meshes.

use super::charts::cut;
use super::flat::{Flat, lay};
use super::pack::{Slot, pack};
use crate::mesh::{Mesh, area_mm2, vertex_normals, weld};
use glam::{DVec3, Vec2, Vec3};
use std::collections::HashMap;

/// A mesh whose vertices have places on the sheet. Vertices at the borders of charts are doubled.
#[derive(Debug, Clone)]
pub struct Unwrapped {
    /// The same surface.
    pub mesh: Mesh,
    /// Place of each vertex, 0..1, (0, 0) the top left corner of the sheet, as in glTF.
    pub places: Vec<Vec2>,
    /// Unit normals of the reduced surface, without a seam where charts meet.
    pub normals: Vec<Vec3>,
    /// Direction on the surface in which the sheet runs to the right, a unit vector across the
    /// normal. The sheet's upward direction is the normal × this (handedness 1).
    pub tangents: Vec<Vec3>,
    /// Charts that it was cut into.
    pub charts: usize,
}

/// Lays meshes flat on one square sheet of about so many texels across. `None` when their surfaces
/// fall into more pieces than a sheet can hold, or have no area.
pub fn unwrap(meshes: &[&Mesh], texels: u32) -> Option<Vec<Unwrapped>> {
    let area: f64 = meshes.iter().map(|m| area_mm2(m)).sum();
    let texel_mm = area.sqrt() / f64::from(texels.max(1)) * 1.2;
    let texel_mm = texel_mm.max(f64::MIN_POSITIVE);
    let laid: Vec<Laid> = meshes.iter().map(|m| Laid::of(m, texel_mm)).collect();
    let all: Vec<(&Mesh, &Flat)> = laid
        .iter()
        .flat_map(|laid| laid.flats.iter().map(|flat| (&laid.whole, flat)))
        .collect();
    let mut slots = pack(&all)?.into_iter();
    let split = meshes
        .iter()
        .zip(&laid)
        .map(|(mesh, laid)| {
            let slots: Vec<Slot> = slots.by_ref().take(laid.flats.len()).collect();
            split(mesh, laid, &slots)
        })
        .collect();
    Some(split)
}

/// A mesh, welded, and its charts.
struct Laid {
    whole: Mesh,
    place_of: Vec<u32>,
    flats: Vec<Flat>,
}

impl Laid {
    fn of(mesh: &Mesh, texel_mm: f64) -> Self {
        let welded = weld(mesh);
        let numbers = 0..u32::try_from(mesh.positions().len()).unwrap_or(u32::MAX);
        // Welding a checked mesh keeps its triangles and its coordinates.
        let (whole, place_of) = match Mesh::new(welded.places, welded.triangles) {
            Ok(whole) => (whole, welded.place_of),
            Err(_) => (mesh.clone(), numbers.collect()),
        };
        let flats = lay(&whole, cut(&whole), texel_mm);
        Self {
            whole,
            place_of,
            flats,
        }
    }
}

/// Each chart gets vertices of its own.
fn split(mesh: &Mesh, laid: &Laid, slots: &[Slot]) -> Unwrapped {
    let normals_here = smooth_normals(mesh);
    let mut renamed: HashMap<(u32, usize), u32> = HashMap::new();
    let mut out = Unwrapped {
        mesh: mesh.clone(),
        places: Vec::new(),
        normals: Vec::new(),
        tangents: Vec::new(),
        charts: laid.flats.len(),
    };
    let mut old = Vec::new();
    let mut triangles = vec![[0; 3]; mesh.triangles().len()];
    for (chart, (flat, slot)) in laid.flats.iter().zip(slots).enumerate() {
        for &face in &flat.faces {
            triangles[face as usize] = mesh.triangles()[face as usize].map(|vertex| {
                *renamed.entry((vertex, chart)).or_insert_with(|| {
                    #[expect(
                        clippy::cast_possible_truncation,
                        reason = "at most three for each triangle of a reduced mesh"
                    )]
                    let new = old.len() as u32;
                    old.push(vertex);
                    let place = slot
                        .place(flat.place(laid.place_of[vertex as usize]))
                        .as_vec2();
                    // The chart's plane has its second axis up, the sheet's runs down.
                    out.places.push(Vec2::new(place.x, 1.0 - place.y));
                    out.normals.push(normals_here[vertex as usize].as_vec3());
                    new
                })
            });
        }
    }
    let positions = old.iter().map(|i| mesh.positions()[*i as usize]).collect();
    // Indices were made just above, the positions come from a checked mesh, and so do the colours.
    if let Ok(whole) = Mesh::new(positions, triangles) {
        let colours = mesh
            .colours()
            .map(|c| old.iter().map(|i| c[*i as usize]).collect());
        out.mesh = match colours {
            Some(colours) => whole.clone().with_colours(colours).unwrap_or(whole),
            None => whole,
        };
    }
    out.tangents = tangents(&out);
    out
}

/// How the surface runs where the sheet runs to the right, the mean of the triangles at a vertex
/// weighted by their area, across the normal.
fn tangents(flat: &Unwrapped) -> Vec<Vec3> {
    let mut sums = vec![DVec3::ZERO; flat.places.len()];
    for (face, vertices) in (0u32..).zip(flat.mesh.triangles()) {
        let [a, b, c] = flat.mesh.corners(face);
        let [p, q, r] = vertices.map(|i| flat.places[i as usize].as_dvec2());
        let (s, t) = (q - p, r - p);
        // The gradient of the first coordinate: what solves both edges, turned over or not.
        let along = ((b - a) * t.y - (c - a) * s.y) * s.perp_dot(t).signum();
        if along.is_finite() {
            let area = (b - a).cross(c - a).length();
            for vertex in vertices {
                sums[*vertex as usize] += along.normalize_or_zero() * area;
            }
        }
    }
    sums.iter()
        .zip(&flat.normals)
        .map(|(sum, normal)| {
            let normal = normal.as_dvec3();
            sum.reject_from_normalized(normal)
                .try_normalize()
                .unwrap_or_else(|| normal.any_orthonormal_vector())
                .as_vec3()
        })
        .collect()
}

/// Normals of the vertices, the same for all that share a place.
pub(super) fn smooth_normals(mesh: &Mesh) -> Vec<DVec3> {
    let welded = weld(mesh);
    let by_place = Mesh::new(welded.places, welded.triangles).map(|m| vertex_normals(&m));
    match by_place {
        Ok(normals) => welded
            .place_of
            .iter()
            .map(|place| normals[*place as usize].as_dvec3())
            .collect(),
        // Welding a mesh keeps its triangles, so it cannot become empty.
        Err(_) => vec![DVec3::Y; mesh.positions().len()],
    }
}

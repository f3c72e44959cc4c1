//! Pairs of bodies that tests/outside/make_pairs.py made, and what it says of them.

use crate::{folder, mesh};
use counterpart::align::{Pose, Surface};
use counterpart::mesh::Mesh;
use counterpart::record::LengthUnit;
use counterpart::space::{Sides, Tree};
use glam::{DMat3, DQuat, DVec3};
use serde::Deserialize;

#[derive(Deserialize)]
pub(crate) struct Pairs {
    pub(crate) diagonal_mm: f64,
    pub(crate) noise_mm: f64,
    pub(crate) differences: Vec<Difference>,
    pub(crate) moved: Pair,
    pub(crate) noisy: Pair,
    pub(crate) changed: Pair,
    pub(crate) split: Pair,
    pub(crate) fewer: Pair,
    pub(crate) sets: Vec<Set>,
    pub(crate) hull: HullSaid,
    pub(crate) cuts: Vec<CutSaid>,
}

/// A replica, and how it lies.
#[derive(Deserialize)]
pub(crate) struct Pair {
    truth: [[f64; 4]; 4],
    start: [[f64; 4]; 4],
    /// What Open3D's fit leaves, root mean square over the vertices of both.
    pub(crate) rms_mm: f64,
}

/// A difference that was made.
#[derive(Deserialize)]
pub(crate) struct Difference {
    pub(crate) kind: String,
    pub(crate) place: [f64; 3],
    pub(crate) depth_mm: f64,
    pub(crate) volume_mm3: f64,
}

/// Pairs of points, and the best motion.
#[derive(Deserialize)]
pub(crate) struct Set {
    pub(crate) from: Vec<[f64; 3]>,
    pub(crate) to: Vec<[f64; 3]>,
    pub(crate) turn: [[f64; 3]; 3],
    pub(crate) shift: [f64; 3],
    pub(crate) rms_mm: f64,
    pub(crate) singular: [f64; 3],
}

/// An upright plane through the dragon.
#[derive(Deserialize)]
pub(crate) struct CutSaid {
    pub(crate) azimuth_deg: f64,
    pub(crate) origin: [f64; 3],
    pub(crate) length_mm: f64,
    pub(crate) area_mm2: f64,
}

/// The hull of the dragon's points.
#[derive(Deserialize)]
pub(crate) struct HullSaid {
    pub(crate) volume_mm3: f64,
    pub(crate) area_mm2: f64,
    pub(crate) corners: usize,
    pub(crate) facets: usize,
    pub(crate) centre: [f64; 3],
    /// Planes of the facets on which it stays.
    pub(crate) stable: Vec<[f64; 4]>,
    pub(crate) settled: [f64; 4],
    pub(crate) tilt_deg: f64,
}

pub(crate) fn pairs() -> Pairs {
    let text = std::fs::read_to_string(folder().join("pairs/pairs.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn pose(rows: &[[f64; 4]; 4]) -> Pose {
    let column = |k: usize| DVec3::new(rows[0][k], rows[1][k], rows[2][k]);
    let turn = DMat3::from_cols(column(0), column(1), column(2));
    Pose {
        scale: 1.0,
        turn: DQuat::from_mat3(&turn).normalize(),
        shift: column(3),
    }
}

impl Pair {
    /// From the replica's frame to the original's.
    pub(crate) fn truth(&self) -> Pose {
        pose(&self.truth)
    }

    /// A pose near it, from which Open3D began.
    pub(crate) fn start(&self) -> Pose {
        pose(&self.start)
    }
}

/// A mesh with all that is asked of it.
pub(crate) struct Ready {
    pub(crate) mesh: Mesh,
    tree: Tree,
    sides: Sides,
}

impl Ready {
    pub(crate) fn of(mesh: Mesh) -> Self {
        Self {
            tree: Tree::build(&mesh),
            sides: Sides::of(&mesh),
            mesh,
        }
    }

    pub(crate) fn read(name: &str) -> Self {
        Self::of(mesh(&format!("pairs/{name}.ply"), LengthUnit::Millimetre))
    }

    pub(crate) fn surface(&self) -> Surface<'_> {
        Surface::of(&self.mesh, &self.tree, &self.sides).unwrap()
    }
}

/// Numbers in single precision, as Python wrote them.
pub(crate) fn floats(name: &str) -> Vec<f64> {
    let bytes = std::fs::read(folder().join("pairs").join(name)).unwrap();
    let all = bytes.as_chunks().0.iter();
    all.map(|b| f64::from(f32::from_le_bytes(*b))).collect()
}

//! Vertices at the very same place counted as one: STL repeats every corner, and other formats
//! split vertices at seams of colour.

use super::Mesh;
use glam::Vec3;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// The mesh's connections, once vertices at the very same place are one.
#[derive(Debug, Clone)]
pub struct Welded {
    /// For every vertex of the mesh, the number of its place.
    pub place_of: Vec<u32>,
    /// One position per place, millimetres, in order of first use.
    pub places: Vec<Vec3>,
    /// Triangles over the places. Some may name one place twice.
    pub triangles: Vec<[u32; 3]>,
}

/// Welds exactly: two vertices are one only when their coordinates are equal.
pub fn weld(mesh: &Mesh) -> Welded {
    let (place_of, places) = places(mesh.positions());
    let triangles = mesh
        .triangles()
        .iter()
        .map(|t| t.map(|i| place_of[i as usize]))
        .collect();
    Welded {
        place_of,
        places,
        triangles,
    }
}

/// Numbers the distinct positions in order of first use.
pub(super) fn places(positions: &[Vec3]) -> (Vec<u32>, Vec<Vec3>) {
    let mut known: HashMap<[u32; 3], u32, BuildHasherDefault<Mix>> =
        HashMap::with_capacity_and_hasher(positions.len() / 2, BuildHasherDefault::default());
    let mut places = Vec::new();
    let place_of = positions
        .iter()
        .map(|p| {
            // Adding zero turns a negative zero into a positive one.
            let key = p.to_array().map(|c| (c + 0.0).to_bits());
            *known.entry(key).or_insert_with(|| {
                places.push(*p);
                #[expect(clippy::cast_possible_truncation, reason = "indices are u32")]
                let number = (places.len() - 1) as u32;
                number
            })
        })
        .collect();
    (place_of, places)
}

/// Multiplies and folds (Knuth, *The Art of Computer Programming* 3, section 6.4): the default
/// hasher guards against chosen keys at four times the cost. Chosen keys could slow this table
/// down, so each word is mixed again at the end.
#[derive(Default)]
pub(super) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        let x = (self.0 ^ (self.0 >> 32)).wrapping_mul(0xd6e8_feb8_6659_fd93);
        x ^ (x >> 32)
    }

    fn write(&mut self, bytes: &[u8]) {
        for word in bytes.chunks(8) {
            let mut all = [0; 8];
            all[..word.len()].copy_from_slice(word);
            self.write_u64(u64::from_le_bytes(all));
        }
    }

    fn write_u32(&mut self, word: u32) {
        self.write_u64(u64::from(word));
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }
}

//! From loose triangles to a mesh in which every edge parts two triangles, or one at a gap.

use counterpart::mesh::Mesh;
use glam::Vec3;
use std::collections::BTreeMap;

/// Keeps the points that are used, in the order of their first use, and parts sheets that came
/// to share an edge when the surface was made coarser.
pub(crate) fn manifold(positions: &[Vec3], colours: &[[u8; 4]], indices: &[u32]) -> Mesh {
    let mut loose = Loose::of(positions, colours, indices);
    // Parting one edge cannot join others, so few rounds are enough.
    for round in 0..8u8 {
        // Another share of the edge each time, so that no two new points fall together.
        if !loose.part_shared_edges(0.5 - 0.04 * f32::from(round)) {
            break;
        }
    }
    Mesh::new(loose.positions, loose.triangles)
        .and_then(|mesh| mesh.with_colours(loose.colours))
        .expect("indices and colours were made together")
}

struct Loose {
    positions: Vec<Vec3>,
    colours: Vec<[u8; 4]>,
    triangles: Vec<[u32; 3]>,
}

impl Loose {
    fn of(positions: &[Vec3], colours: &[[u8; 4]], indices: &[u32]) -> Self {
        let mut order: Vec<u32> = vec![u32::MAX; positions.len()];
        let mut loose = Self {
            positions: Vec::new(),
            colours: Vec::new(),
            triangles: Vec::new(),
        };
        let mut renamed = Vec::with_capacity(indices.len());
        for &i in indices {
            let old = i as usize;
            if order[old] == u32::MAX {
                order[old] = loose.positions.len() as u32;
                loose.positions.push(positions[old]);
                loose.colours.push(colours[old]);
            }
            renamed.push(order[old]);
        }
        let triples = renamed.chunks_exact(3).map(|t| [t[0], t[1], t[2]]);
        loose.triangles = triples.collect();
        loose
    }

    /// Splits one pair of triangles at every edge that has more than one pair.
    fn part_shared_edges(&mut self, share: f32) -> bool {
        let mut edges: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
        for (face, t) in self.triangles.iter().enumerate() {
            for k in 0..3 {
                edges.entry((t[k], t[(k + 1) % 3])).or_default().push(face);
            }
        }
        let mut touched = vec![false; self.triangles.len()];
        let mut parted = false;
        for (&(a, b), there) in &edges {
            let Some(back) = edges.get(&(b, a)) else {
                continue;
            };
            if a > b || there.len() < 2 || back.len() < 2 {
                continue;
            }
            let (one, two) = self.likest(there, back);
            if touched[one] || touched[two] {
                parted = true;
                continue;
            }
            (touched[one], touched[two]) = (true, true);
            let middle = self.between(a, b, share);
            self.split(one, a, b, middle);
            self.split(two, b, a, middle);
            parted = true;
        }
        parted
    }

    /// The two triangles on either side of an edge that lie most nearly in one sheet.
    fn likest(&self, there: &[usize], back: &[usize]) -> (usize, usize) {
        let mut best = (f32::NEG_INFINITY, there[0], back[0]);
        for &one in there {
            for &two in back {
                let likeness = self.normal(one).dot(self.normal(two));
                if likeness > best.0 {
                    best = (likeness, one, two);
                }
            }
        }
        (best.1, best.2)
    }

    fn normal(&self, face: usize) -> Vec3 {
        let [a, b, c] = self.triangles[face].map(|v| self.positions[v as usize]);
        (b - a).cross(c - a).normalize_or_zero()
    }

    fn between(&mut self, a: u32, b: u32, share: f32) -> u32 {
        let (a, b) = (a as usize, b as usize);
        let mean = |x: u8, y: u8| u8::midpoint(x, y);
        let colour = std::array::from_fn(|c| mean(self.colours[a][c], self.colours[b][c]));
        let place = self.positions[a].lerp(self.positions[b], share);
        self.positions.push(place);
        self.colours.push(colour);
        (self.positions.len() - 1) as u32
    }

    fn split(&mut self, face: usize, a: u32, b: u32, middle: u32) {
        let apex = self.triangles[face]
            .into_iter()
            .find(|v| *v != a && *v != b);
        let apex = apex.expect("a triangle has a corner off its edge");
        self.triangles[face] = [a, middle, apex];
        self.triangles.push([middle, b, apex]);
    }
}

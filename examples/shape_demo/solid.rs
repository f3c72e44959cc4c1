//! A coloured triangle surface in millimetres, and thinning it where it is plain.

use glam::{DVec3, Vec3};

/// Points, triangles, colours; the length of `points` and `colours` agree.
#[derive(Clone, Default)]
pub struct Solid {
    pub points: Vec<DVec3>,
    pub triangles: Vec<[u32; 3]>,
    pub colours: Vec<[u8; 4]>,
}

impl Solid {
    /// Adds another closed surface.
    pub fn add(&mut self, other: &Solid) {
        let base = self.points.len() as u32;
        self.points.extend_from_slice(&other.points);
        self.colours.extend_from_slice(&other.colours);
        self.triangles
            .extend(other.triangles.iter().map(|t| t.map(|i| i + base)));
    }

    /// Volume by the divergence theorem; negative if turned inside out.
    pub fn volume_mm3(&self) -> f64 {
        let mut sum = 0.0;
        for t in &self.triangles {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            sum += a.dot(b.cross(c)) / 6.0;
        }
        sum
    }

    /// Unit normals at the points, weighted by triangle area.
    pub fn normals(&self) -> Vec<DVec3> {
        let mut normals = vec![DVec3::ZERO; self.points.len()];
        for t in &self.triangles {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            let n = (b - a).cross(c - a);
            for i in t {
                normals[*i as usize] += n;
            }
        }
        normals.iter().map(|n| n.normalize_or_zero()).collect()
    }

    /// Thins to about `count` triangles, keeping relief and colour edges.
    pub fn thin(&self, count: usize) -> Solid {
        let normals = self.normals();
        let mut attributes = Vec::with_capacity(self.points.len() * 6);
        for (n, c) in normals.iter().zip(&self.colours) {
            attributes.extend([n.x as f32, n.y as f32, n.z as f32]);
            attributes.extend([c[0], c[1], c[2]].map(|v| f32::from(v) / 255.0));
        }
        let positions: Vec<[f32; 3]> = self.points.iter().map(|p| p.as_vec3().to_array()).collect();
        let indices: Vec<u32> = self.triangles.iter().flatten().copied().collect();
        let bytes: &[u8] = meshopt::typed_to_bytes(&positions);
        let adapter = meshopt::VertexDataAdapter::new(bytes, 12, 0)
            .expect("twelve bytes a point, whole points only");
        let locks = vec![false; positions.len()];
        let kept = meshopt::simplify_with_attributes_and_locks(
            &indices,
            &adapter,
            &attributes,
            &[0.5, 0.5, 0.5, 0.35, 0.35, 0.35],
            6 * 4,
            &locks,
            count * 3,
            0.2,
            meshopt::SimplifyOptions::None,
            None,
        );
        self.pick(&kept)
    }

    /// Keeps the triangles named by `indices` and the points they use.
    fn pick(&self, indices: &[u32]) -> Solid {
        let mut place = vec![u32::MAX; self.points.len()];
        let mut out = Solid::default();
        for t in indices.chunks_exact(3) {
            let mut corner = [0; 3];
            for (slot, &i) in corner.iter_mut().zip(t) {
                let i = i as usize;
                if place[i] == u32::MAX {
                    place[i] = out.points.len() as u32;
                    out.points.push(self.points[i]);
                    out.colours.push(self.colours[i]);
                }
                *slot = place[i];
            }
            out.triangles.push(corner);
        }
        out
    }

    /// Leaves out the triangles whose middle `missing` picks (gaps of a scan).
    pub fn without(&self, missing: impl Fn(DVec3) -> bool) -> Solid {
        let kept: Vec<u32> = self
            .triangles
            .iter()
            .filter(|t| {
                let [a, b, c] = t.map(|i| self.points[i as usize]);
                !missing((a + b + c) / 3.0)
            })
            .flatten()
            .copied()
            .collect();
        self.pick(&kept)
    }

    /// Positions as the library wants them.
    pub fn positions(&self) -> Vec<Vec3> {
        self.points.iter().map(|p| p.as_vec3()).collect()
    }
}

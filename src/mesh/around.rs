//! Triangles around every corner.

/// Which triangles meet at each corner, in one list.
pub(crate) struct FacesAround {
    first: Vec<u32>,
    faces: Vec<u32>,
}

impl FacesAround {
    /// Gathers them for `corners` corners.
    pub(crate) fn of(corners: usize, triangles: &[[u32; 3]]) -> Self {
        let mut first = vec![0u32; corners + 1];
        for i in triangles.iter().flatten() {
            first[*i as usize + 1] += 1;
        }
        for i in 0..corners {
            first[i + 1] += first[i];
        }
        let mut next = first.clone();
        let mut faces = vec![0; triangles.len() * 3];
        for (face, t) in (0u32..).zip(triangles) {
            for i in t {
                faces[next[*i as usize] as usize] = face;
                next[*i as usize] += 1;
            }
        }
        Self { first, faces }
    }

    /// The triangles at one corner; one that names it twice comes twice.
    pub(crate) fn corner(&self, i: u32) -> &[u32] {
        let i = i as usize;
        &self.faces[self.first[i] as usize..self.first[i + 1] as usize]
    }

    /// The triangles that touch any of these corners, each once.
    pub(crate) fn touching(&self, corners: &[u32]) -> Vec<u32> {
        let mut all: Vec<u32> = corners
            .iter()
            .flat_map(|i| self.corner(*i))
            .copied()
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fan_of_three() {
        let around = FacesAround::of(6, &[[0, 1, 2], [0, 2, 3], [0, 3, 4]]);
        assert_eq!(around.corner(0), [0, 1, 2]);
        assert_eq!(around.corner(2), [0, 1]);
        assert_eq!(around.corner(5), [0u32; 0]);
        assert_eq!(around.touching(&[4, 2, 1]), [0, 1, 2]);
    }
}

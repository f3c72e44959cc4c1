//! A model that an agreement wants coarser than the scan.
//!
//! The limit is a length, `finest_mm`: the root mean square of the distances between model and
//! scan, measured both ways over the whole surface, must be no less. Fewer triangles alone would
//! prove nothing, since a flat surface needs few; the measured error is what says how much was
//! held back. Places of details get no finer triangles then, and nothing is drawn on the model
//! from the scan: slopes, shade and colour would tell what its triangles must not. Colours of a scan
//! that has them at its vertices are kept at those that are left.

use crate::collate::PartGeometry;
use crate::mesh::Mesh;
use crate::reduce::{deviation, simplify};

/// So much more than the limit is asked for: samples of the same surfaces, taken otherwise, differ
/// by a few hundredths, and the grid of the file moves every vertex a little.
const SPARE: f64 = 1.06;
/// Nothing closed has fewer triangles.
const FEWEST: usize = 4;

/// At most so many triangles; `None` when even the fewest stray less than the limit.
pub(super) fn reduced(part: &PartGeometry, most: usize, finest_mm: f64) -> Option<Mesh> {
    let wanted_mm = finest_mm * SPARE;
    let mut triangles = most.min(part.mesh.triangles().len());
    loop {
        let mesh = simplify(&part.mesh, triangles, &[]);
        let found_mm = deviation(&part.mesh, &part.tree, &mesh, &[]).whole.rms_mm;
        if found_mm >= wanted_mm {
            return Some(mesh);
        }
        let count = mesh.triangles().len();
        if count <= FEWEST || triangles <= FEWEST {
            return None;
        }
        // Halving the triangles about doubles what is lost; a little less, not to overshoot.
        let share = (found_mm / wanted_mm * 1.15).clamp(0.1, 0.9);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a count"
        )]
        let next = (count.min(triangles) as f64 * share) as usize;
        triangles = next.max(FEWEST);
    }
}

//! Corners beyond the tolerance, gathered into patches across both surfaces.

use super::Field;
use super::region::Kind;
use crate::mesh::Sets;

/// What counts as within tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Tolerance, millimetres.
    pub tolerance_mm: f64,
    /// Thickness of a declared coating on the replica, least and greatest, millimetres.
    pub coating_mm: [f64; 2],
}

impl Band {
    /// Lowest and highest distance of the replica's surface from the original that is no
    /// difference.
    pub fn replica(&self) -> [f64; 2] {
        let [low, high] = self.coating_mm;
        [low - self.tolerance_mm, high + self.tolerance_mm]
    }

    /// The same, of the original's surface from the replica.
    pub fn original(&self) -> [f64; 2] {
        let [low, high] = self.replica();
        [-high, -low]
    }
}

/// Corners of both surfaces that belong to one difference.
#[derive(Debug, Clone, Default)]
pub(super) struct Patch {
    pub(super) kind: Option<Kind>,
    /// On the original and on the replica.
    pub(super) corners: [Vec<u32>; 2],
}

/// Gathers the patches of two fields, first the original's, in the order of their first corner.
pub(super) fn gather(fields: [&Field; 2], band: &Band) -> Vec<Patch> {
    let offset = fields[0].places.len();
    let kinds: [Vec<Option<Kind>>; 2] = [
        classes(fields[0], band.original(), Kind::Gained, Kind::Lost),
        classes(fields[1], band.replica(), Kind::Lost, Kind::Gained),
    ];
    let mut sets = Sets::new(offset + fields[1].places.len());
    let number = |body: usize, i: u32| {
        #[expect(clippy::cast_possible_truncation, reason = "places are counted in u32")]
        let base = if body == 0 { 0 } else { offset as u32 };
        base + i
    };
    for body in [0, 1] {
        let (field, own, other) = (fields[body], &kinds[body], &kinds[1 - body]);
        for (i, kind) in (0u32..).zip(own) {
            if kind.is_none() {
                continue;
            }
            for j in field.around.corner(i as usize) {
                if own[*j as usize] == *kind {
                    sets.join(number(body, i), number(body, *j));
                }
            }
            let foot = field.foot_places[i as usize];
            if other[foot as usize] == *kind {
                sets.join(number(body, i), number(1 - body, foot));
            }
        }
    }
    let mut keyed: Vec<(u32, usize, u32)> = Vec::new();
    for (body, own) in kinds.iter().enumerate() {
        for (i, _) in (0u32..).zip(own).filter(|(_, k)| k.is_some()) {
            keyed.push((sets.find(number(body, i)), body, i));
        }
    }
    keyed.sort_unstable();
    keyed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|group| {
            let mut patch = Patch::default();
            for &(_, body, i) in group {
                patch.kind = kinds[body][i as usize];
                patch.corners[body].push(i);
            }
            patch
        })
        .collect()
}

fn classes(field: &Field, [low, high]: [f64; 2], below: Kind, above: Kind) -> Vec<Option<Kind>> {
    (0..field.places.len())
        .map(|i| match field.smooth_mm[i] {
            _ if !field.captured[i] => None,
            d if d < low => Some(below),
            d if d > high => Some(above),
            _ => None,
        })
        .collect()
}

/// Corners that belong to a patch, and those around it as far as the difference can be followed:
/// ring by ring until the mean of a ring is no longer told from its noise. The choice is made for
/// whole rings, so that chance does not favour one sign.
pub(super) fn widened(
    field: &Field,
    corners: &[u32],
    taken: &mut [u32],
    mark: u32,
    noise_mm: f64,
    usual_mm: f64,
) -> Vec<u32> {
    for i in corners {
        taken[*i as usize] = mark;
    }
    let mut all = corners.to_vec();
    let mut ring = corners.to_vec();
    let mean = |of: &[u32]| {
        let sum: f64 = of
            .iter()
            .map(|i| field.signed_mm[*i as usize] - usual_mm)
            .sum();
        sum / of.len().max(1) as f64
    };
    let sign = mean(corners).signum();
    let mut last = f64::INFINITY;
    // So many rings lie between the middle and the edge: twice the area over the outline.
    let outline = corners.iter().filter(|i| {
        let around = field.around.corner(**i as usize);
        around.iter().any(|j| taken[*j as usize] != mark)
    });
    let across = 2.0 * corners.len() as f64 / outline.count().max(1) as f64;
    // Noise frays an outline: no patch is taken for thinner than half as wide as a round one.
    let across = across.max((corners.len() as f64 / std::f64::consts::PI).sqrt() / 2.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small positive number"
    )]
    let most = (REACH * across).ceil() as usize + 3;
    for _ in 0..most {
        let mut next: Vec<u32> = Vec::new();
        for i in &ring {
            for j in field.around.corner(*i as usize) {
                if taken[*j as usize] == 0 && field.captured[*j as usize] {
                    taken[*j as usize] = mark;
                    next.push(*j);
                }
            }
        }
        let height = mean(&next) * sign;
        let chance = noise_mm / (next.len().max(1) as f64).sqrt();
        // A ring that rises again belongs to something else.
        if next.is_empty() || height < chance || height > last + 3.0 * chance {
            for j in next {
                taken[j as usize] = 0;
            }
            break;
        }
        last = height;
        all.extend(&next);
        ring = next;
    }
    all
}

/// A difference is followed beyond the tolerance by no more than this, in radii of the patch: the
/// foot of a bell is that much wider than its upper half.
const REACH: f64 = 1.5;

//! Further sides of an object, beside its front: the opposite one always, and up to two more, each
//! for details that no side before it shows. All share one scale and one frame, so that the plates
//! of both bodies, and of all sides, can be measured against one another.

use super::stills::{BodyPlate, PLATE_FREE, PLATE_PX};
use crate::picture::Camera;
use crate::record::{BodyKind, DetailId, ViewFrom};
use glam::DVec3;
use std::collections::{BTreeMap, BTreeSet};

/// Pixels of a further side: the shape of the front's picture, since the frame is the same.
pub(crate) const SIDE_PX: [u32; 2] = [800, 640];
/// More plates than this are no longer taken in.
pub(crate) const MOST_SIDES: usize = 4;
/// From an eye higher than this the horizon's sides are no neighbours of the front: a thing that
/// lies on its back is looked at from above.
const STEEP_DEG: f64 = 45.0;
/// Two sides nearer than this to one another show the same (cosine of 30°).
const ALIKE: f64 = 0.866;

/// A side, as one who stands before the front names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Side {
    Front,
    Back,
    Left,
    Right,
    Above,
    Below,
}

impl Side {
    /// Those beside the front, in the order in which they are preferred.
    const FURTHER: [Self; 5] = [
        Self::Back,
        Self::Left,
        Self::Right,
        Self::Above,
        Self::Below,
    ];

    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
            Self::Left => "left",
            Self::Right => "right",
            Self::Above => "above",
            Self::Below => "below",
        }
    }

    /// Where the eye stands for this side of an object with this front.
    fn from(self, front: ViewFrom) -> ViewFrom {
        let steep = front.elevation_deg.abs() > STEEP_DEG;
        let level = if steep { 0.0 } else { front.elevation_deg };
        let (turn_deg, elevation_deg) = match self {
            Self::Front => (0.0, front.elevation_deg),
            Self::Back if steep => (0.0, -front.elevation_deg),
            Self::Back => (180.0, level),
            Self::Left => (-90.0, level),
            Self::Right => (90.0, level),
            Self::Above => (0.0, 90.0),
            Self::Below => (0.0, -90.0),
        };
        ViewFrom {
            azimuth_deg: front.azimuth_deg + turn_deg,
            elevation_deg,
        }
    }
}

/// One side of all bodies, from one camera.
#[derive(Debug, Clone)]
pub(crate) struct SidePlates {
    pub(crate) side: Side,
    pub(crate) plates: BTreeMap<BodyKind, BodyPlate>,
}

/// A detail on one body.
pub(super) type Shown = (BodyKind, DetailId);

/// The front and further sides with their cameras. `shows` says what a side shows of all bodies;
/// `points` are those of all bodies.
///
/// After the front and its opposite, the side that adds most comes next: the greedy cover, which is
/// within a factor of ln n of the best (Johnson, "Approximation algorithms for combinatorial
/// problems", Journal of Computer and System Sciences 9, 1974).
pub(super) fn choose(
    front: ViewFrom,
    points: impl Iterator<Item = DVec3> + Clone,
    shows: impl Fn(&Camera) -> BTreeSet<Shown>,
) -> Vec<(Side, Camera)> {
    let look = |side: Side, size_px| {
        let from = side.from(front);
        Camera::framing(
            points.clone(),
            from.azimuth_deg,
            from.elevation_deg,
            size_px,
            PLATE_FREE,
        )
    };
    let mut chosen = vec![(Side::Front, look(Side::Front, PLATE_PX))];
    let mut shown = shows(&chosen[0].1);
    let mut others: Vec<(Side, Camera)> = Side::FURTHER
        .into_iter()
        .map(|side| (side, look(side, SIDE_PX)))
        .collect();
    while chosen.len() < MOST_SIDES {
        let toward = |camera: &Camera| camera.axes().toward_eye;
        others.retain(|(_, other)| {
            let alike = |(_, kept): &(Side, Camera)| toward(kept).dot(toward(other)) > ALIKE;
            !chosen.iter().any(alike)
        });
        // A detail that is shown on no body yet counts before one that is shown on the other body.
        let adds = |camera: &Camera| {
            let here = shows(camera);
            let new: Vec<&Shown> = here.difference(&shown).collect();
            let known: BTreeSet<&DetailId> = shown.iter().map(|(_, id)| id).collect();
            let fresh: BTreeSet<&DetailId> = new.iter().map(|(_, id)| id).collect();
            (fresh.difference(&known).count(), new.len())
        };
        let best = others
            .iter()
            .enumerate()
            .map(|(i, (side, camera))| (*side == Side::Back, adds(camera), usize::MAX - i))
            .max();
        match best {
            Some((opposite, (_, added), rank)) if opposite || added > 0 => {
                let (side, camera) = others.remove(usize::MAX - rank);
                shown.extend(shows(&camera));
                chosen.push((side, camera));
            }
            _ => break,
        }
    }
    let half_height_mm = chosen
        .iter()
        .map(|(_, camera)| camera.half_height_mm)
        .fold(0.0, f64::max);
    for (_, camera) in &mut chosen {
        camera.half_height_mm = half_height_mm;
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    fn front(azimuth_deg: f64, elevation_deg: f64) -> ViewFrom {
        ViewFrom {
            azimuth_deg,
            elevation_deg,
        }
    }

    /// Corners of a box of 100 × 60 × 20 mm.
    fn corners() -> impl Iterator<Item = DVec3> + Clone {
        (0..8).map(|i| {
            let sign = |bit: u32| if i >> bit & 1 == 0 { -0.5 } else { 0.5 };
            DVec3::new(100.0 * sign(0), 60.0 * sign(1), 20.0 * sign(2))
        })
    }

    /// Details named by the outward direction of their surface, on the original.
    fn facing(details: &[(&'static str, DVec3)]) -> impl Fn(&Camera) -> BTreeSet<Shown> {
        let details = details.to_vec();
        move |camera| {
            let toward = camera.axes().toward_eye;
            let seen = details
                .iter()
                .filter(|(_, normal)| normal.dot(toward) > 0.5);
            seen.map(|(id, _)| (BodyKind::Original, id.parse().unwrap()))
                .collect()
        }
    }

    fn sides(front: ViewFrom, details: &[(&'static str, DVec3)]) -> Vec<&'static str> {
        let chosen = choose(front, corners(), facing(details));
        chosen.iter().map(|(side, _)| side.word()).collect()
    }

    #[test]
    fn the_opposite_is_always_there_and_others_only_for_what_is_new() {
        let level = front(30.0, 10.0);
        assert_eq!(sides(level, &[]), ["front", "back"]);
        let at_front = level_direction(30.0);
        assert_eq!(sides(level, &[("a", at_front)]), ["front", "back"]);
        // To the left of one who looks at the front is the side that an eye at azimuth − 90 sees.
        let left = level_direction(30.0 - 90.0);
        assert_eq!(sides(level, &[("a", left)]), ["front", "back", "left"]);
        let below = [("a", DVec3::NEG_Y), ("b", DVec3::NEG_Y), ("c", left)];
        assert_eq!(sides(level, &below), ["front", "back", "below", "left"]);
        let all = [
            ("a", DVec3::Y),
            ("b", DVec3::NEG_Y),
            ("c", left),
            ("d", -left),
        ];
        assert_eq!(sides(level, &all).len(), MOST_SIDES);
    }

    /// Two details of one body come before one of both.
    #[test]
    fn a_new_detail_counts_before_a_new_body() {
        let shows = |camera: &Camera| -> BTreeSet<Shown> {
            let toward = camera.axes().toward_eye;
            let mut out = BTreeSet::new();
            let mut add = |kind, id: &str| out.insert((kind, id.parse().unwrap()));
            if toward.x > 0.5 {
                add(BodyKind::Original, "both");
                add(BodyKind::Replica, "both");
            }
            if toward.y < -0.5 {
                add(BodyKind::Replica, "one");
                add(BodyKind::Replica, "another");
            }
            out
        };
        let chosen = choose(front(0.0, 0.0), corners(), shows);
        let named: Vec<&str> = chosen.iter().map(|(side, _)| side.word()).collect();
        assert_eq!(named, ["front", "back", "below", "right"]);
    }

    fn level_direction(azimuth_deg: f64) -> DVec3 {
        let a = azimuth_deg.to_radians();
        DVec3::new(a.sin(), 0.0, a.cos())
    }

    /// A thing whose front looks up lies on its back: the opposite of above is below, and no side
    /// is shown twice under another name.
    #[test]
    fn a_front_that_looks_up_has_its_back_below() {
        let chosen = choose(
            front(0.0, 90.0),
            corners(),
            facing(&[("a", DVec3::NEG_Y), ("b", DVec3::Y), ("c", DVec3::X)]),
        );
        let named: Vec<&str> = chosen.iter().map(|(side, _)| side.word()).collect();
        assert_eq!(named, ["front", "back", "right"]);
        assert!((chosen[1].1.axes().toward_eye - DVec3::NEG_Y).length() < 1e-9);
    }

    /// Of one scale: a millimetre takes up the same share of every plate.
    #[test]
    fn all_sides_have_one_scale_and_hold_the_whole_object() {
        let details = [("a", DVec3::X), ("b", DVec3::NEG_Y)];
        let chosen = choose(front(0.0, 0.0), corners(), facing(&details));
        assert_eq!(chosen.len(), 4);
        for (side, camera) in &chosen {
            assert!((camera.half_height_mm - chosen[0].1.half_height_mm).abs() < 1e-12);
            let [width, height] = camera.size_px.map(f64::from);
            for p in corners() {
                let [x, y] = camera.project(p);
                assert!(
                    x >= PLATE_FREE[0] * width - 1e-6 && x <= (1.0 - PLATE_FREE[0]) * width + 1e-6
                );
                assert!(y >= 0.0 && y <= height, "{side:?}: {x} {y}");
            }
        }
    }
}

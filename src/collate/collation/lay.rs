//! The replica laid on the original: as a whole, then part by part.

use crate::align::{Fit, Pose, Start, Surface, Wish, align, lies};
use crate::collate::bodies::{BodyGeometry, PartGeometry};
use crate::mesh::Mesh;
use crate::record::{BodyKind, Object, PairedPlace, PartId};
use crate::space::{Sides, Tree};
use glam::DVec3;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A replica whose model lies nearer to the original's than this is left where it is, millimetres;
/// farther off it is put where it fits, and that is said.
pub const LAID_MM: f64 = 1.0;
/// Fits repeated from nudged starts.
const REPEATS: u32 = 6;
/// As the models lie, this share of either must lie on the other, or every pose is tried …
const OVERLAP: f64 = 0.4;
/// … and the fit must not walk further than this share of the diagonal.
const WALK: f64 = 0.1;

/// How the whole replica lies on the whole original.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Laid {
    /// The fit of all parts taken together, from the replica's own frame.
    pub fit: Fit,
    /// Whether every pose was tried; else the fit began as the models lie.
    pub from_nothing: bool,
    /// The rigid motion by which the replica's model was put into the original's frame; `None` when
    /// it was there already.
    pub moved: Option<Pose>,
    /// What is left of the fit after that motion.
    pub rest: Pose,
}

/// All parts of a body as one surface.
struct Whole<'b> {
    mesh: Cow<'b, Mesh>,
    tree: Option<Tree>,
    sides: Option<Sides>,
    only: Option<&'b PartGeometry>,
}

impl<'b> Whole<'b> {
    fn of(body: &'b BodyGeometry) -> Option<Self> {
        if let [only] = body.parts.as_slice() {
            return Some(Self {
                mesh: Cow::Borrowed(&only.mesh),
                tree: None,
                sides: None,
                only: Some(only.as_ref()),
            });
        }
        let mesh = Mesh::joined(body.parts.iter().map(|p| &p.mesh))?;
        Some(Self {
            tree: Some(Tree::build(&mesh)),
            sides: Some(Sides::of(&mesh)),
            mesh: Cow::Owned(mesh),
            only: None,
        })
    }

    fn surface(&self) -> Option<Surface<'_>> {
        let tree = self.tree.as_ref().or(self.only.map(|p| &p.tree))?;
        let sides = self.sides.as_ref().or(self.only.map(|p| &p.sides))?;
        Surface::of(&self.mesh, tree, sides)
    }
}

/// Bodies of more unlike size than this are not laid on one another.
const LIKE_SIZE: f64 = 1.25;

/// Whether two surfaces are of about one size. Nothing can be found on a copy at another scale, and
/// from the middle of a much larger ball all of it is equally far: the search would not end.
pub(super) fn comparable(moving: &Surface<'_>, fixed: &Surface<'_>) -> bool {
    let ratio = moving.radius_mm / fixed.radius_mm.max(f64::MIN_POSITIVE);
    (1.0 / LIKE_SIZE..=LIKE_SIZE).contains(&ratio)
}

/// What the record asks of a fit, for telling whether it would come out the same.
pub(super) fn asked(object: &Object) -> impl std::fmt::Debug {
    let wish = &object.record.collation;
    let by_part: Vec<_> = (wish.pairs.iter())
        .map(|pair| (&pair.part, pairs(object, Some(&pair.part), &Pose::STILL)))
        .collect();
    format!("{} {by_part:?}", wish.fit_scale)
}

pub(super) fn whole(
    object: &Object,
    original: &BodyGeometry,
    replica: &BodyGeometry,
) -> Option<Laid> {
    let (fixed, moving) = (Whole::of(original)?, Whole::of(replica)?);
    let (fixed, moving) = (fixed.surface()?, moving.surface()?);
    if !comparable(&moving, &fixed) {
        return None;
    }
    let pairs = pairs(object, None, &Pose::STILL);
    let wish = |start, fit_scale| Wish {
        start,
        fit_scale,
        pairs: pairs.clone(),
        repeats: REPEATS,
    };
    let (rigid, from_nothing) = best(&moving, &fixed, Pose::STILL, &|start| wish(start, false));
    let corners = Pose::STILL.apart_mm(&rigid.pose, &moving.bounds);
    let moved = (corners > LAID_MM).then_some(rigid.pose);
    let fit = if object.record.collation.fit_scale {
        align(&moving, &fixed, &wish(Start::Near(rigid.pose), true))
    } else {
        rigid
    };
    let rest = fit.pose.after(&moved.unwrap_or(Pose::STILL).inverse());
    Some(Laid {
        fit,
        from_nothing,
        moved,
        rest,
    })
}

/// One part on its like, after the whole has been laid.
pub(super) fn part(
    object: &Object,
    laid: &Laid,
    id: &PartId,
    moving: &Surface<'_>,
    fixed: &Surface<'_>,
) -> Fit {
    // The only part of either body is the whole, and its fit is known.
    let bodies = &object.record.bodies;
    if let ([_], Some([_])) = (
        bodies.original.parts.as_slice(),
        bodies.replica.as_ref().map(|r| r.parts.as_slice()),
    ) {
        return Fit {
            pose: laid.rest,
            ..laid.fit.clone()
        };
    }
    let pairs = pairs(object, Some(id), &laid.moved.unwrap_or(Pose::STILL));
    let wish = |start| Wish {
        start,
        fit_scale: object.record.collation.fit_scale,
        pairs: pairs.clone(),
        repeats: REPEATS,
    };
    best(moving, fixed, laid.rest, &wish).0
}

/// Begins as the models lie; when they do not lie on one another, every pose is tried.
fn best(
    moving: &Surface<'_>,
    fixed: &Surface<'_>,
    near: Pose,
    wish: &dyn Fn(Start) -> Wish,
) -> (Fit, bool) {
    let walk_mm = WALK * fixed.diagonal_mm();
    if lies(moving, fixed, &near, walk_mm, OVERLAP) {
        (align(moving, fixed, &wish(Start::Near(near))), false)
    } else {
        (align(moving, fixed, &wish(Start::Nothing)), true)
    }
}

/// The keeper's pairs, the replica's place first, in the frame in which it now lies.
fn pairs(object: &Object, part: Option<&PartId>, moved: &Pose) -> Vec<(DVec3, DVec3)> {
    let anchor = |place: PairedPlace<'_>| match place {
        PairedPlace::Point(p) => Some(DVec3::from_array(p)),
        PairedPlace::Detail(id) => {
            let detail = object.details.iter().find(|d| &d.id == id)?;
            Some(DVec3::from_array(detail.record.anchor.point_mm))
        }
    };
    let wanted = object.record.collation.pairs.iter();
    wanted
        .filter(|pair| part.is_none_or(|id| id == &pair.part))
        .filter_map(|pair| {
            let replica = anchor(pair.place(BodyKind::Replica)?)?;
            let original = anchor(pair.place(BodyKind::Original)?)?;
            Some((moved.point(replica), original))
        })
        .collect()
}

//! What may be put on paper.

use super::Subject;
use super::resolve::Resolver;
use crate::record::words::{LinkTarget, Resolve, ResolvedPicture};
use crate::record::{BodyKind, Use};

/// Which kinds of sheet an object may have.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sheets {
    /// Its words may be printed.
    pub(super) words: bool,
    /// Pictures of the body that is shown may be.
    shown: bool,
    /// Pictures of either body may be.
    any: bool,
}

impl Sheets {
    /// A sheet of words around the plate.
    pub(super) fn plate(self) -> bool {
        self.words && self.shown
    }

    /// Drawings for fingers, and their key.
    pub(super) fn raised(self) -> bool {
        self.words && self.any
    }
}

impl Subject<'_> {
    /// What agreements leave for paper on the day of the site.
    pub(super) fn sheets(&self) -> Sheets {
        let (object, day) = (self.object, self.site.catalogue.today);
        let may = |kind| {
            !object.record.bodies.parts(kind).is_empty()
                && object.body_permits(kind, Use::Print, day)
        };
        Sheets {
            words: object.permits(&object.record.words_rights, Use::Print, day),
            shown: may(object.shown_body()),
            any: may(BodyKind::Original) || may(BodyKind::Replica),
        }
    }

    /// Whether some picture of a body may be shown and not printed.
    pub(super) fn pictures_stay_on_screen(&self) -> bool {
        let (object, day) = (self.object, self.site.catalogue.today);
        let kinds = [BodyKind::Original, BodyKind::Replica];
        !kinds
            .into_iter()
            .all(|kind| object.body_permits(kind, Use::Print, day))
    }
}

/// Links and pictures of a note on a sheet that is made to be printed.
pub(super) struct OnPaper<'a>(pub(super) &'a Resolver<'a>);

impl Resolve for OnPaper<'_> {
    fn link(&self, target: &LinkTarget) -> Option<String> {
        self.0.link(target)
    }

    fn picture(&self, file: &str) -> Option<ResolvedPicture> {
        self.0.picture(file)
    }

    fn left_out(&self, file: &str) -> bool {
        let (resolver, day) = (self.0, self.0.site.catalogue.today);
        let declared = resolver.photographs.iter().find(|p| p.file == file);
        let may = resolver
            .object
            .zip(declared)
            .is_none_or(|(object, p)| object.permits(&p.rights, Use::Print, day));
        resolver.left_out(file) || !may
    }
}

//! What may be shown, before anything is made from it: every page, picture, model and stored result
//! of a site comes from what passes here.

use super::SiteError;
use crate::record::{Asset, Catalogue, Object, ObjectId, Use, Withheld, withheld};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// What was left out of each object.
#[derive(Debug, Default)]
pub(crate) struct LeftOut(BTreeMap<ObjectId, Vec<Withheld>>);

impl LeftOut {
    /// Of one object.
    pub(crate) fn of(&self, object: &ObjectId) -> &[Withheld] {
        self.0.get(object).map_or(&[], Vec::as_slice)
    }

    /// Whether this file is not to be shown.
    pub(crate) fn holds(&self, path: &Path) -> bool {
        let mut all = self.0.values().flatten();
        all.any(|w| w.files.iter().any(|file| file == path))
    }
}

/// The catalogue with nothing in it that may not be shown on its day, and what was left out.
pub(super) fn permitted(catalogue: &Catalogue) -> Result<(Catalogue, LeftOut), SiteError> {
    let mut shown = Vec::with_capacity(catalogue.objects.len());
    let mut left_out = BTreeMap::new();
    for object in &catalogue.objects {
        let out = withheld(object, Use::Display, catalogue.today);
        if let Some(kept) = out.iter().find(|w| !w.asset.can_be_left_out()) {
            return Err(refused(object, kept));
        }
        shown.push(match out.is_empty() {
            true => Arc::clone(object),
            false => Arc::new(object.as_permitted(Use::Display, catalogue.today).0),
        });
        left_out.insert(object.id.clone(), out);
    }
    Ok((catalogue.with(shown), LeftOut(left_out)))
}

fn refused(object: &Object, kept: &Withheld) -> SiteError {
    let what = match &kept.asset {
        Asset::Model { body, part } => format!("the model of the {}’s {part}", body.word()),
        _ => "the words".to_owned(),
    };
    SiteError::Rights(format!(
        "{what} of ‘{}’ may not be shown: the rights ‘{}’ {}",
        object.id, kept.rights, kept.why
    ))
}

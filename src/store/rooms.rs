//! Where in a store each thing of an object lies, and for how long it may: what an agreement does not let be
//! shown today is not kept either, whenever it was made.
//!
//! ```text
//! object-ID/TERMS/            stills, display models, plates, pictures for sharing
//! object-ID/TERMS/compared/   comparisons
//! photographs-ID/FILE/        the sizes of one photograph
//! ```
//!
//! TERMS stands for what the agreements say of every model: where one of them changes, ends or begins, the
//! folder of the terms before goes with all that is in it. Pictures for sharing show words too, so nothing stays
//! there while these may not be shown.

use super::{Key, Store};
use crate::record::{Asset, BodyKind, Day, Object, Use, Withheld, photographs, withheld};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const MODELS: &str = "object-";
const PHOTOGRAPHS: &str = "photographs-";
/// What is made from more than one object goes as soon as something of any object has to.
const OF_SEVERAL: &str = "several";

/// The rooms of one object.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rooms {
    /// For whatever is made from models.
    pub(crate) models: Store,
    /// For comparisons, which hold the surfaces of the scans themselves: nothing is kept where an agreement
    /// asks for less than all of a scan.
    pub(crate) compared: Store,
    /// For each photograph, by its file.
    photographs: BTreeMap<PathBuf, Store>,
}

impl Rooms {
    /// The rooms of an object by its rights of `today`. What may lie there no longer is taken out.
    pub(crate) fn open(store: &Store, object: &Object, today: Day) -> Self {
        let out = withheld(object, Use::Display, today);
        let own = store.room(&format!("{MODELS}{}", object.id));
        let pictures = store.room(&format!("{PHOTOGRAPHS}{}", object.id));
        let (terms, limited) = match terms(object, &out) {
            Some((terms, limited)) => (Some(terms), limited),
            None => (None, true),
        };
        let photographs = shown(object, &out);
        let left = own.keep_only(terms.as_slice());
        let left = pictures.keep_only(photographs.values()) && left;
        if !left {
            of_several(store).clear();
        }
        let models = terms.map_or_else(Store::none, |terms| own.room(&terms));
        Self {
            compared: if limited {
                Store::none()
            } else {
                models.room("compared")
            },
            models,
            photographs: photographs
                .into_iter()
                .map(|(file, name)| (file, pictures.room(&name)))
                .collect(),
        }
    }

    /// The room of one photograph of the object, whose file this is; none for another file.
    pub(crate) fn photograph(&self, file: &Path) -> Store {
        self.photographs.get(file).cloned().unwrap_or_default()
    }
}

/// For what is made from several objects, each of which may be shown.
pub(crate) fn of_several(store: &Store) -> Store {
    store.room(OF_SEVERAL)
}

/// Takes out the rooms of objects that are no longer among those of a content folder: no agreement speaks of
/// what lies there.
pub(crate) fn sweep(store: &Store, content: &Path) {
    let gone = |name: &str| {
        let mut kinds = [MODELS, PHOTOGRAPHS].iter();
        let id = kinds.find_map(|kind| name.strip_prefix(kind));
        id.is_some_and(|id| !content.join(id).is_dir())
    };
    if store.clear_rooms(gone) {
        of_several(store).clear();
    }
}

/// The name of what agreements say of the models, and whether one of them asks for less than the scan; `None`
/// when one, or the words, may not be shown.
fn terms(object: &Object, out: &[Withheld]) -> Option<(String, bool)> {
    let denied = |w: &Withheld| matches!(w.asset, Asset::Model { .. } | Asset::Words);
    if out.iter().any(denied) {
        return None;
    }
    let mut terms = Key::of("terms of models");
    let mut limited = false;
    for kind in [BodyKind::Original, BodyKind::Replica] {
        for part in object.record.bodies.parts(kind) {
            let finest_mm = object.finest_mm(kind, &part.id);
            limited |= finest_mm.is_some();
            terms = terms
                .and(kind.word().as_bytes())
                .and(part.id.as_str().as_bytes())
                .and(&finest_mm.unwrap_or(0.0).to_le_bytes());
        }
    }
    Some((terms.name(), limited))
}

/// The photographs that may be shown, with names for them that are the same wherever the content folder lies.
fn shown(object: &Object, out: &[Withheld]) -> BTreeMap<PathBuf, String> {
    let denied = |file: &PathBuf| {
        let mut out = out.iter();
        out.any(|w| matches!(&w.asset, Asset::Photograph { path } if path == file))
    };
    let mut all = photographs(object);
    all.retain(|file| !denied(file));
    all.into_iter()
        .map(|file| {
            let below = file.strip_prefix(&object.folder).unwrap_or(&file);
            let name = Key::of("photograph").and(below.to_string_lossy().as_bytes());
            (file, name.name())
        })
        .collect()
}

//! What lies in the package, how its files are read, and how to tell that nothing has changed.

use super::details::with_ending;
use super::{Files, Sheet, Teller, pictures};
use crate::deposit::contents;
use crate::site::SiteError;
use std::collections::BTreeSet;

/// Folders and files at the top of the payload, in the order in which they are told.
const ROOMS: [&str; 7] = [
    "records",
    "levels",
    "pictures",
    "collation",
    "formats",
    "site",
    "texts",
];
/// Endings of files, with the word for each sort.
const SORTS: [(&[&str], &str); 18] = [
    (&["txt"], "txt"),
    (&["md"], "md"),
    (&["toml"], "toml"),
    (&["glb", "gltf"], "glb"),
    (&["ply"], "ply"),
    (&["stl"], "stl"),
    (&["obj", "mtl"], "obj"),
    (&["3mf"], "threemf"),
    (&["jpg", "jpeg"], "jpg"),
    (&["png"], "png"),
    (&["webp"], "webp"),
    (&["svg"], "svg"),
    (&["html", "css", "js"], "html"),
    (&["json", "jsonld"], "json"),
    (&["xml"], "xml"),
    (&["csv"], "csv"),
    (&["vtt"], "vtt"),
    (
        &[
            "mp3", "mp4", "wav", "ogg", "webm", "oga", "ogv", "m4a", "mka", "mkv",
        ],
        "media",
    ),
];

impl Teller<'_> {
    pub(super) fn package(&self, files: &Files, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.paragraph(self.get("deposit_package_lead")?);
        sheet.blank();
        for room in ROOMS {
            let stem = format!("data/{room}/");
            let there = room == "texts" || files.keys().any(|name| name.starts_with(&stem));
            if there {
                sheet.item(self.get(&format!("deposit_room_{room}"))?);
            }
        }
        if !self.told.object.bodies.is_empty() {
            sheet.under(self.get("deposit_levels")?);
            sheet.blank();
            for body in self
                .told
                .object
                .bodies
                .iter()
                .filter(|b| self.spoken.shown.may(b.kind))
            {
                for level in &body.model.levels {
                    sheet.item(&format!("{}. {}", body.heading, level.fidelity));
                }
            }
        }
        sheet.under(self.get("deposit_pictures")?);
        sheet.blank();
        let shown = pictures(self.told, self.spoken.shown);
        let apart = ["data/pictures/details/", "data/pictures/raking-light/"];
        for (name, picture) in shown
            .iter()
            .filter(|(n, _)| !apart.iter().any(|a| n.starts_with(a)))
        {
            let file = with_ending(name, contents::largest(picture));
            sheet.item(&format!("{file}: {}", picture.alt));
        }
        sheet.under(self.get("deposit_sorts")?);
        sheet.blank();
        let endings: BTreeSet<String> = files
            .keys()
            .filter_map(|name| {
                name.rsplit_once('.')
                    .map(|(_, ending)| ending.to_lowercase())
            })
            .collect();
        for (own, key) in SORTS {
            if own.iter().any(|ending| endings.contains(*ending)) {
                sheet.item(self.get(&format!("deposit_sort_{key}"))?);
            }
        }
        Ok(())
    }

    pub(super) fn models(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        for key in [
            "deposit_glb_1",
            "deposit_glb_2",
            "deposit_glb_3",
            "deposit_glb_4",
        ] {
            sheet.paragraph(self.get(key)?);
        }
        Ok(())
    }

    pub(super) fn fixity(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        for key in ["deposit_fixity_1", "deposit_fixity_2", "deposit_fixity_3"] {
            sheet.paragraph(self.get(key)?);
        }
        Ok(())
    }
}

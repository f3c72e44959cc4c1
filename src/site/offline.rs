//! What a browser may keep for use without a network: every page and file with its digest, by object,
//! as a list before the script of the worker that keeps them.

use super::Form;
use super::SiteError;
use super::address::{Address, Page};
use super::earlier::Kept;
use super::files::Files;
use crate::record::{Catalogue, Lang, ObjectId};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// The worker, at the root: it may keep what is in its own folder and below.
pub(crate) const WORKER: &str = "offline.js";

/// Path, digest as Subresource Integrity writes it (W3C), bytes.
type Listed<'a> = (&'a str, String, usize);

/// Files that are kept together or not at all.
#[derive(Debug, Serialize)]
struct Edition<'a> {
    /// Another when any file is.
    digest: String,
    files: Vec<Listed<'a>>,
}

/// The files of an object, listed in a file of their own: a visitor keeps a few objects of many.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Own {
    /// Another when any file is.
    digest: String,
    /// Of all its files.
    bytes: usize,
    /// Where they are listed, relative to the root.
    list: String,
    /// Digest of that list.
    integrity: String,
}

#[derive(Debug, Serialize)]
struct List<'a> {
    /// What every page needs, and the pages above the objects.
    around: Edition<'a>,
    objects: &'a BTreeMap<ObjectId, Own>,
    /// What is shown in place of a page that was not kept, by the folder of its language.
    absent: BTreeMap<String, String>,
}

/// The worker with its list of these files, and the files of each object, whose lists are put beside; objects
/// that are kept have theirs.
pub(crate) fn worker(
    catalogue: &Catalogue,
    files: &Files,
    kept: &Kept<'_>,
    script: &[u8],
) -> Result<(Vec<u8>, BTreeMap<ObjectId, Own>), SiteError> {
    let languages = &catalogue.site.languages;
    let in_all = |page: &Page| -> Vec<String> {
        let first = languages.first();
        let of = |lang: &Lang| Address::of(page, lang, first.unwrap_or(lang), Form::Served).file();
        languages.iter().map(of).collect()
    };
    let all: BTreeSet<String> = files.paths().into_iter().collect();
    let site = Paths { files, all: &all };
    let mut around: BTreeSet<&str> = BTreeSet::new();
    for page in [Page::Home, Page::Find, Page::Glossary, Page::NotKept] {
        around.extend(in_all(&page).iter().filter_map(|path| site.known(path)));
    }
    around.extend(all.iter().map(String::as_str).filter(|path| {
        ["css", "woff2", "js"]
            .iter()
            .any(|own| ending(path) == *own)
            && !path.starts_with("assets/kiosk")
    }));
    let mut objects = BTreeMap::new();
    for object in &catalogue.objects {
        if let Some(own) = kept.own(&object.id) {
            objects.insert(object.id.clone(), own.clone());
            continue;
        }
        let folders = in_all(&Page::Object(object.id.clone()));
        let folders = folders
            .iter()
            .map(|page| page.trim_end_matches("index.html"));
        let pages = folders.flat_map(|folder| {
            let below = all.range(folder.to_owned()..);
            below
                .map(String::as_str)
                .take_while(move |path| path.starts_with(folder))
                // Screens in the gallery have their own pages.
                .filter(move |path| !path[folder.len()..].starts_with("kiosk/"))
                // Documents for programs are large, and nobody who stands before the object opens
                // them; the page that lists them says so.
                .filter(move |path| {
                    let below = path[folder.len()..].strip_prefix("data/");
                    below.is_none_or(|name| name == "index.html")
                })
        });
        let edition = site.edition(&site.with_pictures(pages, &around)?);
        let files = files.of_object(&object.id);
        objects.insert(object.id.clone(), own(&object.id, edition, &files)?);
    }
    // The home page shows pictures of objects.
    let home: Vec<&str> = around.iter().copied().collect();
    let around = site.with_pictures(home.into_iter(), &BTreeSet::new())?;
    let absent = languages.iter().zip(in_all(&Page::NotKept));
    let list = List {
        around: site.edition(&around),
        objects: &objects,
        absent: absent
            .map(|(_, path)| {
                (
                    path.trim_end_matches("not-kept/index.html").to_owned(),
                    path,
                )
            })
            .collect(),
    };
    let list = serde_json::to_string(&list).map_err(|e| SiteError::Io(e.to_string()))?;
    let mut out = format!("const LIST={list};\n").into_bytes();
    out.extend_from_slice(script);
    Ok((out, objects))
}

/// Lists the files of an object beside the pages.
fn own(id: &ObjectId, edition: Edition<'_>, files: &Files) -> Result<Own, SiteError> {
    let text = serde_json::to_vec(&edition.files).map_err(|e| SiteError::Io(e.to_string()))?;
    let list = format!("assets/kept-{id}.{}.json", edition.digest);
    let integrity = integrity(&Sha256::digest(&text).into());
    files.put(&list, text);
    Ok(Own {
        bytes: edition.files.iter().map(|(.., bytes)| bytes).sum(),
        digest: edition.digest,
        list,
        integrity,
    })
}

/// A digest as Subresource Integrity writes it (W3C).
fn integrity(sha256: &[u8; 32]) -> String {
    format!("sha256-{}", base64::encode(sha256))
}

/// The files of the site, with their paths.
struct Paths<'a> {
    files: &'a Files,
    all: &'a BTreeSet<String>,
}

fn ending(path: &str) -> &str {
    path.rsplit_once('.').map_or("", |(_, ending)| ending)
}

impl<'a> Paths<'a> {
    fn known(&self, path: &str) -> Option<&'a str> {
        self.all.get(path).map(String::as_str)
    }

    /// Pages and the files that they name, without those in `elsewhere`.
    fn with_pictures(
        &self,
        pages: impl Iterator<Item = &'a str>,
        elsewhere: &BTreeSet<&str>,
    ) -> Result<BTreeSet<&'a str>, SiteError> {
        let mut all = BTreeSet::new();
        for page in pages {
            all.insert(page);
            if ending(page) != "html" {
                continue;
            }
            for piece in self.files.text(page)?.split("assets/").skip(1) {
                let ends = |c: char| !c.is_ascii_alphanumeric() && !"-_.".contains(c);
                let name = piece.split(ends).next().unwrap_or_default();
                all.extend(self.known(&format!("assets/{name}")));
            }
        }
        let named: BTreeSet<&str> = all
            .iter()
            .filter(|p| ending(p) == "webp")
            .map(|p| stem(p))
            .collect();
        // Whatever can keep pages reads WebP: the same picture for older browsers is not kept.
        all.retain(|path| {
            let older = ["jpg", "png"].contains(&ending(path)) && named.contains(stem(path));
            !older && !elsewhere.contains(path)
        });
        Ok(all)
    }

    fn edition(&self, paths: &BTreeSet<&'a str>) -> Edition<'a> {
        let listed: Vec<Listed<'a>> = paths
            .iter()
            .filter_map(|path| {
                let entry = self.files.entry(path)?;
                Some((*path, integrity(&entry.sha256), entry.bytes))
            })
            .collect();
        let mut hash = blake3::Hasher::new();
        for (path, digest, _) in &listed {
            hash.update(path.as_bytes());
            hash.update(digest.as_bytes());
        }
        Edition {
            digest: hash.finalize().to_hex()[..16].to_owned(),
            files: listed,
        }
    }
}

/// A file's name without digest and ending.
fn stem(path: &str) -> &str {
    let mut parts = path.rsplitn(3, '.');
    parts.nth(2).unwrap_or(path)
}

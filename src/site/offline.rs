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
type Listed = (String, String, usize);

/// Files that are kept together or not at all.
#[derive(Debug, Serialize)]
struct Edition {
    /// Another when any file is.
    digest: String,
    files: Vec<Listed>,
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
    around: Edition,
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
    let above = [Page::Home, Page::Find, Page::Glossary, Page::NotKept];
    let above = above.iter().flat_map(in_all);
    let mut around: BTreeSet<String> = above.filter(|path| files.contains(path)).collect();
    around.extend(files.paths(|path| {
        ["css", "woff2", "js"].contains(&ending(path)) && !path.starts_with("assets/kiosk")
    }));
    let mut objects = BTreeMap::new();
    for object in &catalogue.objects {
        if let Some(own) = kept.own(&object.id) {
            objects.insert(object.id.clone(), own.clone());
            continue;
        }
        let mut pages = BTreeSet::new();
        for page in in_all(&Page::Object(object.id.clone())) {
            let folder = page.trim_end_matches("index.html");
            pages.extend(files.below(folder).into_iter().filter(|path| {
                let below = &path[folder.len()..];
                // Screens in the gallery have their own pages. Documents for programs are large, and nobody
                // who stands before the object opens them; the page that lists them says so.
                let data = below.strip_prefix("data/");
                !below.starts_with("kiosk/") && data.is_none_or(|name| name == "index.html")
            }));
        }
        let edition = edition(files, with_pictures(files, &pages, &around)?);
        let files = files.of_object(&object.id);
        objects.insert(object.id.clone(), own(&object.id, edition, &files)?);
    }
    // The home page shows pictures of objects.
    let around = with_pictures(files, &around, &BTreeSet::new())?;
    let absent = languages.iter().zip(in_all(&Page::NotKept));
    let list = List {
        around: edition(files, around),
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
fn own(id: &ObjectId, edition: Edition, files: &Files) -> Result<Own, SiteError> {
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

fn ending(path: &str) -> &str {
    path.rsplit_once('.').map_or("", |(_, ending)| ending)
}

/// Pages and the files that they name, without those in `elsewhere`.
fn with_pictures(
    files: &Files,
    pages: &BTreeSet<String>,
    elsewhere: &BTreeSet<String>,
) -> Result<BTreeSet<String>, SiteError> {
    let mut all = pages.clone();
    for page in pages.iter().filter(|page| ending(page) == "html") {
        for piece in files.text(page)?.split("assets/").skip(1) {
            let ends = |c: char| !c.is_ascii_alphanumeric() && !"-_.".contains(c);
            let name = piece.split(ends).next().unwrap_or_default();
            let path = format!("assets/{name}");
            if !all.contains(&path) && files.contains(&path) {
                all.insert(path);
            }
        }
    }
    let named: BTreeSet<String> = all
        .iter()
        .filter(|p| ending(p) == "webp")
        .map(|p| stem(p).to_owned())
        .collect();
    // Whatever can keep pages reads WebP: the same picture for older browsers is not kept.
    all.retain(|path| {
        let older = ["jpg", "png"].contains(&ending(path)) && named.contains(stem(path));
        !older && !elsewhere.contains(path)
    });
    Ok(all)
}

fn edition(files: &Files, paths: BTreeSet<String>) -> Edition {
    let mut hash = blake3::Hasher::new();
    let listed = paths.into_iter().filter_map(|path| {
        let entry = files.entry(&path)?;
        let digest = integrity(&entry.sha256);
        hash.update(path.as_bytes());
        hash.update(digest.as_bytes());
        Some((path, digest, entry.bytes))
    });
    let listed = listed.collect();
    Edition {
        digest: hash.finalize().to_hex()[..16].to_owned(),
        files: listed,
    }
}

/// A file's name without digest and ending.
fn stem(path: &str) -> &str {
    let mut parts = path.rsplitn(3, '.');
    parts.nth(2).unwrap_or(path)
}

//! The theme: embedded in the binary, replaceable file by file from a folder.

use super::SiteError;
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use std::path::Path;

// Room by room, so that the viewer's sources and its installed packages stay out of the binary.
static TEMPLATES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/plate/templates");
static STYLES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/plate/styles");
static FONTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/plate/fonts");
static WORDS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/plate/words");
static VIEWER: &[u8] = include_bytes!("../../themes/plate/viewer/viewer.js");
static STAGE: &[u8] = include_bytes!("../../themes/plate/viewer/stage.js");
static FIND: &[u8] = include_bytes!("../../themes/plate/viewer/find.js");
static KIOSK: &[u8] = include_bytes!("../../themes/plate/viewer/kiosk.js");
static OFFLINE: &[u8] = include_bytes!("../../themes/plate/viewer/offline.js");

/// Folders of a theme whose files are read.
const ROOMS: [&str; 4] = ["templates", "styles", "fonts", "words"];
/// The script that comes with an object's page, as a path within the theme.
const VIEWER_FILE: &str = "viewer/viewer.js";
/// The built viewer, which that script asks for.
const STAGE_FILE: &str = "viewer/stage.js";
/// The built script that looks for words.
const FIND_FILE: &str = "viewer/find.js";
/// The built script of the gallery's screens.
const KIOSK_FILE: &str = "viewer/kiosk.js";
/// The built worker that keeps pages for use without a network.
const OFFLINE_FILE: &str = "viewer/offline.js";

/// All files of a theme by their path, `/` between steps: `templates/home.html`.
#[derive(Debug, Clone)]
pub(crate) struct Theme {
    files: BTreeMap<String, Vec<u8>>,
}

impl Theme {
    /// The theme in the binary.
    pub(crate) fn built_in() -> Self {
        let mut files = BTreeMap::new();
        for (room, dir) in ROOMS.iter().zip([&TEMPLATES, &STYLES, &FONTS, &WORDS]) {
            gather(room, dir, &mut files);
        }
        files.insert(VIEWER_FILE.to_owned(), VIEWER.to_vec());
        files.insert(STAGE_FILE.to_owned(), STAGE.to_vec());
        files.insert(FIND_FILE.to_owned(), FIND.to_vec());
        files.insert(KIOSK_FILE.to_owned(), KIOSK.to_vec());
        files.insert(OFFLINE_FILE.to_owned(), OFFLINE.to_vec());
        Self { files }
    }

    /// The theme in the binary with the files of `folder` laid over it.
    pub(crate) fn with_folder(folder: &Path) -> Result<Self, SiteError> {
        let mut theme = Self::built_in();
        for room in ROOMS.iter().copied().chain(["viewer"]) {
            let room_folder = folder.join(room);
            if !room_folder.is_dir() {
                continue;
            }
            for entry in walkdir::WalkDir::new(&room_folder).sort_by_file_name() {
                let entry = entry.map_err(|e| SiteError::Theme(e.to_string()))?;
                let inside = entry.path().strip_prefix(folder).unwrap_or(entry.path());
                let name = inside.to_string_lossy().replace('\\', "/");
                let built = [VIEWER_FILE, STAGE_FILE, FIND_FILE, KIOSK_FILE, OFFLINE_FILE];
                let wanted = room != "viewer" || built.contains(&name.as_str());
                if entry.file_type().is_file() && wanted {
                    let bytes = std::fs::read(entry.path()).map_err(|e| {
                        SiteError::Theme(format!("{}: {e}", entry.path().display()))
                    })?;
                    theme.files.insert(name, bytes);
                }
            }
        }
        Ok(theme)
    }

    /// A digest of all its files.
    pub(crate) fn digest(&self) -> [u8; 32] {
        let mut hasher = blake3::Hasher::new();
        for (name, bytes) in &self.files {
            for piece in [name.as_bytes(), bytes] {
                hasher.update(&(piece.len() as u64).to_le_bytes());
                hasher.update(piece);
            }
        }
        *hasher.finalize().as_bytes()
    }

    /// Files of one room, by their name within it, in name order.
    pub(crate) fn folder<'a>(&'a self, room: &'a str) -> impl Iterator<Item = (&'a str, &'a [u8])> {
        self.files.iter().filter_map(move |(name, bytes)| {
            let inside = name.strip_prefix(room)?.strip_prefix('/')?;
            Some((inside, bytes.as_slice()))
        })
    }

    /// The built viewer.
    pub(crate) fn stage(&self) -> &[u8] {
        self.files.get(STAGE_FILE).map_or(STAGE, Vec::as_slice)
    }

    /// The script that comes with an object's page.
    pub(crate) fn viewer(&self) -> &[u8] {
        self.files.get(VIEWER_FILE).map_or(VIEWER, Vec::as_slice)
    }

    /// The built script that looks for words.
    pub(crate) fn find(&self) -> &[u8] {
        self.files.get(FIND_FILE).map_or(FIND, Vec::as_slice)
    }

    /// The built script of the gallery's screens.
    pub(crate) fn kiosk(&self) -> &[u8] {
        self.files.get(KIOSK_FILE).map_or(KIOSK, Vec::as_slice)
    }

    /// The built worker that keeps pages.
    pub(crate) fn offline(&self) -> &[u8] {
        self.files.get(OFFLINE_FILE).map_or(OFFLINE, Vec::as_slice)
    }
}

fn gather(room: &str, dir: &Dir<'_>, files: &mut BTreeMap<String, Vec<u8>>) {
    for file in dir.files() {
        let inside = file.path().to_string_lossy().replace('\\', "/");
        files.insert(format!("{room}/{inside}"), file.contents().to_vec());
    }
    for sub in dir.dirs() {
        gather(room, sub, files);
    }
}

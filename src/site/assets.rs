//! Files beside the pages, each named by its content so that a cache can keep it for ever.

use super::files::Files;
use super::theme::Theme;
use super::{Form, SiteError};
use crate::record::{Kiosk, ObjectId};
use std::collections::BTreeMap;

/// Characters of the content digest in a file name: 16 hexadecimal digits, 64 bits.
const DIGEST_CHARS: usize = 16;

/// How the name of a stylesheet ends that only a gallery's screen has.
const KIOSK_STYLE: &str = "kiosk.css";

/// Where all files of a site are added, those beside the pages by their content.
#[derive(Debug)]
pub(crate) struct Assets {
    form: Form,
    files: Files,
}

impl Assets {
    /// A site in this form, whose files go there.
    pub(crate) fn of(form: Form, files: Files) -> Self {
        Self { form, files }
    }

    /// The same; what is added is of this object.
    pub(crate) fn of_object(&self, object: &ObjectId) -> Self {
        Self::of(self.form, self.files.of_object(object))
    }

    /// Adds a file for the viewer to read; gives the path from which it does so. A page on a disk may
    /// not fetch it, but may run a script that carries it.
    pub(crate) fn add_read(&self, name: &str, ending: &str, bytes: &[u8]) -> String {
        match self.form {
            Form::Served => self.add(name, ending, bytes.to_vec()),
            Form::Carried => {
                let digest = blake3::hash(bytes).to_hex();
                let path = format!("assets/{name}.{}.{ending}.js", &digest[..DIGEST_CHARS]);
                let own = path.trim_start_matches("assets/");
                if self.files.contains(&path) {
                    self.files.share(&path);
                } else {
                    let script = format!("carried(\"{own}\",\"{}\")\n", base64::encode(bytes));
                    self.files.put(&path, script.into_bytes());
                }
                path
            }
        }
    }

    /// Adds a file; gives its path relative to the root: `assets/<name>.<digest>.<ending>`.
    pub(crate) fn add(&self, name: &str, ending: &str, bytes: Vec<u8>) -> String {
        let digest = blake3::hash(&bytes).to_hex();
        let path = format!("assets/{name}.{}.{ending}", &digest[..DIGEST_CHARS]);
        if self.files.contains(&path) {
            self.files.share(&path);
        } else {
            self.files.put(&path, bytes);
        }
        path
    }

    /// Adds files whose place beside a page is fixed, by their path relative to the root.
    pub(crate) fn add_beside(&self, files: BTreeMap<String, Vec<u8>>) {
        for (path, bytes) in files {
            self.files.put(&path, bytes);
        }
    }

    /// All files.
    pub(crate) fn files(&self) -> &Files {
        &self.files
    }

    /// The same, when nothing more is to be named by its content.
    pub(crate) fn into_files(self) -> Files {
        self.files
    }
}

/// Addresses of the theme's own files, relative to the root.
#[derive(Debug, Clone)]
pub(crate) struct ThemeFiles {
    /// The stylesheet of every page.
    pub(crate) stylesheet: String,
    /// The script that comes with an object's page.
    pub(crate) viewer: String,
    /// The viewer, which that script asks for.
    pub(crate) stage: String,
    /// What looks for words.
    pub(crate) find: String,
    /// What a gallery's screen does beside.
    pub(crate) kiosk: String,
    /// That screen's own stylesheet, which says how large a millimetre is on it.
    pub(crate) kiosk_style: String,
    /// Fonts worth fetching before the stylesheet is read.
    pub(crate) preload_fonts: Vec<String>,
    /// The same on a gallery's screen, which no network keeps waiting.
    pub(crate) gallery_fonts: Vec<String>,
}

/// Adds the theme's fonts, stylesheet and viewer.
///
/// In a stylesheet `url(fonts/x.woff2)` is replaced by the hashed name; a font that does not
/// exist is an error. Fonts named in a comment `/* preload: a.woff2 b.woff2 */` are preloaded, on a
/// gallery's screen those of `/* preload in the gallery: c.woff2 */` as well.
pub(crate) fn add_theme(
    theme: &Theme,
    kiosk: &Kiosk,
    assets: &Assets,
) -> Result<ThemeFiles, SiteError> {
    let mut fonts = BTreeMap::new();
    for (name, bytes) in theme.folder("fonts") {
        if let Some(stem) = name.strip_suffix(".woff2") {
            let target = match assets.form {
                Form::Served => assets.add(stem, "woff2", bytes.to_vec()),
                // Another file on a disk counts as another's, and no font is taken from there.
                Form::Carried => format!("data:font/woff2;base64,{}", base64::encode(bytes)),
            };
            fonts.insert(name.to_owned(), target);
        }
    }
    let (mut style, mut kiosk_style) = (String::new(), String::new());
    for (name, bytes) in theme.folder("styles") {
        if name.ends_with(".css") {
            let text = std::str::from_utf8(bytes)
                .map_err(|e| SiteError::Theme(format!("styles/{name} is not UTF-8: {e}")))?;
            // No page but those of a gallery's screen waits for what only they need.
            let sheet = match name.ends_with(KIOSK_STYLE) {
                true => &mut kiosk_style,
                false => &mut style,
            };
            sheet.push_str(text);
            sheet.push('\n');
        }
    }
    let preloaded = |mark| match assets.form {
        Form::Served => preloaded(&style, mark, &fonts),
        Form::Carried => Ok(Vec::new()),
    };
    let preload_fonts = preloaded("/* preload:")?;
    let gallery_fonts = preloaded("/* preload in the gallery:")?;
    let style = strip_comments(&with_hashed_fonts(&style, &fonts)?);
    let kiosk_style = strip_comments(&with_hashed_fonts(&kiosk_style, &fonts)?);
    Ok(ThemeFiles {
        stylesheet: assets.add("style", "css", style.into_bytes()),
        viewer: assets.add("viewer", "js", theme.viewer().to_vec()),
        stage: assets.add("stage", "js", theme.stage().to_vec()),
        find: assets.add("find", "js", theme.find().to_vec()),
        kiosk: assets.add("kiosk", "js", theme.kiosk().to_vec()),
        kiosk_style: assets.add(
            "kiosk",
            "css",
            format!("{}{kiosk_style}", size_of(kiosk)).into_bytes(),
        ),
        preload_fonts,
        gallery_fonts,
    })
}

/// A millimetre of the kiosk's screen as a CSS length: policy forbids styles in the page itself.
/// Where the screen's size is not stated, CSS's own millimetre, of 96 pixels to the inch.
fn size_of(kiosk: &Kiosk) -> String {
    let Some([one, other]) = kiosk.screen_mm else {
        return ":root{--mm:1mm}\n".to_owned();
    };
    let (long, short) = (one.max(other), one.min(other));
    format!(
        ":root{{--mm:calc(100vw/{long})}}\n\
         @media (orientation:portrait){{:root{{--mm:calc(100vw/{short})}}}}\n"
    )
}

fn missing_font(name: &str) -> SiteError {
    SiteError::Theme(format!(
        "a stylesheet names the font ‘{name}’, but fonts/{name} does not exist"
    ))
}

fn preloaded(
    style: &str,
    mark: &str,
    fonts: &BTreeMap<String, String>,
) -> Result<Vec<String>, SiteError> {
    let Some((_, rest)) = style.split_once(mark) else {
        return Ok(Vec::new());
    };
    let names = rest.split_once("*/").map_or("", |(names, _)| names);
    names
        .split_whitespace()
        .map(|name| fonts.get(name).cloned().ok_or_else(|| missing_font(name)))
        .collect()
}

/// Replaces `url(fonts/NAME)` with the hashed name; stylesheet and fonts share a folder.
fn with_hashed_fonts(style: &str, fonts: &BTreeMap<String, String>) -> Result<String, SiteError> {
    let mut out = String::with_capacity(style.len());
    let mut pieces = style.split("url(");
    out.push_str(pieces.next().unwrap_or(""));
    for piece in pieces {
        let (inside, rest) = piece.split_once(')').ok_or_else(|| {
            SiteError::Theme("a stylesheet has ‘url(’ without its ‘)’".to_owned())
        })?;
        let address = inside.trim().trim_matches(['"', '\'']);
        let target = match address.strip_prefix("fonts/") {
            Some(name) => {
                let hashed = fonts.get(name).ok_or_else(|| missing_font(name))?;
                hashed.trim_start_matches("assets/").to_owned()
            }
            None if address.starts_with("data:") || address.starts_with('#') => inside.to_owned(),
            None => {
                return Err(SiteError::Theme(format!(
                    "a stylesheet points at ‘{address}’; only fonts/… and data: are allowed"
                )));
            }
        };
        out.push_str("url(");
        out.push_str(&target);
        out.push(')');
        out.push_str(rest);
    }
    Ok(out)
}

/// Drops comments and the white space at the ends of lines; a stylesheet compresses well enough
/// that renaming and reordering would gain little and risk much.
fn strip_comments(style: &str) -> String {
    let mut out = String::with_capacity(style.len());
    let mut rest = style;
    while let Some((before, after)) = rest.split_once("/*") {
        out.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, tail)| tail);
    }
    out.push_str(rest);
    out.lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>()
        .join("\n")
}

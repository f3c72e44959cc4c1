//! The site: page models → templates → minified files, published whole or not at all.
//!
//! Takes a [`Catalogue`] and the geometry of its objects; hands on a folder to serve. Steps:
//! [`theme`] and [`words`] are read; [`pictures`] makes stills, photographs and display models
//! (once, whatever the number of languages, kept in the store); [`build`] composes the page
//! models of every language; [`render`] fills the templates; [`offline`] lists what a browser
//! may keep; [`write`] swaps the result in.

pub(crate) mod address;
mod assets;
mod build;
mod everywhere;
pub(crate) mod figures;
mod gate;
pub(crate) mod lists;
mod offline;
pub(crate) mod page;
mod pictures;
mod plates;
mod preview;
mod render;
mod served;
mod theme;
mod told;
pub(crate) mod words;
pub(crate) mod write;

pub(crate) use build::Said;
pub use everywhere::lost;
pub use preview::{DetailWords, Previewed, Words, dress, preview, still_words};
pub use write::MARK;

use crate::collate::ObjectGeometry;
use crate::formats::Document;
use crate::limits::Limits;
use crate::progress::Listener;
use crate::record::{
    Catalogue, Finding, Findings, Lang, Object, ObjectId, Severity, SourceFile, Sources,
};
use crate::store::Store;
use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;
use std::sync::Arc;
use told::Told;

/// Why a site could not be published. The earlier site is untouched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SiteError {
    /// An interface word is missing or wrong.
    Words(String),
    /// A template, stylesheet or font is missing or wrong.
    Theme(String),
    /// A picture or model could not be made.
    Picture(String),
    /// The target folder is not ours, or in use.
    Target(String),
    /// Something of the records cannot be said in an open format; the findings, as text.
    Formats(String),
    /// An agreement does not permit it.
    Rights(String),
    /// Reading or writing failed.
    Io(String),
}

impl fmt::Display for SiteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(text) | Self::Theme(text) => write!(f, "the theme cannot be used: {text}"),
            Self::Picture(text)
            | Self::Target(text)
            | Self::Formats(text)
            | Self::Rights(text)
            | Self::Io(text) => f.write_str(text),
        }
    }
}

impl std::error::Error for SiteError {}

/// How a site reaches its readers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Form {
    /// A server hands its pages on.
    #[default]
    Served,
    /// Its pages are opened from a disk or a stick, where a browser lets no page fetch anything.
    Carried,
}

/// What was published.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Published {
    /// Pages of HTML.
    pub pages: usize,
    /// All files.
    pub files: usize,
    /// Bytes of all files.
    pub bytes: usize,
}

/// Everything that [`publish`] works from.
pub struct Request<'a> {
    /// The records.
    pub catalogue: &'a Catalogue,
    /// Geometry of every object of the catalogue.
    pub geometry: &'a BTreeMap<ObjectId, Arc<ObjectGeometry>>,
    /// The one object that is published, when not all are. What its notes say of others then leads to the
    /// public addresses of those.
    pub only: Option<&'a ObjectId>,
    /// The files that were read, for the places of findings.
    pub sources: &'a Sources,
    /// Where the site goes.
    pub target: &'a Path,
    /// How it will be read there.
    pub form: Form,
    /// Where dear results are kept.
    pub store: &'a Store,
    /// Bounds for what is read.
    pub limits: &'a Limits,
    /// Hears how far the work has come.
    pub listener: &'a dyn Listener,
}

/// Findings that only the site can know: names that it needs for itself.
pub fn findings(catalogue: &Catalogue) -> Findings {
    let mut findings = Findings::none();
    let languages = catalogue
        .site
        .languages
        .iter()
        .map(|l| l.as_str().to_lowercase());
    let taken: Vec<String> = address::TAKEN_AT_ROOT
        .map(str::to_owned)
        .into_iter()
        .chain(languages)
        .collect();
    for object in &catalogue.objects {
        for old in &object.record.formerly {
            if taken.iter().any(|name| name == old.as_str()) {
                findings.push(Finding {
                    severity: Severity::Error,
                    rule: "name-taken",
                    place: SourceFile::whole(&format!("{}/record.toml", object.id)),
                    what: format!("the site uses the former name ‘{old}’ itself"),
                    remedy: format!("take ‘{old}’ out of ‘formerly’"),
                });
            }
        }
        findings.extend(unset(object));
        if taken.iter().any(|name| name == object.id.as_str()) {
            findings.push(Finding {
                severity: Severity::Error,
                rule: "name-taken",
                place: SourceFile::whole(&format!("{}/record.toml", object.id)),
                what: format!("the site uses the folder name ‘{}’ itself", object.id),
                remedy: format!("name the object otherwise, for example ‘{}-1’", object.id),
            });
        }
    }
    findings
}

/// A title with letters that the type of the social pictures has not.
fn unset(object: &Object) -> Findings {
    let mut findings = Findings::none();
    for note in object.notes.values() {
        let Ok(letters) = everywhere::lacking(&theme::Theme::built_in(), &note.title) else {
            continue;
        };
        if !letters.is_empty() {
            let letters: Vec<String> = letters.iter().map(char::to_string).collect();
            findings.push(Finding {
                severity: Severity::Advice,
                rule: "letters-lacking",
                place: SourceFile::whole(&note.source.name),
                what: format!("The type in which pictures for sharing are set lacks letters of this title: {}.", letters.join(" ")),
                remedy: "Give the theme fonts that have them, under the names in fonts/drawn/.".to_owned(),
            });
        }
    }
    findings
}

/// The documents of every object in open formats, as a site of this request serves them.
///
/// # Errors
/// Pictures that cannot be made, and what a format has no words for.
pub fn documents(request: &Request<'_>) -> Result<BTreeMap<ObjectId, Vec<Document>>, SiteError> {
    let (catalogue, left_out) = gate::permitted(request.catalogue)?;
    let request = &Request {
        catalogue: &catalogue,
        ..*request
    };
    let made = make(request, left_out)?;
    let all = made.told.into_iter();
    Ok(all.map(|(id, told)| (id, told.documents)).collect())
}

/// Everything but the pages.
struct Ready {
    theme: theme::Theme,
    words: BTreeMap<Lang, words::Words>,
    assets: assets::Assets,
    theme_files: assets::ThemeFiles,
    pictures: pictures::Pictures,
    told: BTreeMap<ObjectId, Told>,
}

fn make(request: &Request<'_>, left_out: gate::LeftOut) -> Result<Ready, SiteError> {
    pictures::forget(request, &left_out);
    let site = &request.catalogue.site;
    let theme = match &site.look.theme {
        Some(folder) => theme::Theme::with_folder(&request.catalogue.folder.join(folder))?,
        None => theme::Theme::built_in(),
    };
    let words = words::read(&theme, &site.languages)?;
    let mut assets = assets::Assets::of(request.form);
    let theme_files = assets::add_theme(&theme, &site.kiosk, &mut assets)?;
    let mut pictures = pictures::make(request, &mut assets)?;
    pictures.left_out = left_out;
    let grounds = build::grounds(request, &words, &theme_files, &pictures)?;
    let told = told::all(request, &pictures, grounds)?;
    Ok(Ready {
        theme,
        words,
        assets,
        theme_files,
        pictures,
        told,
    })
}

/// Publishes the catalogue.
pub fn publish(request: &Request<'_>) -> Result<Published, SiteError> {
    write::may_replace(request.target)?;
    let made = compose(request)?;
    let published = Published {
        pages: made.pages,
        files: made.files.len(),
        bytes: made.files.values().map(Vec::len).sum(),
    };
    write::replace(request.target, &made.files)?;
    Ok(published)
}

/// A whole site that is not yet written.
pub(crate) struct Composed {
    /// Every file by its path relative to the root, `/` between steps.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// How many of them are pages.
    pub(crate) pages: usize,
    /// The documents in open formats, by object.
    pub(crate) documents: BTreeMap<ObjectId, Vec<Document>>,
    /// What the pages of the one object say, when only one is published.
    pub(crate) said: BTreeMap<Lang, Said>,
}

/// Composes the site.
pub(crate) fn compose(request: &Request<'_>) -> Result<Composed, SiteError> {
    let Some(only) = request.only else {
        return compose_all(request, None);
    };
    let mut catalogue = request.catalogue.clone();
    catalogue.objects.retain(|object| &object.id == only);
    let reduced = Request {
        catalogue: &catalogue,
        ..*request
    };
    compose_all(&reduced, Some(only))
}

fn compose_all(request: &Request<'_>, only: Option<&ObjectId>) -> Result<Composed, SiteError> {
    let (catalogue, left_out) = gate::permitted(request.catalogue)?;
    let request = &Request {
        catalogue: &catalogue,
        ..*request
    };
    let Ready {
        theme,
        words,
        mut assets,
        theme_files,
        pictures,
        told,
    } = make(request, left_out)?;
    let renderer = render::Renderer::new(&theme)?;
    let social =
        everywhere::Social::make(request.catalogue, request.form, &theme, &pictures, &assets)?;
    let pages = build::all(
        request,
        &words,
        build::Made {
            theme: &theme_files,
            pictures: &pictures,
            social: &social,
            told: &told,
        },
        &mut assets,
        &renderer,
    )?;
    let said = match only {
        Some(_) => {
            let dressed = (&words, &theme_files, &pictures);
            build::said(request, dressed, &told, &mut assets)?
        }
        None => BTreeMap::new(),
    };
    let count = pages.len();
    let about = everywhere::files(request.catalogue, request.form, &words, &pages, &social)?;
    let mut files = assets.into_files();
    files.extend(about);
    files.extend(pages);
    for (object, told) in &told {
        let named = |d: &Document| (told::Told::path(object, d), d.bytes.clone());
        files.extend(told.documents.iter().map(named));
    }
    if request.form == Form::Served {
        let worker = offline::worker(request.catalogue, &files, theme.offline())?;
        files.insert(offline::WORKER.to_owned(), worker);
    }
    Ok(Composed {
        files,
        pages: count,
        documents: told.into_iter().map(|(id, t)| (id, t.documents)).collect(),
        said,
    })
}

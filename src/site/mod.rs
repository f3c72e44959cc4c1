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
mod earlier;
mod everywhere;
pub(crate) mod figures;
mod files;
mod findings;
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
pub(crate) mod workbench;
pub(crate) mod write;

pub(crate) use build::Said;
pub use earlier::{Earlier, Explained};
pub use everywhere::lost;
pub use findings::findings;
pub use preview::{DetailWords, Previewed, Words, dress, preview, still_words};
pub use write::MARK;

use crate::collate::ObjectGeometry;
use crate::limits::Limits;
use crate::progress::Listener;
use crate::record::{Catalogue, Findings, Lang, ObjectId, Sources};
use crate::store::Store;
use earlier::{Kept, Shown};
use files::{Before, Files};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
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
    /// The new site stands, but something that follows failed.
    Afterwards(String),
}

impl fmt::Display for SiteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(text) | Self::Theme(text) => write!(f, "the theme cannot be used: {text}"),
            Self::Picture(text)
            | Self::Target(text)
            | Self::Formats(text)
            | Self::Rights(text)
            | Self::Io(text)
            | Self::Afterwards(text) => f.write_str(text),
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

/// Everything but the pages.
struct Ready {
    theme: theme::Theme,
    words: BTreeMap<Lang, words::Words>,
    assets: assets::Assets,
    theme_files: assets::ThemeFiles,
    pictures: pictures::Pictures,
    told: BTreeMap<ObjectId, Told>,
}

fn make(
    request: &Request<'_>,
    left_out: gate::LeftOut,
    kept: &Kept<'_>,
    files: Files,
) -> Result<Ready, SiteError> {
    let site = &request.catalogue.site;
    let theme = match &site.look.theme {
        Some(folder) => theme::Theme::with_folder(&request.catalogue.folder.join(folder))?,
        None => theme::Theme::built_in(),
    };
    let words = words::read(&theme, &site.languages)?;
    let assets = assets::Assets::of(request.form, files);
    let theme_files = assets::add_theme(&theme, &site.kiosk, &assets)?;
    let mut catalogue = Cow::Borrowed(request.catalogue);
    if !kept.is_empty() {
        let objects = catalogue.objects.iter();
        let fresh = objects.filter(|object| !kept.holds(&object.id));
        catalogue = Cow::Owned(request.catalogue.with(fresh.cloned().collect()));
    }
    let fresh = &Request {
        catalogue: &catalogue,
        ..*request
    };
    let mut pictures = pictures::make(fresh, &assets)?;
    pictures.left_out = left_out;
    pictures.shown.extend(kept.plates());
    let grounds = build::grounds(fresh, &words, &theme_files, &pictures)?;
    let told = told::all(fresh, &pictures, grounds, assets.files())?;
    Ok(Ready {
        theme,
        words,
        assets,
        theme_files,
        pictures,
        told,
    })
}

/// Publishes the catalogue, and makes everything.
///
/// # Errors
/// See [`SiteError`]. The earlier site is whole, and stands, but for [`SiteError::Afterwards`].
pub fn publish(request: &Request<'_>) -> Result<Published, SiteError> {
    let next = write::Place::claim(request.target)?.start(false)?;
    let files = Files::in_folder(next.folder(), Before::default());
    let made = compose_in(request, &Kept::default(), files.clone());
    // What could not be written is read in vain later: the first fault is the one to be told.
    files.fault()?;
    let made = made?;
    next.finish()?;
    Ok(made.published())
}

/// Publishes the catalogue, and makes what does not stand already. `loud` are objects whose models something
/// was to be said of; `findings` is all that there is to be said.
///
/// # Errors
/// As [`publish`].
pub fn publish_over(
    request: &Request<'_>,
    mut earlier: Earlier,
    loud: &BTreeSet<ObjectId>,
    findings: &Findings,
) -> Result<(Published, Explained), SiteError> {
    if earlier.holds() && earlier.stands() {
        return Ok(earlier.as_it_is());
    }
    let writing = earlier.start()?;
    let made = compose_in(request, &writing.kept(), writing.files.clone());
    writing.files.fault()?;
    let made = made?;
    let Made {
        shown,
        own,
        files,
        pages,
        ..
    } = made;
    drop(files);
    let (explained, [files, bytes]) = writing.finish(&Shown {
        catalogue: request.catalogue,
        findings,
        sources: request.sources,
        plates: &shown,
        own: &own,
        loud,
    })?;
    let published = Published {
        pages,
        files,
        bytes,
    };
    Ok((published, explained))
}

/// Makes everything that is dear, so that it is in the store, and writes no site.
///
/// # Errors
/// As [`publish`].
pub fn prepare(request: &Request<'_>) -> Result<(), SiteError> {
    let mut catalogue = request.catalogue.clone();
    let objects = &mut catalogue.objects;
    objects.retain(|object| request.only.is_none_or(|only| &object.id == only));
    let (catalogue, left_out) = gate::permitted(&catalogue)?;
    let request = &Request {
        catalogue: &catalogue,
        ..*request
    };
    let made = make(request, left_out, &Kept::default(), Files::held())?;
    everywhere::Social::make(request, &made.theme, &made.pictures, &made.assets)?;
    Ok(())
}

/// A whole site that is not written anywhere.
pub(crate) struct Composed {
    /// Every file by its path relative to the root, `/` between steps.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// Paths of the documents in open formats, by object: below its folder of data, and below the root.
    pub(crate) documents: BTreeMap<ObjectId, Vec<(String, String)>>,
    /// What the pages of the one object say, when only one is published.
    pub(crate) said: BTreeMap<Lang, Said>,
}

/// Composes the site.
pub(crate) fn compose(request: &Request<'_>) -> Result<Composed, SiteError> {
    let made = compose_in(request, &Kept::default(), Files::held())?;
    Ok(Composed {
        files: made.files.into_held(),
        documents: made.documents,
        said: made.said,
    })
}

/// A site whose files are where they were to go.
struct Made {
    files: Files,
    pages: usize,
    documents: BTreeMap<ObjectId, Vec<(String, String)>>,
    said: BTreeMap<Lang, Said>,
    /// How others show each object.
    shown: BTreeMap<ObjectId, pictures::BodyPlate>,
    /// What a browser may keep of each.
    own: BTreeMap<ObjectId, offline::Own>,
}

impl Made {
    fn published(&self) -> Published {
        let (files, bytes) = self.files.count();
        Published {
            pages: self.pages,
            files,
            bytes,
        }
    }
}

fn compose_in(request: &Request<'_>, kept: &Kept<'_>, files: Files) -> Result<Made, SiteError> {
    let Some(only) = request.only else {
        return compose_all(request, None, kept, files);
    };
    let mut catalogue = request.catalogue.clone();
    catalogue.objects.retain(|object| &object.id == only);
    let reduced = Request {
        catalogue: &catalogue,
        ..*request
    };
    compose_all(&reduced, Some(only), kept, files)
}

fn compose_all(
    request: &Request<'_>,
    only: Option<&ObjectId>,
    kept: &Kept<'_>,
    files: Files,
) -> Result<Made, SiteError> {
    let (catalogue, left_out) = gate::permitted(request.catalogue)?;
    let request = &Request {
        catalogue: &catalogue,
        ..*request
    };
    let Ready {
        theme,
        words,
        assets,
        theme_files,
        pictures,
        told,
    } = make(request, left_out, kept, files)?;
    let renderer = render::Renderer::new(&theme)?;
    let social = everywhere::Social::make(request, &theme, &pictures, &assets)?;
    let made = build::Made {
        theme: &theme_files,
        pictures: &pictures,
        social: &social,
        told: &told,
    };
    build::all(request, &words, made, kept, &assets, &renderer)?;
    let said = match only {
        Some(_) => {
            let dressed = (&words, &theme_files, &pictures);
            build::said(request, dressed, &told, &assets)?
        }
        None => BTreeMap::new(),
    };
    let pages = assets.files().paths(|path| path.ends_with("index.html"));
    everywhere::add(
        request.catalogue,
        request.form,
        &words,
        &pages,
        assets.files(),
    )?;
    let files = assets.into_files();
    let mut own = BTreeMap::new();
    if request.form == Form::Served {
        let worker;
        (worker, own) = offline::worker(request.catalogue, &files, kept, theme.offline())?;
        files.put(offline::WORKER, worker);
    }
    let of_object = |(id, told): (&ObjectId, &Told)| {
        let all = told.documents.iter();
        let named = all.map(|d| (d.name.clone(), Told::path(id, d)));
        (id.clone(), named.collect())
    };
    Ok(Made {
        files,
        pages: pages.len(),
        documents: told.iter().map(of_object).collect(),
        said,
        shown: pictures.shown,
        own,
    })
}

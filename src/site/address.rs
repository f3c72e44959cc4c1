//! Where each page stands, and how one page points at another.
//!
//! All addresses inside the site are relative, so that it works from any folder of any server. A disk
//! shows what is in a folder, not the page in it: there, addresses name the page's file.

use super::Form;
use super::lists::{Chosen, Facet};
use crate::record::{DetailId, Lang, ObjectId};

/// A page, whatever its language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Page {
    /// All objects, or as many as one page lists.
    Home,
    /// More of all objects: the page with this number, 2 or higher.
    Objects(usize),
    /// Every value by which objects may be chosen.
    Choice(Facet),
    /// The objects of one value, on the page with this number, from 1.
    Chosen(Chosen, usize),
    /// Terms explained.
    Glossary,
    /// Words looked for in all pages.
    Find,
    /// Plate, key and story.
    Object(ObjectId),
    /// One detail.
    Detail(ObjectId, DetailId),
    /// What differs.
    Differs(ObjectId),
    /// How it was made.
    Making(ObjectId),
    /// Sources, rights and credits.
    Rights(ObjectId),
    /// How all of it is known.
    Evidence(ObjectId),
    /// Printable label.
    Label(ObjectId),
    /// Large print.
    LargePrint(ObjectId),
    /// Plate and key on one sheet of paper.
    Handout(ObjectId),
    /// Drawings for fingers.
    RaisedLines(ObjectId),
    /// Every format of it.
    Data(ObjectId),
    /// Every object, on a screen in the gallery.
    Kiosk,
    /// More of them there: the screen with this number, 2 or higher.
    KioskObjects(usize),
    /// What things are, to be chosen there.
    KioskChoice,
    /// The objects of one value there, on the screen with this number, from 1.
    KioskChosen(Chosen, usize),
    /// One of them there, with a way back to the others.
    KioskObject(ObjectId),
    /// One object on a screen of its own, with no way out.
    KioskAlone(ObjectId),
    /// What the machine has counted.
    KioskTally,
    /// Shown without a network in place of a page that was not kept.
    NotKept,
}

/// The object of a page, borrowed as the page is. Every kind of page stands here, so that none is forgotten.
macro_rules! own {
    ($page:expr) => {
        match $page {
            Page::Home
            | Page::Find
            | Page::Glossary
            | Page::Objects(_)
            | Page::Choice(_)
            | Page::Chosen(..)
            | Page::Kiosk
            | Page::KioskObjects(_)
            | Page::KioskChoice
            | Page::KioskChosen(..)
            | Page::KioskTally
            | Page::NotKept => None,
            Page::Object(o)
            | Page::Detail(o, _)
            | Page::Differs(o)
            | Page::Making(o)
            | Page::Rights(o)
            | Page::Label(o)
            | Page::LargePrint(o)
            | Page::Handout(o)
            | Page::RaisedLines(o)
            | Page::Data(o)
            | Page::Evidence(o)
            | Page::KioskObject(o)
            | Page::KioskAlone(o) => Some(o),
        }
    };
}

impl Page {
    /// The object that it is of.
    pub(crate) fn object(&self) -> Option<&ObjectId> {
        own!(self)
    }

    /// The same page of an object with another name.
    pub(crate) fn at_object(&self, name: &ObjectId) -> Self {
        let mut page = self.clone();
        if let Some(own) = own!(&mut page) {
            *own = name.clone();
        }
        page
    }

    /// Whether it is read on the web for its own sake: not a sheet for a printer, nor a screen in the
    /// gallery.
    pub(crate) fn is_for_readers(&self) -> bool {
        matches!(
            self,
            Self::Home
                | Self::Objects(_)
                | Self::Choice(_)
                | Self::Chosen(..)
                | Self::Find
                | Self::Glossary
                | Self::Object(_)
                | Self::Detail(..)
                | Self::Differs(_)
                | Self::Making(_)
                | Self::Rights(_)
                | Self::Data(_)
                | Self::Evidence(_)
        )
    }

    /// Whether search engines had better leave it alone.
    pub(crate) fn is_unlisted(&self) -> bool {
        matches!(
            self,
            Self::Kiosk
                | Self::KioskObjects(_)
                | Self::KioskChoice
                | Self::KioskChosen(..)
                | Self::KioskObject(_)
                | Self::KioskAlone(_)
                | Self::KioskTally
                | Self::NotKept
        )
    }
}

/// A page in one language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Address {
    /// Folders from the root of the site to the page.
    steps: Vec<String>,
    form: Form,
}

impl Address {
    /// The address of `page` in `lang`; the site's first language has no folder of its own.
    pub(crate) fn of(page: &Page, lang: &Lang, first: &Lang, form: Form) -> Self {
        let mut steps = Vec::new();
        if lang != first {
            steps.push(lang.as_str().to_lowercase());
        }
        let mut add = |parts: &[&str]| steps.extend(parts.iter().map(|p| (*p).to_owned()));
        let number = |number: &usize| number.to_string();
        match page {
            Page::Home => {}
            Page::Objects(n) => add(&["objects", &number(n)]),
            Page::Choice(facet) => add(&["objects", "by", facet.word()]),
            Page::Chosen(chosen, n) => {
                add(&["objects", "by", chosen.facet.word(), chosen.slug(lang)]);
                if *n > 1 {
                    add(&[&number(n)]);
                }
            }
            Page::KioskObjects(n) => add(&["kiosk", "objects", &number(n)]),
            Page::KioskChoice => add(&["kiosk", "objects", "by"]),
            Page::KioskChosen(chosen, n) => {
                add(&["kiosk", "objects", "by", chosen.slug(lang)]);
                if *n > 1 {
                    add(&[&number(n)]);
                }
            }
            Page::Glossary => add(&["glossary"]),
            Page::Find => add(&["find"]),
            Page::NotKept => add(&["not-kept"]),
            Page::Kiosk => add(&["kiosk"]),
            Page::KioskObject(o) => add(&["kiosk", o.as_str()]),
            Page::KioskAlone(o) => add(&[o.as_str(), "kiosk"]),
            Page::KioskTally => add(&["kiosk-tally"]),
            Page::Object(o) => add(&[o.as_str()]),
            Page::Detail(o, d) => add(&[o.as_str(), "details", d.as_str()]),
            Page::Differs(o) => add(&[o.as_str(), "what-differs"]),
            Page::Making(o) => add(&[o.as_str(), "making"]),
            Page::Rights(o) => add(&[o.as_str(), "rights"]),
            Page::Evidence(o) => add(&[o.as_str(), "evidence"]),
            Page::Label(o) => add(&[o.as_str(), "label"]),
            Page::LargePrint(o) => add(&[o.as_str(), "large-print"]),
            Page::Handout(o) => add(&[o.as_str(), "handout"]),
            Page::RaisedLines(o) => add(&[o.as_str(), "raised-lines"]),
            Page::Data(o) => add(&[o.as_str(), "data"]),
        }
        Self { steps, form }
    }

    /// The page's file, relative to the root of the site.
    pub(crate) fn file(&self) -> String {
        let mut path = self.steps.join("/");
        if !path.is_empty() {
            path.push('/');
        }
        path + "index.html"
    }

    /// The page's address below the site's own, with a closing slash: `cy/mortar/`.
    pub(crate) fn below_root(&self) -> String {
        self.steps.iter().map(|s| format!("{s}/")).collect()
    }

    /// How this page points at `other`.
    pub(crate) fn to(&self, other: &Address) -> String {
        let shared = self
            .steps
            .iter()
            .zip(&other.steps)
            .take_while(|(a, b)| a == b)
            .count();
        let up = "../".repeat(self.steps.len() - shared);
        let down: String = other.steps[shared..]
            .iter()
            .map(|s| format!("{s}/"))
            .collect();
        match self.form {
            Form::Carried => up + &down + "index.html",
            Form::Served if up.is_empty() && down.is_empty() => "./".to_owned(),
            Form::Served => up + &down,
        }
    }

    /// How this page points at a file given relative to the root of the site.
    pub(crate) fn to_file(&self, file: &str) -> String {
        "../".repeat(self.steps.len()) + file
    }
}

/// Names that no object may take, since the site uses them itself at its root.
pub(crate) const TAKEN_AT_ROOT: [&str; 8] = [
    "assets",
    "find",
    "glossary",
    "kiosk",
    "kiosk-tally",
    "not-kept",
    "objects",
    "social",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn in_form(page: Page, lang: &str, form: Form) -> Address {
        Address::of(&page, &lang.parse().unwrap(), &"en".parse().unwrap(), form)
    }

    fn address(page: Page, lang: &str) -> Address {
        in_form(page, lang, Form::Served)
    }

    #[test]
    fn on_a_disk_files_are_named() {
        let mortar: ObjectId = "mortar".parse().unwrap();
        let home = in_form(Page::Home, "en", Form::Carried);
        let welsh = in_form(Page::Object(mortar), "cy", Form::Carried);
        assert_eq!(home.to(&welsh), "cy/mortar/index.html");
        assert_eq!(welsh.to(&home), "../../index.html");
        assert_eq!(home.to(&home), "index.html");
        assert_eq!(welsh.to_file("assets/a.css"), "../../assets/a.css");
    }

    #[test]
    fn relative_between_any_two_pages() {
        let mortar: ObjectId = "mortar".parse().unwrap();
        let home = address(Page::Home, "en");
        let detail = address(Page::Detail(mortar.clone(), "patch".parse().unwrap()), "en");
        let welsh = address(Page::Object(mortar.clone()), "cy");
        assert_eq!(home.file(), "index.html");
        assert_eq!(detail.file(), "mortar/details/patch/index.html");
        assert_eq!(home.to(&detail), "mortar/details/patch/");
        assert_eq!(detail.to(&home), "../../../");
        assert_eq!(detail.to(&welsh), "../../../cy/mortar/");
        assert_eq!(detail.to(&address(Page::Object(mortar), "en")), "../../");
        assert_eq!(home.to(&home), "./");
        assert_eq!(welsh.to_file("assets/a.css"), "../../assets/a.css");
    }
}

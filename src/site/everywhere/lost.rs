//! Addresses that the site had when it was last published, and would have no more.

use super::{ADDRESSES, all_pages, below, of_object};
use crate::record::{Catalogue, Finding, Findings, Lang, Severity, SourceFile};
use crate::site::address::{Address, Page};
use crate::site::{Form, MARK};
use hashbrown::HashSet;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Every address of a site that leads somewhere, one a line, old ones that lead on among them.
pub(super) fn listed(catalogue: &Catalogue, made: &BTreeSet<String>) -> String {
    let mut all: BTreeSet<String> = made
        .iter()
        .filter_map(|file| file.strip_suffix("index.html"))
        .map(str::to_owned)
        .collect();
    for lang in &catalogue.site.languages {
        all.extend(places(catalogue, lang));
    }
    all.iter().map(|address| format!("{address}\n")).collect()
}

/// Places within pages that have addresses: terms and steps, by old names too.
fn places(catalogue: &Catalogue, lang: &Lang) -> Vec<String> {
    let mut all = Vec::new();
    let glossary = below(catalogue, &Page::Glossary, lang);
    for term in &catalogue.terms {
        let ids = std::iter::once(&term.id).chain(&term.record.formerly);
        all.extend(ids.map(|id| format!("{glossary}#{id}")));
    }
    for object in &catalogue.objects {
        let names = std::iter::once(&object.id).chain(&object.record.formerly);
        for name in names {
            let making = below(catalogue, &Page::Making(name.clone()), lang);
            for step in &object.making {
                let ids = std::iter::once(&step.id).chain(&step.record.formerly);
                all.extend(ids.map(|id| format!("{making}#{id}")));
            }
        }
    }
    all
}

/// Every address that the catalogue will have.
fn coming(catalogue: &Catalogue) -> HashSet<String> {
    let mut pages = all_pages(catalogue);
    pages.extend([Page::Kiosk, Page::KioskTally, Page::NotKept]);
    let objects = catalogue.objects.iter();
    let old = objects.flat_map(|object| super::former::stubs(object, |_| true));
    pages.extend(old.map(|moved| moved.from));
    let languages = catalogue.site.languages.par_iter();
    let all = languages.map(|lang| {
        let pages = pages.iter().map(|p| below(catalogue, p, lang));
        pages.chain(places(catalogue, lang)).collect::<Vec<_>>()
    });
    let all: Vec<Vec<String>> = all.collect();
    all.into_iter().flatten().collect()
}

/// Advice on every address of the site in `target` that publishing would lose, by the name that was
/// lost: which addresses, and the line to write. A folder that is no site of ours has none.
pub fn lost(catalogue: &Catalogue, target: &Path) -> Findings {
    let mut findings = Findings::none();
    let Some(before) = before(target) else {
        return findings;
    };
    let coming = coming(catalogue);
    if before.iter().all(|address| coming.contains(address)) {
        return findings;
    }
    let before: BTreeSet<String> = before.into_iter().collect();
    let gone = before.iter().filter(|address| !coming.contains(*address));
    let mut by_name: BTreeMap<Name, Vec<&str>> = BTreeMap::new();
    for address in gone {
        let name = name(catalogue, &before, address);
        by_name.entry(name).or_default().push(address);
    }
    let new: Vec<&str> = catalogue
        .objects
        .iter()
        .filter(|o| {
            !of_object(o)
                .iter()
                .any(|p| before.contains(&first_of(catalogue, p)))
        })
        .map(|o| o.id.as_str())
        .collect();
    for (name, addresses) in by_name {
        findings.push(name.advice(&addresses, &new));
    }
    findings
}

fn first_of(catalogue: &Catalogue, page: &Page) -> String {
    let first = catalogue.site.languages.first();
    first.map_or_else(String::new, |lang| {
        Address::of(page, lang, lang, Form::Served).below_root()
    })
}

/// The addresses of the earlier site, from its list, or else from its pages.
fn before(target: &Path) -> Option<Vec<String>> {
    if !target.join(MARK).is_file() {
        return None;
    }
    if let Ok(list) = fs::read_to_string(target.join(ADDRESSES)) {
        return Some(list.lines().map(str::to_owned).collect());
    }
    let pages = walkdir::WalkDir::new(target)
        .into_iter()
        .filter_map(Result::ok);
    let address = |entry: walkdir::DirEntry| {
        let inside = entry.path().strip_prefix(target).ok()?;
        let name = inside.to_str()?.replace('\\', "/");
        name.strip_suffix("index.html").map(str::to_owned)
    };
    Some(pages.filter_map(address).collect())
}

/// What an address is called by, and no longer.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Name {
    /// An object.
    Object(String),
    /// A detail of an object that is there.
    Detail(String, String),
    /// A step of an object that is there.
    Step(String, String),
    /// A term.
    Term(String),
    /// Part of a list, or the objects of a value.
    List,
    /// A page that an object no longer has.
    Page(String),
    /// A language that the site no longer has, or anything else.
    Other,
}

fn name(catalogue: &Catalogue, before: &BTreeSet<String>, address: &str) -> Name {
    let (path, place) = address.split_once('#').unwrap_or((address, ""));
    let mut steps: Vec<&str> = path.split('/').filter(|s| !s.is_empty()).collect();
    let langs = catalogue.site.languages.iter();
    let folders: Vec<String> = langs.map(|l| l.as_str().to_lowercase()).collect();
    if steps
        .first()
        .is_some_and(|s| folders.iter().any(|f| f == s))
    {
        steps.remove(0);
    }
    let known = |id: &str| {
        catalogue.objects.iter().any(|o| {
            let mut names = std::iter::once(&o.id).chain(&o.record.formerly);
            names.any(|name| name.as_str() == id)
        })
    };
    // A folder that has a glossary is a language's, which the site has no more.
    let tag = |id: &str| before.contains(&format!("{id}/glossary/"));
    match steps.as_slice() {
        ["glossary"] if !place.is_empty() => Name::Term(place.to_owned()),
        ["objects", ..] | ["kiosk", "objects", ..] => Name::List,
        ["kiosk", id] if !known(id) => Name::Object((*id).to_owned()),
        [own, ..] if crate::site::address::TAKEN_AT_ROOT.contains(own) => Name::Other,
        [id, ..] if tag(id) => Name::Other,
        [id, ..] if !known(id) => Name::Object((*id).to_owned()),
        [id, "details", detail] => Name::Detail((*id).to_owned(), (*detail).to_owned()),
        [id, "making"] if !place.is_empty() => Name::Step((*id).to_owned(), place.to_owned()),
        [id, ..] => Name::Page((*id).to_owned()),
        [] => Name::Other,
    }
}

impl Name {
    /// `new` are objects that the earlier site had not: one alone is likely the renamed one.
    fn advice(&self, addresses: &[&str], new: &[&str]) -> Finding {
        let shown: Vec<&str> = addresses.iter().take(3).copied().collect();
        let more = addresses.len().saturating_sub(3);
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        let addresses = format!("{}{more}", shown.join(", "));
        let unless = "If it is gone for good, let it be.";
        let (file, what, remedy) = match self {
            Self::Object(old) => {
                let file = match new {
                    [one] => format!("{one}/record.toml"),
                    _ => "site.toml".to_owned(),
                };
                let now = match new {
                    [one] => format!("If it is now called {one}, write in {one}/record.toml"),
                    _ => "If it has another name now, write in its record.toml".to_owned(),
                };
                (
                    file,
                    format!(
                        "The site that is published now has the object ‘{old}’, and this one has not."
                    ),
                    format!("{now}: formerly = [\"{old}\"]. {unless}"),
                )
            }
            Self::Detail(object, old) => (
                format!("{object}/record.toml"),
                format!(
                    "The site that is published now has the detail ‘{old}’, and this one has not."
                ),
                format!(
                    "If it has another name now, write in the record.toml of the detail: formerly = [\"{old}\"]. {unless}"
                ),
            ),
            Self::Step(object, old) => (
                format!("{object}/record.toml"),
                format!(
                    "The site that is published now has the step ‘{old}’, and this one has not."
                ),
                format!(
                    "If it has another name now, write in the record.toml of the step: formerly = [\"{old}\"]. {unless}"
                ),
            ),
            Self::Term(old) => (
                "site.toml".to_owned(),
                format!("The site that is published now explains ‘{old}’, and this one does not."),
                format!(
                    "If the term has another name now, write a record.toml in its folder with format = 1 and formerly = [\"{old}\"]. {unless}"
                ),
            ),
            Self::List => (
                "site.toml".to_owned(),
                "The site that is published now lists objects on pages that this one has not."
                    .to_owned(),
                "That is as it should be when objects went, or when a name, material, place or date was corrected in their records.".to_owned(),
            ),
            Self::Page(object) => (
                format!("{object}/record.toml"),
                format!(
                    "The site that is published now has pages of ‘{object}’ that this one has not."
                ),
                "See whether what they told was taken out on purpose.".to_owned(),
            ),
            Self::Other => (
                "site.toml".to_owned(),
                "The site that is published now has pages that this one has not.".to_owned(),
                "See whether a language or a page was taken out on purpose.".to_owned(),
            ),
        };
        Finding {
            severity: Severity::Advice,
            rule: "address-lost",
            place: SourceFile::whole(&file),
            what: format!("{what} These addresses would lead nowhere: {addresses}."),
            remedy,
        }
    }
}

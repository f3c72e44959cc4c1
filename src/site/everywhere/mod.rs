//! What concerns the whole site, for those who come from elsewhere: a list of its pages for search
//! engines, a feed, pictures for those who pass an address on, and old addresses that lead on.

mod days;
mod feed;
mod former;
mod head;
mod lost;
mod sitemap;
mod social;
mod type_set;

pub(crate) use days::days_told;
pub(crate) use former::stubs;
pub(crate) use head::{Web, web};
pub use lost::lost;
pub(crate) use social::Social;
pub(crate) use type_set::lacking;

use super::address::{Address, Page};
use super::files::Files;
use super::lists::Lists;
use super::words::Words;
use super::{Form, SiteError};
use crate::record::{Catalogue, Lang, Object};
use std::collections::{BTreeMap, BTreeSet};

/// The list of addresses that a site has, for the next time it is published.
pub(crate) const ADDRESSES: &str = ".counterpart-addresses";
/// Old beginnings of addresses and the new ones, for rules of a server.
const MOVED: &str = "moved.txt";

/// Adds the files of a site that are about the site. `pages` are those that were made.
pub(crate) fn add(
    catalogue: &Catalogue,
    form: Form,
    words: &BTreeMap<Lang, Words>,
    pages: &BTreeSet<String>,
    files: &Files,
) -> Result<(), SiteError> {
    let addresses = || lost::listed(catalogue, pages);
    // On a disk there is nobody to be told.
    if form == Form::Carried {
        files.put(ADDRESSES, addresses().into_bytes());
        return Ok(());
    }
    let (addresses, (sitemap, feeds)) = rayon::join(addresses, || {
        rayon::join(
            || sitemap::add(catalogue, pages, files),
            || {
                let languages = catalogue.site.languages.iter();
                let feeds = languages.map(|lang| {
                    let feed = feed::write(catalogue, lang, words)?;
                    Ok(feed.map(|feed| (feed::file(catalogue, lang), feed)))
                });
                feeds.collect::<Result<Vec<_>, SiteError>>()
            },
        )
    });
    sitemap?;
    files.put(ADDRESSES, addresses.into_bytes());
    files.put("robots.txt", robots(catalogue).into_bytes());
    for (name, feed) in feeds?.into_iter().flatten() {
        files.put(&name, feed);
    }
    if let Some(table) = former::table(catalogue) {
        files.put(MOVED, table.into_bytes());
    }
    Ok(())
}

/// What search engines may do (RFC 9309): all.
fn robots(catalogue: &Catalogue) -> String {
    let address = &catalogue.site.address;
    format!(
        "# Read only at the root of a host: where the site lies deeper, copy the last line there.\n\
         User-agent: *\nAllow: /\n\nSitemap: {address}sitemap.xml\n"
    )
}

/// Every page that a site could have, whether or not it was made.
fn all_pages(catalogue: &Catalogue) -> Vec<Page> {
    let mut all = vec![Page::Home, Page::Find, Page::Glossary];
    all.extend(Lists::of(catalogue).pages());
    for object in &catalogue.objects {
        all.extend(of_object(object));
    }
    all
}

/// Every page that an object could have.
fn of_object(object: &Object) -> Vec<Page> {
    let id = || object.id.clone();
    let mut all = vec![Page::Object(id())];
    let details = object.details.iter();
    all.extend(details.map(|d| Page::Detail(id(), d.id.clone())));
    all.extend([
        Page::Differs(id()),
        Page::Making(id()),
        Page::Rights(id()),
        Page::Label(id()),
        Page::LargePrint(id()),
        Page::Handout(id()),
        Page::RaisedLines(id()),
        Page::Data(id()),
        Page::Evidence(id()),
        Page::KioskObject(id()),
        Page::KioskAlone(id()),
    ]);
    all
}

/// The address of a page on the web.
fn absolute(catalogue: &Catalogue, page: &Page, lang: &Lang) -> String {
    format!("{}{}", catalogue.site.address, below(catalogue, page, lang))
}

/// The same below the site's own address.
fn below(catalogue: &Catalogue, page: &Page, lang: &Lang) -> String {
    let first = catalogue.site.languages.first().unwrap_or(lang);
    Address::of(page, lang, first, Form::Served).below_root()
}

/// A character that no XML may hold was met.
fn unsayable(c: char) -> SiteError {
    SiteError::Io(format!(
        "the character U+{:04X} cannot stand in XML; take it out of titles and names",
        c as u32
    ))
}

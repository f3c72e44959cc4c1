//! `sitemap.xml`: the pages for readers, each in all languages (sitemaps.org protocol 0.9).
//!
//! A file may list 50,000 addresses. One that lists fewer is written again faster, so a large site has several,
//! which `sitemap.xml` then lists. They lie at the root: one in a folder may list only what is in that folder.

use super::{absolute, all_pages, below, days, unsayable};
use crate::markup::Markup;
use crate::record::{Catalogue, Day, ObjectId};
use crate::site::address::{Address, Page};
use crate::site::earlier::Mark;
use crate::site::files::Files;
use crate::site::{Form, SiteError};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Most addresses of a file.
const MOST: usize = 10_000;

const SPACE: (&str, &str) = ("xmlns", "http://www.sitemaps.org/schemas/sitemap/0.9");

/// A page in one language.
struct Told<'a> {
    page: &'a Page,
    lang: &'a crate::record::Lang,
    day: Option<Day>,
    /// Its address below that of the site.
    below: String,
}

/// Adds the files. What is told of the same pages and days stands already, and is not made again.
pub(super) fn add(
    catalogue: &Catalogue,
    made: &BTreeSet<String>,
    files: &Files,
) -> Result<(), SiteError> {
    add_in(catalogue, made, files, MOST)
}

/// The same in files of so many addresses at most.
fn add_in(
    catalogue: &Catalogue,
    made: &BTreeSet<String>,
    files: &Files,
    most: usize,
) -> Result<(), SiteError> {
    let pages = all_pages(catalogue);
    let told = told(catalogue, &pages, made);
    let mut parts: Vec<&[Told<'_>]> = told.chunks(most).collect();
    if parts.is_empty() {
        parts.push(&[]);
    }
    let (alone, first) = (parts.len() == 1, "sitemap.xml".to_owned());
    let name = |at: usize| match alone {
        true => first.clone(),
        false => format!("sitemap-{}.xml", at + 1),
    };
    parts.par_iter().enumerate().try_for_each(|(at, part)| {
        let (name, mark) = (name(at), mark(catalogue, part));
        if !files.stands_made_of(&name, &mark) {
            files.put_made_of(&name, mark, of_pages(catalogue, part)?);
        }
        Ok(())
    })?;
    if !alone {
        let names: Vec<String> = (0..parts.len()).map(name).collect();
        files.put(&first, of_files(catalogue, &names)?);
    }
    Ok(())
}

/// Pages for readers that were made, in every language.
fn told<'a>(catalogue: &'a Catalogue, pages: &'a [Page], made: &BTreeSet<String>) -> Vec<Told<'a>> {
    let languages = &catalogue.site.languages;
    let objects = catalogue.objects.par_iter();
    let objects = objects.map(|o| (&o.id, days::newest(catalogue, o)));
    let of_objects: BTreeMap<&ObjectId, Option<Day>> = objects.collect();
    let pages = pages.par_iter().filter(|page| page.is_for_readers());
    let told = pages.flat_map_iter(|page| {
        let day = newest(catalogue, page, &of_objects);
        languages.iter().filter_map(move |lang| {
            let first = languages.first().unwrap_or(lang);
            let made = made.contains(&Address::of(page, lang, first, Form::Served).file());
            made.then(|| Told {
                page,
                lang,
                day,
                below: below(catalogue, page, lang),
            })
        })
    });
    told.collect()
}

/// The digest of all that a file is made of.
fn mark(catalogue: &Catalogue, told: &[Told<'_>]) -> Mark {
    let site = &catalogue.site;
    let mut hasher = blake3::Hasher::new();
    hasher.update(format!("{}\n{:?}\n", site.address, site.languages).as_bytes());
    for told in told {
        hasher.update(told.below.as_bytes());
        let day = told.day.map(|day| day.to_string());
        hasher.update(format!(" {}\n", day.unwrap_or_default()).as_bytes());
    }
    *hasher.finalize().as_bytes()
}

fn of_pages(catalogue: &Catalogue, told: &[Told<'_>]) -> Result<Vec<u8>, SiteError> {
    let languages = &catalogue.site.languages;
    let mut xml = Markup::new();
    let spaces = [SPACE, ("xmlns:xhtml", "http://www.w3.org/1999/xhtml")];
    xml.open("urlset", &spaces);
    for told in told {
        xml.within("url", &[], |xml| {
            xml.words("loc", &[], &absolute(catalogue, told.page, told.lang));
            if let Some(day) = told.day {
                xml.words("lastmod", &[], &day.to_string());
            }
            if languages.len() > 1 {
                for other in languages {
                    let href = absolute(catalogue, told.page, other);
                    let link = [
                        ("rel", "alternate"),
                        ("hreflang", other.as_str()),
                        ("href", &href),
                    ];
                    xml.empty("xhtml:link", &link);
                }
            }
        });
    }
    Ok(xml.finish().map_err(unsayable)?.into_bytes())
}

/// The list of the files.
fn of_files(catalogue: &Catalogue, names: &[String]) -> Result<Vec<u8>, SiteError> {
    let mut xml = Markup::new();
    xml.open("sitemapindex", &[SPACE]);
    for name in names {
        xml.within("sitemap", &[], |xml| {
            let address = format!("{}{name}", catalogue.site.address);
            xml.words("loc", &[], &address);
        });
    }
    Ok(xml.finish().map_err(unsayable)?.into_bytes())
}

/// The newest day that the records of a page tell.
fn newest(
    catalogue: &Catalogue,
    page: &Page,
    of_objects: &BTreeMap<&ObjectId, Option<Day>>,
) -> Option<Day> {
    let object = || page.object().and_then(|id| catalogue.object(id));
    match page {
        Page::Home => of_objects.values().flatten().max().copied(),
        Page::Detail(_, id) => {
            let detail = object()?.details.iter().find(|d| &d.id == id)?;
            days::of_detail(catalogue, detail)
        }
        Page::Making(_) => {
            let steps = object()?.making.iter().map(|s| days::of_step(catalogue, s));
            steps.flatten().max()
        }
        _ => of_objects.get(page.object()?).copied()?,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::Limits;
    use std::path::Path;

    /// sitemaps.org, "Using Sitemap index files": an index lists files, and those list what one file would.
    #[test]
    fn a_large_site_has_several_files_and_a_list_of_them() {
        let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
        let today = "2026-01-02".parse().unwrap();
        let read = crate::record::read(&content, today, &Limits::default());
        let catalogue = read.catalogue.unwrap();
        let languages = &catalogue.site.languages;
        let made: BTreeSet<String> = all_pages(&catalogue)
            .iter()
            .flat_map(|page| {
                let first = &languages[0];
                let file = |lang| Address::of(page, lang, first, Form::Served).file();
                languages.iter().map(file).collect::<Vec<_>>()
            })
            .collect();
        let written = |most: usize| {
            let files = Files::held();
            add_in(&catalogue, &made, &files, most).unwrap();
            let text = |bytes| String::from_utf8(bytes).unwrap();
            let held = files.into_held().into_iter();
            held.map(|(name, bytes)| (name, text(bytes)))
                .collect::<BTreeMap<_, _>>()
        };
        let told = |text: &str| -> Vec<String> {
            let all = text.split("<loc>").skip(1);
            all.map(|rest| rest.split("</loc>").next().unwrap().to_owned())
                .collect()
        };
        let whole = written(MOST);
        assert!(whole.keys().eq(["sitemap.xml"]));
        let whole = told(&whole["sitemap.xml"]);
        let most = whole.len() / 3;
        let parts = written(most);
        let index = &parts["sitemap.xml"];
        assert!(index.contains("<sitemapindex") && !index.contains("<url"));
        let mut all = Vec::new();
        for address in told(index) {
            let name = address.strip_prefix(&catalogue.site.address).unwrap();
            let part = told(&parts[name]);
            assert!(!part.is_empty() && part.len() <= most);
            all.extend(part);
        }
        assert_eq!(all, whole);
        assert_eq!(parts.len(), told(index).len() + 1);
    }
}

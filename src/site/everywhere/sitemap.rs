//! `sitemap.xml`: the pages for readers, each in all languages (sitemaps.org protocol 0.9).

use super::{absolute, all_pages, days, unsayable};
use crate::markup::Markup;
use crate::record::{Catalogue, Day, ObjectId};
use crate::site::address::{Address, Page};
use crate::site::{Form, SiteError};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn write(catalogue: &Catalogue, made: &BTreeSet<String>) -> Result<Vec<u8>, SiteError> {
    let languages = &catalogue.site.languages;
    let mut xml = Markup::new();
    let spaces = [
        ("xmlns", "http://www.sitemaps.org/schemas/sitemap/0.9"),
        ("xmlns:xhtml", "http://www.w3.org/1999/xhtml"),
    ];
    xml.open("urlset", &spaces);
    let objects = catalogue.objects.par_iter();
    let objects = objects.map(|o| (&o.id, days::newest(catalogue, o)));
    let of_objects: BTreeMap<&ObjectId, Option<Day>> = objects.collect();
    for page in all_pages(catalogue).iter().filter(|p| p.is_for_readers()) {
        for lang in languages {
            let first = languages.first().unwrap_or(lang);
            if !made.contains(&Address::of(page, lang, first, Form::Served).file()) {
                continue;
            }
            xml.within("url", &[], |xml| {
                xml.words("loc", &[], &absolute(catalogue, page, lang));
                if let Some(day) = newest(catalogue, page, &of_objects) {
                    xml.words("lastmod", &[], &day.to_string());
                }
                if languages.len() > 1 {
                    for other in languages {
                        let href = absolute(catalogue, page, other);
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

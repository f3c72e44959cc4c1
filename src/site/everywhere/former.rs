//! Addresses that things had before their folders were renamed: a page at each that leads on, in
//! every language, and a table for servers.

use super::{absolute, below, of_object};
use crate::record::{Catalogue, Lang, Object};
use crate::site::address::Page;
use crate::site::build::Moved;
use std::collections::BTreeMap;

/// Pages at old addresses of an object, each with the page that it leads to. `made` tells what there is.
pub(crate) fn stubs(object: &Object, made: impl Fn(&Page) -> bool) -> Vec<Moved> {
    let mut all = Vec::new();
    for to in of_object(object).into_iter().filter(&made) {
        for from in formerly(object, &to) {
            let to = to.clone();
            all.push(Moved { from, to });
        }
    }
    all
}

/// Where a page stood, under every former name of its object and, if it is a detail's, of that.
fn formerly(object: &Object, page: &Page) -> Vec<Page> {
    let mut at: Vec<Page> = vec![page.clone()];
    if let Page::Detail(_, id) = page {
        let detail = object.details.iter().find(|d| &d.id == id);
        let old = detail.into_iter().flat_map(|d| &d.record.formerly);
        at.extend(old.map(|old| Page::Detail(object.id.clone(), old.clone())));
    }
    let mut all = Vec::new();
    for old in &object.record.formerly {
        all.extend(at.iter().map(|p| p.at_object(old)));
    }
    all.extend(at.into_iter().skip(1));
    all
}

/// The table: old beginning, tab, new beginning; the longest first, so that the first that fits is
/// the right one.
pub(super) fn table(catalogue: &Catalogue) -> Option<String> {
    let mut rows: BTreeMap<String, String> = BTreeMap::new();
    for lang in &catalogue.site.languages {
        for object in &catalogue.objects {
            let mut row = |from: &Page, to: &Page| {
                rows.insert(path(catalogue, from, lang), path(catalogue, to, lang));
            };
            let here = Page::Object(object.id.clone());
            for old in &object.record.formerly {
                row(&here.at_object(old), &here);
                row(
                    &Page::KioskObject(old.clone()),
                    &Page::KioskObject(object.id.clone()),
                );
            }
            for detail in &object.details {
                let to = Page::Detail(object.id.clone(), detail.id.clone());
                let renamed = formerly(object, &to);
                // Under an old name of the object alone, the row of the object leads on.
                let own = |from: &&Page| matches!(from, Page::Detail(_, d) if *d != detail.id);
                renamed.iter().filter(own).for_each(|from| row(from, &to));
            }
        }
    }
    if rows.is_empty() {
        return None;
    }
    let mut rows: Vec<(String, String)> = rows.into_iter().collect();
    rows.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.cmp(b)));
    let root = &catalogue.site.address;
    let mut out = format!(
        "# How addresses of {root} began, and how they begin now. The first row that fits is the right one.\n"
    );
    for (from, to) in rows {
        out.push_str(&format!("{from}\t{to}\n"));
    }
    Some(out)
}

/// The path on the host.
fn path(catalogue: &Catalogue, page: &Page, lang: &Lang) -> String {
    let whole = absolute(catalogue, page, lang);
    let host = whole
        .split_once("://")
        .map_or(whole.as_str(), |(_, rest)| rest);
    match host.split_once('/') {
        Some((_, path)) => format!("/{path}"),
        None => format!("/{}", below(catalogue, page, lang)),
    }
}

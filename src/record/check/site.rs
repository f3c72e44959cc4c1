//! The site's address, its languages, its theme.

use crate::record::read::draft::Draft;
use crate::record::read::tree::steps;
use crate::record::{Findings, Lang};
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

/// Objects of one page: fewer make a book of pages, more a page that a phone is long in loading.
const ON_A_PAGE: RangeInclusive<u32> = 4..=200;

pub(super) fn check(draft: &Draft<'_>, findings: &mut Findings) {
    let Some(site) = &draft.site else { return };
    if let Some(address) = site.places.text("address")
        && !is_address(&address.text)
    {
        findings.push(site.file.error(
            "site-address",
            address.span.clone(),
            format!("‘{}’ is not the full address of a folder on the web.", address.text),
            "Write it whole, from http:// or https:// to a closing slash: \"https://museum.example/replicas/\".",
        ));
    }
    let tags = site.places.each("languages", "");
    if tags.is_empty() && site.places.has("languages") {
        let what = "The site has no language.";
        findings.push(site.file.error(
            "no-language",
            site.places.at("languages"),
            what,
            "Write at least one, such as [\"en\"].",
        ));
    }
    let mut seen = BTreeSet::new();
    for (_, tag) in tags {
        if let Ok(lang) = Lang::try_from(tag.text.clone())
            && !seen.insert(lang)
        {
            let what = format!("The language ‘{}’ is listed twice.", tag.text);
            findings.push(site.file.error(
                "duplicate-id",
                tag.span.clone(),
                what,
                "Leave one of the two out.",
            ));
        }
    }
    theme(draft, findings);
    objects_on_a_page(draft, findings);
}

fn objects_on_a_page(draft: &Draft<'_>, findings: &mut Findings) {
    let Some(site) = &draft.site else { return };
    let look = site.facts.as_ref().map(|facts| &facts.look);
    let Some(count) = look.and_then(|look| look.objects_on_a_page) else {
        return;
    };
    if !ON_A_PAGE.contains(&count) {
        findings.push(site.file.error(
            "page-length",
            site.places.at("look.objects_on_a_page"),
            format!("{count} objects are not a sensible page."),
            "Write from 4 to 200, or leave it out for 24.",
        ));
    }
}

fn theme(draft: &Draft<'_>, findings: &mut Findings) {
    let Some(site) = &draft.site else { return };
    let Some(theme) = site.places.text("look.theme") else {
        return;
    };
    match steps(&theme.text) {
        Err(why) => findings.push(site.file.error(
            "path-leaves",
            theme.span.clone(),
            format!("The path ‘{}’ {why}.", theme.text),
            "Name a folder inside the content folder, such as \"look\".",
        )),
        Ok(steps) => {
            let mut folder = Some(draft.tree);
            for step in steps {
                folder = folder.and_then(|f| f.folders.get(step));
            }
            if folder.is_none() {
                let what = format!("There is no folder ‘{}’ in the content folder.", theme.text);
                let remedy = "Make the folder, or leave ‘theme’ out to use the built-in look.";
                findings.push(
                    site.file
                        .error("missing-file", theme.span.clone(), what, remedy),
                );
            }
        }
    }
}

/// Whether an address is absolute, http or https, and ends in `/`, without query or fragment.
fn is_address(text: &str) -> bool {
    let Some(rest) = text
        .strip_prefix("https://")
        .or_else(|| text.strip_prefix("http://"))
    else {
        return false;
    };
    let host = rest.split('/').next().unwrap_or_default();
    !host.is_empty()
        && !host.starts_with(['.', ':'])
        && text.ends_with('/')
        && !text.contains(|c: char| c.is_whitespace() || c.is_control() || "?#\\<>\"@".contains(c))
}

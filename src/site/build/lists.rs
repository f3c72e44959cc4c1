//! Pages that list some of many objects, on the web and on a screen in the gallery.

use super::{Press, Site};
use crate::record::Object;
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::lists::{Chosen, Facet, Lists, Value, count};
use crate::site::page::lists::{
    ChoicePage, Entry, FacetShown, Listing, ManyObjects, ObjectsPage, Pager, PagerLink, ValueLink,
};

/// Values of a facet that the home page names.
const COMMON: usize = 8;

/// What the home page has in place of cards.
pub(super) fn many(site: &Site<'_>, lists: &Lists) -> Result<ManyObjects, SiteError> {
    let all: Vec<usize> = (0..site.catalogue.objects.len()).collect();
    let facets = lists.facets().into_iter();
    let facets = facets.map(|facet| shown(site, lists, facet));
    Ok(ManyObjects {
        listing: listing(site, &Page::Home, &all, &Among::All(1))?,
        facets: facets.collect::<Result<_, _>>()?,
        find: site.address(&Page::Home).to(&site.address(&Page::Find)),
    })
}

/// Adds a page of [`Lists::pages`].
pub(super) fn add(press: &Press<'_>, lists: &Lists, page: &Page) -> Result<(), SiteError> {
    let site = press.site;
    match page {
        Page::Choice(facet) => press.add(page, "choice.html", &choice(site, lists, page, *facet)?),
        Page::KioskObjects(_) | Page::KioskChoice | Page::KioskChosen(..) => {
            let heading = heading(site, lists, page)?;
            let shelf = site.shelf(page, &heading, &heading, lists)?;
            press.add(page, "kiosk-all.html", &shelf)
        }
        _ => press.add(page, "objects.html", &objects(site, lists, page)?),
    }
}

/// What a screen in the gallery shows: objects, or values to choose from.
pub(super) fn on_screen(
    site: &Site<'_>,
    lists: &Lists,
    page: &Page,
) -> Result<(Option<Listing>, Vec<ValueLink>), SiteError> {
    if *page == Page::KioskChoice {
        let to = |value: &Value| Page::KioskChosen(value.chosen.clone(), 1);
        let values = in_order(site, lists.values(Facet::Name)).into_iter();
        return Ok((None, values.map(|v| link(site, page, v, &to(v))).collect()));
    }
    if !lists.are_many_on_a_screen() {
        return Ok((None, Vec::new()));
    }
    let (objects, among) = listed(site, lists, page);
    Ok((Some(listing(site, page, &objects, &among)?), Vec::new()))
}

fn objects(site: &Site<'_>, lists: &Lists, page: &Page) -> Result<ObjectsPage, SiteError> {
    let (objects, among) = listed(site, lists, page);
    let listing = listing(site, page, &objects, &among)?;
    let heading = heading(site, lists, page)?;
    let description = match among.number() {
        1 => heading.clone(),
        _ => format!("{heading}. {}", listing.range),
    };
    let mut above = vec![site.section(page, &Page::Home, "all_objects")?];
    if let Page::Chosen(chosen, _) = page {
        let word = format!("find_by_{}", chosen.facet.word());
        above.push(site.section(page, &Page::Choice(chosen.facet), &word)?);
    }
    Ok(ObjectsPage {
        frame: site.frame(page, &heading, &description)?,
        heading,
        above,
        listing,
    })
}

fn choice(
    site: &Site<'_>,
    lists: &Lists,
    page: &Page,
    facet: Facet,
) -> Result<ChoicePage, SiteError> {
    let heading = heading(site, lists, page)?;
    let said = site.words.fill("lists_every", &[("choice", &heading)])?;
    let to = |value: &Value| Page::Chosen(value.chosen.clone(), 1);
    let values = in_order(site, lists.values(facet)).into_iter();
    Ok(ChoicePage {
        frame: site.frame(page, &heading, &said)?,
        heading,
        above: vec![site.section(page, &Page::Home, "all_objects")?],
        values: values.map(|v| link(site, page, v, &to(v))).collect(),
    })
}

/// A facet on the home page.
fn shown(site: &Site<'_>, lists: &Lists, facet: Facet) -> Result<FacetShown, SiteError> {
    let values = lists.values(facet);
    // The commonest ones, and then in the order of their words.
    let mut common: Vec<&Value> = values.iter().collect();
    common.sort_by_key(|value| std::cmp::Reverse(value.objects.len()));
    common.truncate(COMMON);
    let to = |value: &Value| Page::Chosen(value.chosen.clone(), 1);
    let links = in_order(site, common).into_iter();
    let links = links.map(|v| link(site, &Page::Home, v, &to(v)));
    let word = format!("find_by_{}", facet.word());
    Ok(FacetShown {
        whole: site.section(&Page::Home, &Page::Choice(facet), &word)?,
        values: links.collect(),
        all: match values.len() > COMMON {
            true => Some(
                site.words
                    .fill("lists_all", &[("n", &values.len().to_string())])?,
            ),
            false => None,
        },
    })
}

/// Values in the order of their words in the page's language.
fn in_order<'v>(site: &Site<'_>, values: impl IntoIterator<Item = &'v Value>) -> Vec<&'v Value> {
    let mut values: Vec<&Value> = values.into_iter().collect();
    values.sort_by_cached_key(|value| crate::site::lists::order(value.label(site.lang)));
    values
}

fn link(site: &Site<'_>, from: &Page, value: &Value, to: &Page) -> ValueLink {
    ValueLink {
        text: value.label(site.lang).to_owned(),
        count: value.objects.len(),
        href: site.address(from).to(&site.address(to)),
    }
}

/// The list of which a page is part, and which part it is.
enum Among<'p> {
    All(usize),
    Chosen(&'p Chosen, usize),
    AllOnScreen(usize),
    ChosenOnScreen(&'p Chosen, usize),
}

impl Among<'_> {
    fn number(&self) -> usize {
        match self {
            Self::All(n) | Self::AllOnScreen(n) => *n,
            Self::Chosen(_, n) | Self::ChosenOnScreen(_, n) => *n,
        }
    }

    fn on_screen(&self) -> bool {
        matches!(self, Self::AllOnScreen(_) | Self::ChosenOnScreen(..))
    }

    /// Another page of the same list.
    fn at(&self, number: usize) -> Page {
        match self {
            Self::All(_) if number == 1 => Page::Home,
            Self::All(_) => Page::Objects(number),
            Self::Chosen(chosen, _) => Page::Chosen((*chosen).clone(), number),
            Self::AllOnScreen(_) if number == 1 => Page::Kiosk,
            Self::AllOnScreen(_) => Page::KioskObjects(number),
            Self::ChosenOnScreen(chosen, _) => Page::KioskChosen((*chosen).clone(), number),
        }
    }
}

/// All objects of the list of a page, as places in the catalogue.
fn listed<'p>(site: &Site<'_>, lists: &Lists, page: &'p Page) -> (Vec<usize>, Among<'p>) {
    let of = |chosen: &Chosen| value(lists, chosen).map_or_else(Vec::new, |v| v.objects.clone());
    let all = || (0..site.catalogue.objects.len()).collect();
    match page {
        Page::Chosen(chosen, n) => (of(chosen), Among::Chosen(chosen, *n)),
        Page::KioskChosen(chosen, n) => (of(chosen), Among::ChosenOnScreen(chosen, *n)),
        Page::KioskObjects(n) => (all(), Among::AllOnScreen(*n)),
        Page::Kiosk => (all(), Among::AllOnScreen(1)),
        Page::Objects(n) => (all(), Among::All(*n)),
        _ => (all(), Among::All(1)),
    }
}

fn value<'l>(lists: &'l Lists, chosen: &Chosen) -> Option<&'l Value> {
    let mut values = lists.values(chosen.facet).iter();
    values.find(|value| &value.chosen == chosen)
}

/// What stands at the head of a page, and in its title.
fn heading(site: &Site<'_>, lists: &Lists, page: &Page) -> Result<String, SiteError> {
    let choice = |facet: Facet| site.words.get(&format!("find_by_{}", facet.word()));
    let (objects, among) = listed(site, lists, page);
    let range = range(site, objects.len(), &among, "lists_range")?;
    match page {
        Page::Choice(facet) => Ok(choice(*facet)?.to_owned()),
        Page::KioskChoice => Ok(choice(Facet::Name)?.to_owned()),
        Page::Chosen(chosen, n) | Page::KioskChosen(chosen, n) => {
            let value = value(lists, chosen).map_or("", |value| value.label(site.lang));
            let blanks = [
                ("choice", choice(chosen.facet)?),
                ("value", value),
                ("range", &range),
            ];
            let word = match n {
                1 => "lists_chosen",
                _ => "lists_chosen_range",
            };
            site.words.fill(word, &blanks)
        }
        _ => Ok(range),
    }
}

fn range(
    site: &Site<'_>,
    objects: usize,
    among: &Among<'_>,
    word: &str,
) -> Result<String, SiteError> {
    let on_a_page = on_a_page(site, among);
    let first = (among.number() - 1) * on_a_page + 1;
    let last = objects.min(first + on_a_page - 1);
    let numbers = [first, last, objects].map(|n| n.to_string());
    let [first, last, all] = &numbers;
    let blanks = [("first", &**first), ("last", &**last), ("n", &**all)];
    site.words.fill(word, &blanks)
}

fn on_a_page(site: &Site<'_>, among: &Among<'_>) -> usize {
    match among.on_screen() {
        true => site.catalogue.site.kiosk.objects(),
        false => site.catalogue.site.look.objects(),
    }
}

fn listing(
    site: &Site<'_>,
    page: &Page,
    objects: &[usize],
    among: &Among<'_>,
) -> Result<Listing, SiteError> {
    let on_a_page = on_a_page(site, among);
    let shown = objects.iter().skip((among.number() - 1) * on_a_page);
    let shown = shown.take(on_a_page);
    let shown = shown.filter_map(|place| site.catalogue.objects.get(*place));
    let entries = shown.map(|object| entry(site, object, page, among.on_screen()));
    let pages = count(objects.len(), on_a_page);
    // A heading that says the range need not say it twice.
    let word = match pages > 1 && among.number() == 1 {
        true => "lists_range_of",
        false => "lists_in_all",
    };
    Ok(Listing {
        range: range(site, objects.len(), among, word)?,
        entries: entries.collect::<Result<_, _>>()?,
        pager: match pages {
            1 => None,
            _ => Some(pager(site, page, among, pages)?),
        },
    })
}

fn entry(
    site: &Site<'_>,
    object: &Object,
    page: &Page,
    on_screen: bool,
) -> Result<Entry, SiteError> {
    let here = site.address(page);
    let plate = site.pictures.shown.get(&object.id);
    let plate = plate.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{}’", object.id)))?;
    let mut head = site.object_head(object, page)?;
    if on_screen {
        let there = Page::KioskObject(object.id.clone());
        head.href = here.to(&site.address(&there));
    }
    Ok(Entry {
        object: head,
        picture: plate.files.seen_from(&here, String::new()),
    })
}

fn pager(
    site: &Site<'_>,
    page: &Page,
    among: &Among<'_>,
    pages: usize,
) -> Result<Pager, SiteError> {
    let here = site.address(page);
    let current = among.number();
    let to = |number: usize| here.to(&site.address(&among.at(number)));
    let mut links: Vec<PagerLink> = Vec::new();
    let mut before = 0;
    for number in numbers(current, pages) {
        links.push(PagerLink {
            number,
            label: site
                .words
                .fill("lists_page", &[("n", &number.to_string())])?,
            href: to(number),
            current: number == current,
            after_gap: number > before + 1,
        });
        before = number;
    }
    Ok(Pager {
        previous: (current > 1).then(|| to(current - 1)),
        next: (current < pages).then(|| to(current + 1)),
        pages: links,
    })
}

/// First, last, the current page and those beside it; a gap of one page is no gap.
fn numbers(current: usize, pages: usize) -> Vec<usize> {
    let named = |n: usize| n == 1 || n == pages || n.abs_diff(current) <= 1;
    let alone = |n: usize| n > 1 && n < pages && named(n - 1) && named(n + 1);
    (1..=pages).filter(|n| named(*n) || alone(*n)).collect()
}

#[cfg(test)]
mod tests {
    use super::numbers;

    #[test]
    fn a_gap_leaves_out_two_pages_or_more() {
        assert_eq!(numbers(1, 2), [1, 2]);
        assert_eq!(numbers(1, 84), [1, 2, 84]);
        assert_eq!(numbers(4, 84), [1, 2, 3, 4, 5, 84]);
        assert_eq!(numbers(40, 84), [1, 39, 40, 41, 84]);
        assert_eq!(numbers(84, 84), [1, 83, 84]);
        assert_eq!(numbers(3, 5), [1, 2, 3, 4, 5]);
    }
}

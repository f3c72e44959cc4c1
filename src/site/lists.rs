//! On how many pages objects are listed, and by what they may be chosen.
//!
//! Takes the catalogue; promises addresses that hold as long as they can: those of a value come from its
//! own words and from no number, and those of further pages only from how many come before.

use super::address::Page;
use crate::find::fold;
use crate::record::{Catalogue, Lang, Localised, Object, ObjectId};
use std::collections::{BTreeMap, BTreeSet};

/// Hexadecimal digits that tell apart values whose words give the same address.
const MARK_DIGITS: usize = 6;
/// Characters of words too long for an address that stand before those digits, hyphens aside.
const LONGEST_BEFORE_MARK: usize = 40;

/// By what objects may be chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Facet {
    /// What they are.
    Name,
    /// Of what the original is.
    Material,
    /// Where it was made.
    Place,
    /// In which century.
    Date,
}

impl Facet {
    /// All, as they are shown.
    pub(crate) const ALL: [Self; 4] = [Self::Name, Self::Material, Self::Place, Self::Date];

    /// Its name in addresses and interface words.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Material => "material",
            Self::Place => "place",
            Self::Date => "date",
        }
    }
}

/// A value in the addresses of its pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Chosen {
    pub(crate) facet: Facet,
    /// By language; the first language's stands under every other too.
    slugs: BTreeMap<Lang, String>,
    otherwise: String,
}

impl Chosen {
    /// Its name in addresses of this language.
    pub(crate) fn slug(&self, lang: &Lang) -> &str {
        self.slugs.get(lang).unwrap_or(&self.otherwise)
    }
}

/// A value, such as one material, and its objects.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Value {
    pub(crate) chosen: Chosen,
    /// Its words in every language.
    labels: BTreeMap<Lang, String>,
    /// Its words in the first language, by which it is told from others.
    key: String,
    /// Places in the catalogue, in order.
    pub(crate) objects: Vec<usize>,
}

impl Value {
    /// Its words in this language.
    pub(crate) fn label(&self, lang: &Lang) -> &str {
        self.labels.get(lang).unwrap_or(&self.key)
    }
}

/// All lists of a catalogue.
#[derive(Debug)]
pub(crate) struct Lists {
    /// Objects that there are, and that one page, and one screen, lists.
    objects: usize,
    on_a_page: usize,
    on_a_screen: usize,
    /// Every facet with its values in the order of their words in the first language.
    values: BTreeMap<Facet, Vec<Value>>,
}

impl Lists {
    pub(crate) fn of(catalogue: &Catalogue) -> Self {
        let languages = &catalogue.site.languages;
        let mut values = BTreeMap::new();
        if let Some(first) = languages.first() {
            let mut groups: BTreeMap<Facet, BTreeMap<String, Group>> = BTreeMap::new();
            for (place, object) in catalogue.objects.iter().enumerate() {
                for (facet, said) in said(object) {
                    let Some(key) = said.in_language(first) else {
                        continue;
                    };
                    let group = groups.entry(facet).or_default().entry(key).or_default();
                    // A text that stands twice in a record still is one object's.
                    if group.objects.last() != Some(&place) {
                        group.objects.push(place);
                    }
                    for lang in languages {
                        if let Some(label) = said.in_language(lang) {
                            let labels = group.labels.entry(lang.clone()).or_default();
                            *labels.entry(label).or_default() += 1;
                        }
                    }
                }
            }
            for (facet, groups) in groups {
                values.insert(facet, named(facet, groups, languages));
            }
        }
        Self {
            objects: catalogue.objects.len(),
            on_a_page: catalogue.site.look.objects(),
            on_a_screen: catalogue.site.kiosk.objects(),
            values,
        }
    }

    /// The values of a facet.
    pub(crate) fn values(&self, facet: Facet) -> &[Value] {
        self.values.get(&facet).map_or(&[], Vec::as_slice)
    }

    /// Whether there are more objects than one page lists: then there are more pages, and choices.
    pub(crate) fn are_many(&self) -> bool {
        self.objects > self.on_a_page
    }

    /// The same of a screen in the gallery.
    pub(crate) fn are_many_on_a_screen(&self) -> bool {
        self.objects > self.on_a_screen
    }

    /// Facets that have pages: a choice of one value is none.
    pub(crate) fn facets(&self) -> Vec<Facet> {
        let facets = Facet::ALL.into_iter();
        facets
            .filter(|facet| self.are_many() && self.values(*facet).len() > 1)
            .collect()
    }

    /// Whether a screen in the gallery lets choose what things are.
    pub(crate) fn chosen_on_a_screen(&self) -> bool {
        self.are_many_on_a_screen() && self.values(Facet::Name).len() > 1
    }

    /// All pages that list objects but the first ones.
    pub(crate) fn pages(&self) -> Vec<Page> {
        let mut all: Vec<Page> = further(self.objects, self.on_a_page)
            .map(Page::Objects)
            .collect();
        for facet in self.facets() {
            all.push(Page::Choice(facet));
            for value in self.values(facet) {
                let pages = 1..=count(value.objects.len(), self.on_a_page);
                all.extend(pages.map(|n| Page::Chosen(value.chosen.clone(), n)));
            }
        }
        all.extend(further(self.objects, self.on_a_screen).map(Page::KioskObjects));
        if self.chosen_on_a_screen() {
            all.push(Page::KioskChoice);
            for value in self.values(Facet::Name) {
                let pages = 1..=count(value.objects.len(), self.on_a_screen);
                all.extend(pages.map(|n| Page::KioskChosen(value.chosen.clone(), n)));
            }
        }
        all
    }

    /// The screen on which an object stands among all.
    pub(crate) fn screen_of(&self, catalogue: &Catalogue, id: &ObjectId) -> Page {
        let place = catalogue.objects.iter().position(|o| &o.id == id);
        self.screen_at(place.unwrap_or_default())
    }

    /// The same of the object at this place among all, from 0.
    pub(crate) fn screen_at(&self, place: usize) -> Page {
        match place / self.on_a_screen {
            0 => Page::Kiosk,
            before => Page::KioskObjects(before + 1),
        }
    }
}

/// How many pages so many objects fill: one, if there are none.
pub(crate) fn count(objects: usize, on_a_page: usize) -> usize {
    objects.div_ceil(on_a_page).max(1)
}

fn further(objects: usize, on_a_page: usize) -> std::ops::RangeInclusive<usize> {
    2..=count(objects, on_a_page)
}

#[derive(Default)]
struct Group {
    objects: Vec<usize>,
    /// How often each was written.
    labels: BTreeMap<Lang, BTreeMap<String, usize>>,
}

/// What a record says of one facet.
enum SaidValue<'a> {
    Text(&'a Localised),
    /// The same in all languages.
    Years(String),
}

impl SaidValue<'_> {
    fn in_language(&self, lang: &Lang) -> Option<String> {
        match self {
            Self::Text(text) => text.get(lang).map(str::to_owned),
            Self::Years(years) => Some(years.clone()),
        }
    }
}

fn said(object: &Object) -> Vec<(Facet, SaidValue<'_>)> {
    let record = &object.record;
    let own = &record.identification;
    let mut all = vec![(Facet::Name, SaidValue::Text(&own.name))];
    all.extend(own.place.iter().map(|p| (Facet::Place, SaidValue::Text(p))));
    let century = own.date.0.values().find_map(|text| century(text));
    all.extend(century.map(|years| (Facet::Date, SaidValue::Years(years))));
    let materials = record.bodies.original.parts.iter();
    let materials = materials.filter_map(|part| record.materials.get(&part.material));
    all.extend(materials.map(|m| (Facet::Material, SaidValue::Text(&m.name))));
    all
}

/// Gives every value its words and its addresses.
fn named(facet: Facet, groups: BTreeMap<String, Group>, languages: &[Lang]) -> Vec<Value> {
    let mut values: Vec<Value> = Vec::new();
    for (key, group) in groups {
        // Where records do not agree on a translation, the usual one.
        let usual = |labels: BTreeMap<String, usize>| {
            let all = labels.into_iter().rev();
            all.max_by_key(|(_, times)| *times).map(|(label, _)| label)
        };
        let labels = group.labels.into_iter();
        let labels = labels.filter_map(|(lang, all)| Some((lang, usual(all)?)));
        values.push(Value {
            chosen: Chosen {
                facet,
                slugs: BTreeMap::new(),
                otherwise: String::new(),
            },
            labels: labels.collect(),
            key,
            objects: group.objects,
        });
    }
    for (at, lang) in languages.iter().enumerate() {
        let mut taken = BTreeSet::new();
        // Those that an address says in full come first, so that no other takes it from them.
        let mut order: Vec<usize> = (0..values.len()).collect();
        order.sort_by_key(|&i| {
            let label = values[i].label(lang);
            let full = slug(label).is_ok_and(|s| s == label.to_lowercase().replace(' ', "-"));
            (!full, i)
        });
        for i in order {
            let value = &values[i];
            let mark = blake3::hash(value.key.as_bytes()).to_hex();
            let plain = slug(value.label(lang));
            let slug = match &plain {
                Ok(plain) if !taken.contains(plain) => plain.clone(),
                Ok(left) | Err(left) => {
                    let marked = |digits: usize| match left.as_str() {
                        "" => mark[..digits].to_owned(),
                        left => format!("{left}-{}", &mark[..digits]),
                    };
                    // Longer only where two marks begin alike.
                    let free = (MARK_DIGITS..=mark.len()).map(marked);
                    free.clone()
                        .find(|slug| !taken.contains(slug))
                        .unwrap_or_else(|| marked(mark.len()))
                }
            };
            taken.insert(slug.clone());
            let chosen = &mut values[i].chosen;
            if at == 0 {
                chosen.otherwise.clone_from(&slug);
            }
            chosen.slugs.insert(lang.clone(), slug);
        }
    }
    values.sort_by_cached_key(|value| order(&value.key));
    values
}

/// Words as a piece of an address, under the rules of ids; or else what of them may be one with a mark.
fn slug(label: &str) -> Result<String, String> {
    let folded = fold(label);
    let pieces = folded.split(|c: char| !c.is_ascii_alphanumeric());
    let pieces: Vec<&str> = pieces.filter(|piece| !piece.is_empty()).collect();
    let slug = pieces.join("-");
    if slug.parse::<ObjectId>().is_ok() {
        return Ok(slug);
    }
    let mut left = String::new();
    for piece in pieces {
        if left.len() + piece.len() > LONGEST_BEFORE_MARK {
            break;
        }
        if !left.is_empty() {
            left.push('-');
        }
        left.push_str(piece);
    }
    Err(left)
}

/// Where a value stands among others: by the number with which it begins, then by its words.
pub(crate) fn order(label: &str) -> (u64, String) {
    let digits = label.find(|c: char| !c.is_ascii_digit());
    let number = label[..digits.unwrap_or(label.len())].parse();
    (number.unwrap_or(u64::MAX), fold(label))
}

/// No date of a museum's object is written with a later year than this.
const LAST_YEAR: u32 = 2099;
/// Words beside which a number is no year of our reckoning, in languages of museums that we know.
const NO_YEAR: [&str; 12] = [
    "bc",
    "bce",
    "bp",
    "ah",
    "cc",
    "ccc",
    "years",
    "year",
    "oed",
    "blwydd",
    "flynyddoedd",
    "jahre",
];

/// "1600–1699" of a date in which 1647 is written: the first number of three or four digits that can be a
/// year. Of a date that may be of another reckoning nothing is said: better none than a false one.
fn century(date: &str) -> Option<String> {
    let plain = fold(date).replace('.', "");
    let mut words = plain.split(|c: char| !c.is_alphanumeric());
    if words.any(|word| NO_YEAR.contains(&word)) {
        return None;
    }
    // "12,000" is one number, and no year.
    let numbers = date.split(|c: char| !c.is_ascii_digit() && ![',', '.', '\u{a0}'].contains(&c));
    let year: u32 = numbers
        .map(|n| n.trim_matches([',', '.', '\u{a0}']))
        .filter(|n| (3..=4).contains(&n.len()))
        .find_map(|n| n.parse().ok().filter(|year| *year <= LAST_YEAR))?;
    let first = year / 100 * 100;
    Some(format!("{first}–{}", first + 99))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_in_words_has_its_century() {
        assert_eq!(
            century("1647, cast in its lettering").as_deref(),
            Some("1600–1699")
        );
        assert_eq!(century("about 850").as_deref(), Some("800–899"));
        assert_eq!(century("cast in 1647.").as_deref(), Some("1600–1699"));
        assert_eq!(century("14th century"), None);
        for other in [
            "320 BC",
            "about 320 b.c.",
            "320 CC",
            "12,000 years old",
            "5000 years old",
            "mark 5000",
            "1.200 pieces",
        ] {
            assert_eq!(century(other), None, "{other}");
        }
        assert_eq!(century("undated"), None);
    }

    #[test]
    fn centuries_stand_in_their_order() {
        let mut all = ["1600–1699", "800–899", "undated", "1000–1099"];
        all.sort_by_key(|label| order(label));
        assert_eq!(all, ["800–899", "1000–1099", "1600–1699", "undated"]);
    }

    fn slugs(keys: &[&str]) -> Vec<String> {
        let groups = keys.iter().map(|key| {
            let mut group = Group::default();
            let lang: Lang = "en".parse().unwrap();
            group
                .labels
                .insert(lang, [((*key).to_owned(), 1)].into_iter().collect());
            ((*key).to_owned(), group)
        });
        let en: Lang = "en".parse().unwrap();
        let values = named(Facet::Material, groups.collect(), std::slice::from_ref(&en));
        let of = |key: &&str| {
            let value = values.iter().find(|v| v.key == **key).unwrap();
            value.chosen.slug(&en).to_owned()
        };
        keys.iter().map(of).collect()
    }

    #[test]
    fn addresses_come_from_words_and_are_told_apart() {
        assert_eq!(slugs(&["Bell metal"]), ["bell-metal"]);
        assert_eq!(slugs(&["Pres wedi’i fwrw, tŵr"]), ["pres-wedi-i-fwrw-twr"]);
        assert_eq!(slugs(&["1600–1699"]), ["1600-1699"]);
        // The one that says it in full keeps it, whatever comes beside.
        let both = slugs(&["Bell (metal)", "bell metal"]);
        assert_eq!(both[1], "bell-metal");
        assert!(both[0].starts_with("bell-metal-"), "{both:?}");
        // What no id may be (a name that Windows reserves; letters that no address bar agrees on).
        let odd = slugs(&["Con", "χαλκός", "?"]);
        assert!(odd[0].starts_with("con-"), "{odd:?}");
        assert!(odd[1..].iter().all(|s| s.len() == MARK_DIGITS), "{odd:?}");
        assert_ne!(odd[1], odd[2]);
        let long = &slugs(&["copper and tin ".repeat(9).trim()])[0];
        assert!(
            long.starts_with("copper-and-tin-") && long.len() <= 64,
            "{long}"
        );
    }

    #[test]
    fn pages_are_as_many_as_are_filled() {
        for (objects, pages) in [
            (0, 1),
            (1, 1),
            (24, 1),
            (25, 2),
            (48, 2),
            (49, 3),
            (2000, 84),
        ] {
            assert_eq!(count(objects, 24), pages, "{objects}");
        }
    }
}

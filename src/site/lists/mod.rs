//! On how many pages objects are listed, and by what they may be chosen.
//!
//! Takes the catalogue; promises addresses that hold as long as they can: those of a value come from its
//! own words and from no number, and those of further pages only from how many come before.

mod century;
mod named;

pub(crate) use named::order;

use super::address::Page;
use crate::record::{Catalogue, Lang, Localised, Object, ObjectId};
use century::century;
use named::named;
use std::collections::BTreeMap;

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

#[cfg(test)]
mod tests {
    use super::count;

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

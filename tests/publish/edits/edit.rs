//! Edits by chance, and what each asks to be made.

use super::collection::{Collection, NAMES, PLACES, WORDS, thing};
use super::meddle::meddle;
use crate::dice::Dice;
use crate::tree::Place;
use std::collections::{BTreeMap, BTreeSet};

/// A number below `most`.
pub(super) fn below(dice: &mut Dice, most: usize) -> usize {
    let part = (dice.next() + 1.0) / 2.0;
    ((part * most as f64) as usize).min(most - 1)
}

pub(super) fn one<'a, T>(dice: &mut Dice, all: &'a [T]) -> &'a T {
    &all[below(dice, all.len())]
}

/// What an edit asks to be made, beside what follows from the files.
#[derive(Default)]
pub(super) struct Also {
    pub(super) objects: BTreeSet<String>,
    pub(super) all: bool,
}

impl Collection {
    pub(super) fn edit(&mut self, dice: &mut Dice, place: &Place) -> (String, Also) {
        let ids: Vec<String> = self.things.keys().cloned().collect();
        let id = one(dice, &ids).clone();
        let mut also = Also::default();
        let kind = below(dice, 24);
        let day = self.day;
        let screens = |all: &Self| -> BTreeMap<String, usize> {
            let places = all.things.keys().enumerate();
            places
                .map(|(n, id)| (id.clone(), n / all.on_a_screen as usize))
                .collect()
        };
        let before = screens(self);
        let first = ids[0].clone();
        let told = {
            let own = self.things.get_mut(&id).unwrap();
            match kind {
                0..=2 => {
                    own.words.push((*one(dice, &WORDS)).to_owned());
                    own.words.drain(..own.words.len().saturating_sub(3));
                    "a word"
                }
                3 => {
                    own.title.push('’');
                    "a title"
                }
                4 | 5 => {
                    let words = one(dice, &WORDS);
                    own.details
                        .insert("dent".to_owned(), format!("Here. {words}"));
                    "a word of a detail"
                }
                6 => {
                    own.number.push('a');
                    "a number"
                }
                7 => {
                    own.name = NAMES[below(dice, 3)];
                    own.place = PLACES[below(dice, 3)];
                    own.date += 60;
                    "what it is, where and when"
                }
                8 => {
                    own.grey = own.grey.wrapping_add(13);
                    "a photograph"
                }
                9 => {
                    own.height_mm += 1.0;
                    "a model"
                }
                10 => {
                    own.until = if own.until.is_some() {
                        None
                    } else {
                        Some(1 + below(dice, 9) as u32)
                    };
                    "an agreement"
                }
                11 => {
                    own.dated = 1 + below(dice, 9) as u32;
                    "a date"
                }
                12 => {
                    match own.details.remove("nick") {
                        Some(_) => {}
                        None => drop(own.details.insert("nick".to_owned(), "A nick.".to_owned())),
                    }
                    "a detail more or less"
                }
                13 => {
                    own.finest = !own.finest;
                    "how fine its model may be"
                }
                14 => {
                    let new = format!("thing-{}", self.ever);
                    self.things.insert(new, thing(self.ever));
                    self.ever += 1;
                    "a new object"
                }
                15 if self.things.len() > 3 && id != first => {
                    self.things.remove(&id);
                    "an object less"
                }
                16 if id != first => {
                    let mut thing = self.things.remove(&id).unwrap();
                    thing.formerly.push(id.clone());
                    self.things.insert(format!("thing-{}", self.ever), thing);
                    self.ever += 1;
                    "another name of a folder"
                }
                17 => {
                    self.day = 1 + below(dice, 9) as u32;
                    // An agreement ends, or a date comes; the model of this test knows no more.
                    for (id, thing) in &self.things {
                        let shown = |day: u32| thing.until.is_none_or(|until| day <= until);
                        let told = |day: u32| thing.dated <= day;
                        if shown(day) != shown(self.day) || told(day) != told(self.day) {
                            also.objects.insert(id.clone());
                        }
                    }
                    "another day"
                }
                18 => {
                    self.name.push('’');
                    "the name of the site"
                }
                19 => {
                    self.on_a_screen = 2 + below(dice, 4) as u32;
                    self.on_a_page = 4 + below(dice, 3) as u32;
                    "how many are shown at once"
                }
                20 => {
                    self.colour = if self.colour.is_some() {
                        None
                    } else {
                        Some(below(dice, 200) as u8)
                    };
                    "the theme"
                }
                21 => {
                    let words = one(dice, &WORDS);
                    let term = if dice.next() > 0.0 { "lead" } else { "cord" };
                    self.terms.insert(term.to_owned(), (*words).to_owned());
                    "a term"
                }
                22 => {
                    let (told, all) = meddle(dice, place);
                    also.all = all;
                    told
                }
                _ => "nothing",
            }
        };
        let after = screens(self);
        for (id, screen) in &after {
            if before.get(id) != Some(screen) {
                also.objects.insert(id.clone());
            }
        }
        (told.to_owned(), also)
    }
}

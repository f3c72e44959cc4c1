//! Many edits by chance: what is published over the earlier site is, byte for byte, what a clean publication
//! gives, and nothing is made that does not depend on the edit.

use crate::dice::Dice;
use crate::tree::{Place, block_glb, files};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// Files of the content folder.
type Rendered = BTreeMap<String, Vec<u8>>;

/// What the records say of one object.
#[derive(Clone)]
struct Thing {
    number: String,
    title: String,
    name: &'static str,
    date: u32,
    place: &'static str,
    words: Vec<String>,
    details: BTreeMap<String, String>,
    height_mm: f32,
    grey: u8,
    formerly: Vec<String>,
    /// The last day on which its photograph may be shown.
    until: Option<u32>,
    /// The day in March on which it was described.
    dated: u32,
    finest: bool,
}

/// Everything that is published.
#[derive(Clone)]
struct Collection {
    things: BTreeMap<String, Thing>,
    name: String,
    on_a_page: u32,
    on_a_screen: u32,
    colour: Option<u8>,
    terms: BTreeMap<String, String>,
    /// The day in March for which rights are judged.
    day: u32,
    ever: u32,
}

const NAMES: [&str; 3] = ["Weight", "Whorl", "Sinker"];
const PLACES: [&str; 3] = ["Brackwater", "Long Slip", "The Weir"];
const WORDS: [&str; 6] = [
    "It is worn.",
    "Nobody knows why.",
    "A cord left its groove.",
    "It was found late.",
    "The list calls it dull.",
    "It fell once.",
];

fn thing(number: u32) -> Thing {
    Thing {
        number: format!("BRKMU:{number}"),
        title: format!("Thing {number}"),
        name: NAMES[number as usize % 3],
        date: 1700 + number * 7,
        place: PLACES[number as usize % 3],
        words: vec!["It is here.".to_owned()],
        details: BTreeMap::from([("dent".to_owned(), "Someone let it fall.".to_owned())]),
        height_mm: 30.0,
        grey: 90,
        formerly: Vec::new(),
        until: None,
        dated: 1,
        finest: false,
    }
}

fn both(text: &str) -> String {
    format!("{{ en = \"{text}\", cy = \"{text} (cy)\" }}")
}

impl Collection {
    fn new() -> Self {
        let things = (0..5).map(|n| (format!("thing-{n}"), thing(n)));
        Self {
            things: things.collect(),
            name: "Counterparts".to_owned(),
            on_a_page: 4,
            on_a_screen: 3,
            colour: None,
            terms: BTreeMap::from([("lead".to_owned(), "A soft metal.".to_owned())]),
            day: 4,
            ever: 5,
        }
    }

    fn rendered(&self) -> Rendered {
        let mut all = Rendered::new();
        let mut site = format!(
            "format = 1\npublisher = \"Brackwater Museum\"\naddress = \"https://brackwater.example/\"\nlanguages = [\"en\", \"cy\"]\nname = {}\nintroduction = {}\n\n[kiosk]\nobjects_on_a_screen = {}\n\n[look]\nobjects_on_a_page = {}\n",
            both(&self.name),
            both("Replicas and what they tell."),
            self.on_a_screen,
            self.on_a_page
        );
        if let Some(colour) = self.colour {
            site += "theme = \"look\"\n";
            let style = format!("main{{outline-color:rgb({colour},0,0)}}\n");
            all.insert("look/styles/99-own.css".to_owned(), style.into_bytes());
        }
        all.insert("site.toml".to_owned(), site.into_bytes());
        for (id, words) in &self.terms {
            for lang in ["en", "cy"] {
                let note = format!("# {id} {lang}\n\n{words}\n");
                all.insert(format!("terms/{id}/{lang}.md"), note.into_bytes());
            }
        }
        let first = self.things.keys().next().cloned().unwrap_or_default();
        for (id, thing) in &self.things {
            thing.render(id, &first, &mut all);
        }
        all
    }
}

impl Thing {
    fn render(&self, id: &str, first: &str, all: &mut Rendered) {
        let until = self.until.map(|day| format!("until = 2026-03-{day:02}\n"));
        let formerly = format!("{:?}", self.formerly);
        let rights = "statement = \"https://creativecommons.org/licenses/by/4.0/\"\nholder = \"Brackwater Museum\"\n";
        let finest = if self.finest {
            "finest_mm = 0.0001\n"
        } else {
            ""
        };
        let record = format!(
            "format = 1\nwords_rights = \"own\"\nformerly = {formerly}\nlabel = {}\n\n\
             [identification]\nnumber = \"{}\"\nname = {}\ndate = {}\nplace = {}\nkeeper = {}\nevidence = {{ ground = \"observed\", date = 2026-03-{:02} }}\n\n\
             [bodies.original]\nlocation = {}\nfinish = {}\n\
             parts = [{{ id = \"box\", name = {}, model = \"models/box.glb\", unit = \"m\", material = \"lead\", rights = \"scan\", solid = true }}]\n\n\
             [materials.lead]\nname = {}\ndensity_g_per_cm3 = [11.3, 11.4]\nevidence = {{ ground = \"conjectured\" }}\n\n\
             [[rights]]\nid = \"own\"\n{rights}permits = [\"display\", \"print\"]\n\n\
             [[rights]]\nid = \"scan\"\n{rights}{finest}permits = [\"display\", \"print\", \"download\"]\n\n\
             [[rights]]\nid = \"lender\"\n{rights}otherwise = \"leave-out\"\n{}permits = [\"display\", \"print\"]\n\n\
             [[photographs]]\nfile = \"seen.png\"\nrights = \"lender\"\nalt = {}\n",
            both("A small thing from the store."),
            self.number,
            both(self.name),
            both(&self.date.to_string()),
            both(self.place),
            both("Brackwater Museum"),
            self.dated,
            both("in the store"),
            both("bare"),
            both("Box"),
            both("lead"),
            until.unwrap_or_default(),
            both("A grey field, without anything in it")
        );
        all.insert(format!("{id}/record.toml"), record.into_bytes());
        for lang in ["en", "cy"] {
            let mut note = format!(
                "# {} {lang}\n\nMade of [lead](term:lead), beside [the first](object:{first}). {}\n",
                self.title,
                self.words.join(" ")
            );
            note += "\n![Seen from above](seen.png)\n";
            all.insert(format!("{id}/{lang}.md"), note.into_bytes());
        }
        let grey = image::RgbImage::from_pixel(40, 30, image::Rgb([self.grey; 3]));
        let mut png = std::io::Cursor::new(Vec::new());
        grey.write_to(&mut png, image::ImageFormat::Png).unwrap();
        all.insert(format!("{id}/seen.png"), png.into_inner());
        all.insert(
            format!("{id}/models/box.glb"),
            block_glb(10.0, self.height_mm),
        );
        for (at, (detail, words)) in self.details.iter().enumerate() {
            let folder = format!("{id}/details/{detail}");
            let record = format!(
                "format = 1\nkind = \"damage\"\npart = \"box\"\nbearing = {{ original = \"present\" }}\nevidence = {{ ground = \"observed\" }}\n\n\
                 [anchor]\nbody = \"original\"\npoint_mm = [0.0, {}.0, 5.0]\nradius_mm = 2.0\n",
                5 + 5 * at
            );
            all.insert(format!("{folder}/record.toml"), record.into_bytes());
            for lang in ["en", "cy"] {
                let note = format!("# A {detail} {lang}\n\n{words}\n");
                all.insert(format!("{folder}/{lang}.md"), note.into_bytes());
            }
        }
    }
}

/// A number below `most`.
fn below(dice: &mut Dice, most: usize) -> usize {
    let part = (dice.next() + 1.0) / 2.0;
    ((part * most as f64) as usize).min(most - 1)
}

fn one<'a, T>(dice: &mut Dice, all: &'a [T]) -> &'a T {
    &all[below(dice, all.len())]
}

/// What an edit asks to be made, beside what follows from the files.
#[derive(Default)]
struct Also {
    objects: BTreeSet<String>,
    all: bool,
}

impl Collection {
    fn edit(&mut self, dice: &mut Dice, place: &Place) -> (String, Also) {
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
                    also.all = true;
                    meddle(dice, place)
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

/// Does to the site what nobody should.
fn meddle(dice: &mut Dice, place: &Place) -> &'static str {
    let pick = |dice: &mut Dice, folder: &str| {
        let all = files(&place.path(folder));
        let (name, _) = one(dice, &all);
        place.path(folder).join(name)
    };
    match below(dice, 5) {
        0 => {
            fs::remove_file(pick(dice, "display")).unwrap();
            "a file of the site is gone"
        }
        1 => {
            let file = pick(dice, "display/assets");
            let mut bytes = fs::read(&file).unwrap();
            bytes.push(b' ');
            fs::write(file, bytes).unwrap();
            "a file of the site was changed"
        }
        2 => {
            fs::write(place.path("display/thing-0/own.txt"), "mine").unwrap();
            "a file was added to the site"
        }
        3 => {
            let ledger = place.path(".display.counterpart/ledger");
            let mut bytes = fs::read(&ledger).unwrap();
            let middle = bytes.len() / 2;
            bytes[middle] ^= 1;
            fs::write(ledger, bytes).unwrap();
            "the ledger was damaged"
        }
        _ => {
            fs::remove_file(pick(dice, ".display.counterpart/next/assets")).unwrap();
            "a file of the second tree is gone"
        }
    }
}

/// Publishes; gives the report and the objects that were made, or `None` when everything was.
fn publish(
    place: &Place,
    collection: &Collection,
    args: &[&str],
) -> (Value, Option<BTreeSet<String>>) {
    let day = format!("2026-03-{:02}", collection.day);
    let all = [&["publish", "--json", "--explain", "--on", &day], args].concat();
    let out = place.run(&all);
    let said = String::from_utf8_lossy(&out.stderr);
    let errors: Vec<&str> = said
        .split("\n\n")
        .filter(|s| s.starts_with("error"))
        .collect();
    assert!(out.status.success(), "{errors:#?}");
    let report: Value = serde_json::from_slice(&out.stdout).unwrap();
    let explained = &report["explained"];
    let made = explained["all"].is_null().then(|| {
        let objects = explained["objects"].as_array().unwrap().iter();
        objects.map(|o| o[0].as_str().unwrap().to_owned()).collect()
    });
    (report, made)
}

fn walk(seed: u64, edits: usize) {
    let place = Place::in_memory();
    fs::remove_dir_all(place.path("content")).unwrap();
    let mut dice = Dice(seed);
    let mut collection = Collection::new();
    let mut before = Rendered::new();
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    let mut made_all = 0;
    for number in 0..=edits {
        let (told, also) = match number {
            0 => ("the first".to_owned(), Also::default()),
            _ => collection.edit(&mut dice, &place),
        };
        let after = collection.rendered();
        let mut changed = BTreeSet::new();
        for (name, bytes) in &after {
            if before.get(name) != Some(bytes) {
                let path = place.path("content").join(name);
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, bytes).unwrap();
                changed.insert(name.clone());
            }
        }
        for name in before.keys().filter(|name| !after.contains_key(*name)) {
            let path = place.path("content").join(name);
            fs::remove_file(&path).unwrap();
            // A folder without files is no object.
            let folders = path.ancestors().skip(1);
            for _ in folders.take_while(|folder| fs::remove_dir(folder).is_ok()) {}
            changed.insert(name.clone());
        }
        let named = format!("{seed}, edit {number}: {told}");
        let (report, made) = publish(&place, &collection, &[]);
        // What depends on the edit, and nothing else.
        let owner = |name: &String| name.split('/').next().unwrap().to_owned();
        let owners: BTreeSet<String> = changed.iter().map(owner).collect();
        let shared = owners.iter().any(|name| !name.starts_with("thing-"));
        if number == 0 || shared || also.all {
            assert_eq!(made, None, "{named}: {report}");
            made_all += 1;
        } else {
            let mut wanted = also.objects;
            wanted.extend(owners);
            wanted.retain(|id| collection.things.contains_key(id));
            assert_eq!(made, Some(wanted), "{named}: {report}");
        }
        if changed.is_empty() && made.as_ref().is_some_and(BTreeSet::is_empty) {
            assert_eq!(report["explained"]["written"], 0, "{named}: {report}");
        }
        // The same, from the ground; sometimes from a store that has nothing.
        for beside in ["clean", ".clean.counterpart", "cold"] {
            let _ = fs::remove_dir_all(place.path(beside));
        }
        let store = if number % 25 == 24 {
            "cold"
        } else {
            ".counterpart"
        };
        publish(&place, &collection, &["--to", "clean", "--store", store]);
        let (over, clean) = (files(&place.path("display")), files(&place.path("clean")));
        for (a, b) in over.iter().zip(&clean) {
            assert!(a == b, "{named}: {} or {} is another", a.0, b.0);
        }
        assert_eq!(over.len(), clean.len(), "{named}");
        place.nothing_half_beside("display");
        *kinds.entry(told).or_default() += 1;
        before = after;
    }
    println!("{edits} edits, {made_all} times everything was made: {kinds:?}");
}

/// EDITS=1000 for more.
fn edits() -> usize {
    std::env::var("EDITS").map_or(200, |n| n.parse().unwrap()) / 2
}

#[test]
fn published_over_the_earlier_site_it_is_the_same_as_from_the_ground() {
    walk(1, edits());
}

#[test]
fn the_same_by_another_chance() {
    walk(2, edits());
}

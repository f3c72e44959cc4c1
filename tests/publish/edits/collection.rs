//! A small collection, and the files that say it.

use crate::tree::block_glb;
use std::collections::BTreeMap;

/// Files of the content folder.
pub(super) type Rendered = BTreeMap<String, Vec<u8>>;

/// What the records say of one object.
#[derive(Clone)]
pub(super) struct Thing {
    pub(super) number: String,
    pub(super) title: String,
    pub(super) name: &'static str,
    pub(super) date: u32,
    pub(super) place: &'static str,
    pub(super) words: Vec<String>,
    pub(super) details: BTreeMap<String, String>,
    pub(super) height_mm: f32,
    pub(super) grey: u8,
    pub(super) formerly: Vec<String>,
    /// The last day on which its photograph may be shown.
    pub(super) until: Option<u32>,
    /// The day in March on which it was described.
    pub(super) dated: u32,
    pub(super) finest: bool,
}

/// Everything that is published.
#[derive(Clone)]
pub(super) struct Collection {
    pub(super) things: BTreeMap<String, Thing>,
    pub(super) name: String,
    pub(super) on_a_page: u32,
    pub(super) on_a_screen: u32,
    pub(super) colour: Option<u8>,
    pub(super) terms: BTreeMap<String, String>,
    /// The day in March for which rights are judged.
    pub(super) day: u32,
    pub(super) ever: u32,
}

pub(super) const NAMES: [&str; 3] = ["Weight", "Whorl", "Sinker"];
pub(super) const PLACES: [&str; 3] = ["Brackwater", "Long Slip", "The Weir"];
pub(super) const WORDS: [&str; 6] = [
    "It is worn.",
    "Nobody knows why.",
    "A cord left its groove.",
    "It was found late.",
    "The list calls it dull.",
    "It fell once.",
];

pub(super) fn thing(number: u32) -> Thing {
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
    pub(super) fn new() -> Self {
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

    pub(super) fn rendered(&self) -> Rendered {
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

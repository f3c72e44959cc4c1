//! Invented things and what is said of them.

const NAMES: [(&str, &str); 8] = [
    ("Trade weight", "Pwysyn masnach"),
    ("Spindle whorl", "Troellen gwerthyd"),
    ("Net sinker", "Suddwr rhwyd"),
    ("Game piece", "Darn gêm"),
    ("Loom weight", "Pwysyn gwŷdd"),
    ("Plumb bob", "Plymen"),
    ("Bell clapper", "Tafod cloch"),
    ("Curtain weight", "Pwysyn llen"),
];
const MATERIALS: [(&str, &str, f64, f64); 7] = [
    ("Lead", "Plwm", 10.5, 11.4),
    ("Bronze", "Efydd", 7.4, 8.9),
    ("Brass", "Pres", 8.4, 8.8),
    ("Iron", "Haearn", 7.0, 7.9),
    ("Slate", "Llechfaen", 2.7, 2.9),
    ("Fired clay", "Clai tân", 1.8, 2.4),
    ("Pewter", "Piwter", 7.2, 7.8),
];
const PLACES: [&str; 12] = [
    "Brackwater",
    "Saltmere",
    "Nether Quay",
    "Tarn Ford",
    "Hollin Reach",
    "Eddystow",
    "Upper Staithe",
    "Marram",
    "Gulls’ Bank",
    "Cold Wharf",
    "Sedgeholm",
    "Long Slip",
];
const KINDS: [(&str, &str, &str); 8] = [
    ("motif", "Ring of dots", "Cylch o ddotiau"),
    ("damage", "Chipped edge", "Ymyl doredig"),
    ("construction", "Casting seam", "Gwrym bwrw"),
    ("repair", "Filled hole", "Twll wedi’i lenwi"),
    ("loss", "Missing loop", "Dolen goll"),
    ("damage", "Groove of a cord", "Rhigol cortyn"),
    ("motif", "Scratched heron", "Crëyr wedi’i grafu"),
    ("construction", "Tool mark", "Ôl erfyn"),
];
const MANNERS: [(&str, &str); 9] = [
    ("worn almost smooth", "wedi’i dreulio’n llyfn bron"),
    ("still sharp to the finger", "yn finiog o hyd i’r bys"),
    (
        "cut twice, the second time deeper",
        "wedi’i dorri ddwywaith, yn ddyfnach yr eildro",
    ),
    ("full of old wax", "yn llawn hen gŵyr"),
    ("polished by long use", "wedi’i gaboli gan hir ddefnydd"),
    (
        "seen only in raking light",
        "i’w weld mewn golau lletraws yn unig",
    ),
    (
        "bright where somebody tested the metal",
        "yn loyw lle profodd rhywun y metel",
    ),
    ("covered by a pale crust", "o dan gramen olau"),
    (
        "made before the surface was finished",
        "wedi’i wneud cyn gorffen yr wyneb",
    ),
];

/// One thing of the store.
pub(crate) struct Thing {
    pub(crate) id: String,
    pub(crate) number: String,
    pub(crate) name: (&'static str, &'static str),
    pub(crate) material: (&'static str, &'static str, f64, f64),
    pub(crate) place: &'static str,
    pub(crate) year: usize,
    serial: usize,
}

/// One place on it.
pub(crate) struct Told {
    pub(crate) id: String,
    pub(crate) kind: &'static str,
    pub(crate) title_en: &'static str,
    pub(crate) title_cy: &'static str,
    pub(crate) en: String,
    pub(crate) cy: String,
}

/// Spreads numbers: the finaliser of a well-known mixing function (Steele, Lea and Flood 2014).
fn mixed(serial: usize, salt: usize) -> usize {
    let mut z = (serial as u64)
        .wrapping_mul(0x9E37_79B9_7F4A_7C15)
        .wrapping_add(salt as u64);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 16) as usize
}

fn pick<T: Copy>(from: &[T], serial: usize, salt: usize) -> T {
    from[mixed(serial, salt) % from.len()]
}

/// The thing with this number.
pub(crate) fn thing(serial: usize) -> Thing {
    Thing {
        id: format!("store-{serial:05}"),
        number: format!("BRKMU:S.{serial}"),
        name: pick(&NAMES, serial, 1),
        material: pick(&MATERIALS, serial, 2),
        place: pick(&PLACES, serial, 3),
        year: 1100 + mixed(serial, 4) % 800,
        serial,
    }
}

impl Thing {
    pub(crate) fn shelf_en(&self) -> String {
        format!(
            "Store, bay {}, drawer {}",
            self.serial / 40 + 1,
            self.serial % 40 + 1
        )
    }

    pub(crate) fn shelf_cy(&self) -> String {
        format!(
            "Storfa, bae {}, drôr {}",
            self.serial / 40 + 1,
            self.serial % 40 + 1
        )
    }

    pub(crate) fn note_en(&self) -> String {
        let (name, material) = (self.name.0.to_lowercase(), self.material.0.to_lowercase());
        format!(
            "# {} {}\n\nThis is the original. The {name} of {material} came from {} and was entered as number {}. \
             It is {}. Nobody knows who made it.\n\n## How it came here\n\nIt was found about the year {} of the list, \
             in drawer {}, beside others of its kind. The list calls it {}.\n",
            self.name.0,
            self.serial,
            self.place,
            self.serial,
            pick(&MANNERS, self.serial, 5).0,
            1900 + mixed(self.serial, 6) % 90,
            self.serial % 40 + 1,
            pick(&MANNERS, self.serial, 7).0
        )
    }

    pub(crate) fn note_cy(&self) -> String {
        format!(
            "# {} {}\n\nDyma’r gwreiddiol. Daeth o {} a’i gofnodi’n rhif {}. Mae {}. Ni ŵyr neb pwy a’i gwnaeth.\n\n\
             ## Sut y daeth yma\n\nFe’i cafwyd tua {} yn ôl y rhestr, yn nrôr {}, ger eraill o’r un math.\n",
            self.name.1,
            self.serial,
            self.place,
            self.serial,
            pick(&MANNERS, self.serial, 5).1,
            1900 + mixed(self.serial, 6) % 90,
            self.serial % 40 + 1
        )
    }

    pub(crate) fn label_en(&self) -> String {
        format!(
            "This is the original, not a copy. It is a {} of {} from {}. We cannot say who made it, or for whom. \
             It lay in a drawer of the store for many years before anybody looked at it closely. \
             A small heron is scratched on one side, and a cord has worn a groove in the other. \
             Please ask a keeper if you would like to hold it: it is small, and easily dropped.",
            self.name.0.to_lowercase(),
            self.material.0.to_lowercase(),
            self.place
        )
    }

    pub(crate) fn label_cy(&self) -> String {
        format!(
            "Y gwreiddiol yw hwn, nid copi. {} o {} ydyw. Ni allwn ddweud pwy a’i gwnaeth, nac i bwy. \
             Bu mewn drôr yn y storfa am flynyddoedd lawer cyn i neb edrych arno’n fanwl. \
             Mae crëyr bach wedi’i grafu ar un ochr, ac mae cortyn wedi treulio rhigol yn y llall. \
             Gofynnwch i geidwad os hoffech ei ddal: mae’n fach, ac yn hawdd ei ollwng o’r llaw.",
            self.name.1, self.place
        )
    }

    pub(crate) fn details(&self) -> Vec<Told> {
        let each = KINDS
            .iter()
            .enumerate()
            .map(|(at, (kind, title_en, title_cy))| {
                let manner = pick(&MANNERS, self.serial, 20 + at);
                let place = pick(&PLACES, self.serial, 40 + at);
                Told {
                    id: title_en.to_lowercase().replace(' ', "-"),
                    kind,
                    title_en,
                    title_cy,
                    en: format!(
                        "It is {}. One like it is known from {place}, number {}.",
                        manner.0,
                        mixed(self.serial, 60 + at) % 900
                    ),
                    cy: format!(
                        "Mae {}. Gwyddys am un tebyg o {place}, rhif {}.",
                        manner.1,
                        mixed(self.serial, 60 + at) % 900
                    ),
                }
            });
        each.collect()
    }
}

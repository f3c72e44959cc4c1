//! Colours of the theme: contrast by the formula of WCAG 2.2, and the three tones of difference as
//! people with a colour-vision deficiency see them.
//!
//! Colours are read from the theme's own files, so that a changed colour is judged.

mod eyes;

use eyes::{ciede2000, lab, seen};
use std::collections::BTreeMap;

type Rgb = [f64; 3];

fn theme(name: &str) -> String {
    let path = format!("{}/themes/plate/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// `#rgb` or `#rrggbb`, each channel 0 to 1.
fn colour(text: &str) -> Rgb {
    let digits = text.trim().trim_start_matches('#');
    let long = match digits.len() {
        3 => digits.chars().flat_map(|c| [c, c]).collect(),
        6 => digits.to_owned(),
        _ => panic!("‘{text}’ is no colour"),
    };
    let channel = |i: usize| u8::from_str_radix(&long[2 * i..2 * i + 2], 16).unwrap();
    [0, 1, 2].map(|i| f64::from(channel(i)) / 255.0)
}

/// Custom properties of the `:root` rule that follows `before` in a stylesheet.
fn properties(style: &str, before: &str) -> BTreeMap<String, Rgb> {
    let from = style.find(before).expect("the rule is there");
    let rest = &style[from..];
    let open = rest.find(":root {").expect("a rule for the root") + ":root {".len();
    let close = rest[open..].find('}').expect("its end") + open;
    rest[open..close]
        .split(';')
        .filter_map(|line| line.trim().strip_prefix("--")?.split_once(':'))
        .filter(|(_, value)| value.trim().starts_with('#'))
        .map(|(name, value)| (name.to_owned(), colour(value)))
        .collect()
}

/// Paper, night plate, and what is printed.
fn schemes() -> Vec<(&'static str, BTreeMap<String, Rgb>)> {
    let screen = theme("styles/00-paper.css");
    let day = properties(&screen, ":root {");
    let with = |over: BTreeMap<String, Rgb>| {
        let mut all = day.clone();
        all.extend(over);
        all
    };
    let night = with(properties(&screen, "prefers-color-scheme: dark"));
    let print = with(properties(
        &theme("styles/40-circumstances.css"),
        "@media print",
    ));
    assert_ne!(day["paper"], night["paper"]);
    assert_eq!(print["paper"], [1.0; 3], "paper is white");
    vec![("day", day), ("night", night), ("print", print)]
}

fn linear(c: f64) -> f64 {
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

fn luminance(colour: Rgb) -> f64 {
    let [r, g, b] = colour.map(linear);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// WCAG 2.2, "contrast ratio".
fn contrast(a: Rgb, b: Rgb) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Values computed from the formula of WCAG 2.2 in double precision.
#[test]
fn the_formula_gives_the_known_values() {
    let white = "#fff";
    for (a, b, expected) in [
        ("#000", white, 21.0),
        ("#767676", white, 4.5422),
        ("#777777", white, 4.4781),
        ("#949494", white, 3.0335),
        ("#959595", white, 2.9953),
        ("#595959", white, 7.0047),
        ("#f00", white, 3.9985),
        ("#00f", white, 8.5925),
        ("#008000", white, 5.1374),
        ("#757575", "#000", 4.5578),
    ] {
        let found = contrast(colour(a), colour(b));
        assert!((found - expected).abs() < 1e-4, "{a} on {b}: {found}");
    }
}

/// Text 4.5, lines and marks that must be seen 3 (WCAG 2.2, 1.4.3 and 1.4.11).
#[test]
fn text_and_lines_stand_out_by_day_by_night_and_on_paper() {
    let mut faults = Vec::new();
    for (scheme, colours) in schemes() {
        for ground in ["paper", "sheet"] {
            let mut asked = |name: &str, least: f64| {
                let found = contrast(colours[name], colours[ground]);
                if found < least {
                    faults.push(format!("{scheme}: {name} on {ground} {found:.2} < {least}"));
                }
            };
            for text in ["ink", "faint", "link"] {
                asked(text, 4.5);
            }
            // Letters and leader lines are ink; frames of drawings and bars are the strong rule.
            asked("ink", 3.0);
            asked("rule-strong", 3.0);
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Leaders have a halo of the sheet's colour, three quarters opaque. Whatever lies beneath, the line
/// keeps its contrast with the halo: each channel of the halo lies between those over black and over
/// white, and so does its luminance. (`tests/browser/plates.test.mjs` looks at the demonstration's.)
#[test]
fn a_leader_stands_out_from_its_halo_over_anything() {
    let style = theme("styles/20-plate.css");
    let rule = style.split(".leaders .halo {").nth(1).expect("the halo");
    let opacity = rule.split("stroke-opacity: ").nth(1).expect("its opacity");
    let opacity: f64 = opacity[..opacity.find(';').unwrap()].parse().unwrap();
    for (scheme, colours) in schemes() {
        for beneath in 0..=255u8 {
            let beneath = f64::from(beneath) / 255.0;
            let halo = colours["sheet"].map(|c| c * opacity + beneath * (1.0 - opacity));
            let found = contrast(colours["ink"], halo);
            assert!(found >= 3.0, "{scheme}, over {beneath}: {found:.2}");
        }
    }
}

/// Ground and ink of a hatch, and the share that the ink covers, as the legend draws them.
struct Hatch {
    name: String,
    wash: Rgb,
    ink: Rgb,
    cover: f64,
    /// How the lines are turned, degrees; none for dots.
    turned: Option<f64>,
}

impl Hatch {
    /// What the eye sees from afar: light of ground and ink mixed.
    fn mixed(&self) -> Rgb {
        let mix =
            |i: usize| linear(self.wash[i]) * (1.0 - self.cover) + linear(self.ink[i]) * self.cover;
        [0, 1, 2].map(|i| gamma(mix(i)))
    }
}

fn gamma(c: f64) -> f64 {
    let c = c.clamp(0.0, 1.0);
    if c <= 0.003_130_8 {
        c * 12.92
    } else {
        1.055 * c.powf(1.0 / 2.4) - 0.055
    }
}

fn hatches() -> Vec<Hatch> {
    let text = theme("templates/hatches.html");
    let of = |part: &str, name: &str, from: usize| -> String {
        let start = part
            .match_indices(&format!(" {name}=\""))
            .nth(from)
            .unwrap_or_else(|| panic!("no {name} in {part}"))
            .0;
        let rest = &part[start + name.len() + 3..];
        rest[..rest.find('"').unwrap()].to_owned()
    };
    let found: Vec<Hatch> = text
        .split("<pattern")
        .skip(1)
        .filter(|part| part.contains("hatch-gained") || part.contains("hatch-lost"))
        .map(|part| {
            let height: f64 = of(part, "height", 0).parse().unwrap();
            // "M0 3.4h8v1.2H0z": the line is as thick as it goes down.
            let line = of(part, "d", 1);
            let thick = line.split('v').nth(1).unwrap();
            let thick: f64 = thick[..thick.find('H').unwrap()].parse().unwrap();
            let turned = of(part, "patternTransform", 0);
            Hatch {
                name: of(part, "id", 0),
                wash: colour(&of(part, "fill", 0)),
                ink: colour(&of(part, "fill", 1)),
                cover: thick / height,
                turned: turned
                    .strip_prefix("rotate(")
                    .and_then(|t| t.strip_suffix(')'))
                    .map(|t| t.parse().unwrap()),
            }
        })
        .collect();
    assert_eq!(found.len(), 6, "three steps of either tone");
    found
}

/// Two colours side by side in one drawing are told apart at a glance from about ten units of
/// CIEDE2000 on; one is what can just be seen (common practice, no source).
const AT_A_GLANCE: f64 = 10.0;

#[test]
fn gained_lost_and_within_are_told_apart_by_every_eye() {
    let hatches = hatches();
    let paper = colour("#f7f1e4");
    let mut faults = Vec::new();
    let mut least = f64::INFINITY;
    let mut judge = |a: (&str, Rgb), b: (&str, Rgb)| {
        for ((eye, x), (_, y)) in seen(a.1).into_iter().zip(seen(b.1)) {
            let apart = ciede2000(lab(x), lab(y));
            least = least.min(apart);
            if apart < AT_A_GLANCE {
                faults.push(format!("{} and {}, {eye}: {apart:.1}", a.0, b.0));
            }
        }
    };
    for hatch in &hatches {
        judge((&hatch.name, hatch.mixed()), ("within", paper));
        for other in &hatches {
            if hatch.name.contains("gained") && other.name.contains("lost") {
                judge((&hatch.name, hatch.mixed()), (&other.name, other.mixed()));
                judge((&hatch.name, hatch.ink), (&other.name, other.ink));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(least.is_finite());
}

/// Without any colour it is the lines that speak: they stand out from their ground, gained and lost
/// run across one another, and each step is darker than the one before.
#[test]
fn in_grey_the_hatches_tell() {
    let hatches = hatches();
    for hatch in &hatches {
        let found = contrast(hatch.ink, hatch.wash);
        assert!(found >= 3.0, "{}: {found:.2}", hatch.name);
        let wanted = if hatch.name.contains("gained") {
            -45.0
        } else {
            45.0
        };
        assert_eq!(hatch.turned, Some(wanted), "{}", hatch.name);
    }
    for tone in hatches.chunks(3) {
        let light: Vec<f64> = tone.iter().map(|h| luminance(h.mixed())).collect();
        assert!(
            light.windows(2).all(|two| two[1] < two[0] * 0.9),
            "{light:?}"
        );
    }
}

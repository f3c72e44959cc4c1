//! Colours of the theme: contrast by the formula of WCAG 2.2, and the three tones of difference as
//! people with a colour-vision deficiency see them.
//!
//! Colours are read from the theme's own files, so that a changed colour is judged.

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

/// Linear RGB as seen with a deficiency of full severity: Machado, Oliveira and Fernandes, "A
/// physiologically-based model for simulation of color vision deficiency", IEEE Transactions on
/// Visualization and Computer Graphics 15, 2009 (tables from memory).
const MACHADO: [(&str, [[f64; 3]; 3]); 3] = [
    (
        "protanopia",
        [
            [0.152_286, 1.052_583, -0.204_868],
            [0.114_503, 0.786_281, 0.099_216],
            [-0.003_882, -0.048_116, 1.051_998],
        ],
    ),
    (
        "deuteranopia",
        [
            [0.367_322, 0.860_646, -0.227_968],
            [0.280_085, 0.672_501, 0.047_413],
            [-0.011_820, 0.042_940, 0.968_881],
        ],
    ),
    (
        "tritanopia",
        [
            [1.255_528, -0.076_749, -0.178_779],
            [-0.078_411, 0.930_809, 0.147_602],
            [0.004_733, 0.691_367, 0.303_900],
        ],
    ),
];

/// Responses of the cones to linear RGB, and what a missing cone would have said, from the two that
/// are there: Viénot, Brettel and Mollon, "Digital video colourmaps for checking the legibility of
/// displays by dichromats", Color Research and Application 24, 1999 (from memory).
const CONES: [[f64; 3]; 3] = [
    [17.8824, 43.5161, 4.119_35],
    [3.455_65, 27.1554, 3.867_14],
    [0.029_956_6, 0.184_309, 1.467_09],
];

fn times(m: &[[f64; 3]; 3], v: Rgb) -> Rgb {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let minor = |r: usize, c: usize| {
        let [r1, r2] = [(r + 1) % 3, (r + 2) % 3];
        let [c1, c2] = [(c + 1) % 3, (c + 2) % 3];
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let whole: f64 = (0..3).map(|c| m[0][c] * minor(0, c)).sum();
    std::array::from_fn(|r| std::array::from_fn(|c| minor(c, r) / whole))
}

/// A colour as each kind of eye sees it.
fn seen(colour: Rgb) -> Vec<(String, Rgb)> {
    let light = colour.map(linear);
    let mut out = vec![("all cones".to_owned(), colour)];
    for (name, matrix) in &MACHADO {
        let seen = times(matrix, light).map(gamma);
        out.push((format!("{name} after Machado"), seen));
    }
    let [l, m, s] = times(&CONES, light);
    let back = inverse(&CONES);
    for (name, cones) in [
        ("protanopia", [2.023_44 * m - 2.525_81 * s, m, s]),
        ("deuteranopia", [l, 0.494_207 * l + 1.248_27 * s, s]),
    ] {
        out.push((
            format!("{name} after Viénot"),
            times(&back, cones).map(gamma),
        ));
    }
    out
}

/// A grey is a grey to every eye: the models keep the neutral axis.
#[test]
fn the_models_keep_greys() {
    for grey in [0.1, 0.5, 0.9] {
        for (eye, [r, g, b]) in seen([grey; 3]) {
            let off = (r - grey).abs().max((g - grey).abs()).max((b - grey).abs());
            assert!(off < 2e-3, "{eye}: {r} {g} {b}");
        }
    }
    // Red and green of the same lightness part for all cones, and hardly for two kinds of eye.
    let [red, green] = [colour("#b34700"), colour("#5f7a00")];
    for ((eye, a), (_, b)) in seen(red).into_iter().zip(seen(green)) {
        let apart = ciede2000(lab(a), lab(b));
        let weak = eye.contains("protan") || eye.contains("deuter");
        assert_eq!(apart < 20.0, weak, "{eye}: {apart}");
    }
}

/// CIE 1976 L*a*b* of sRGB, white point D65 (IEC 61966-2-1; CIE 15).
fn lab(colour: Rgb) -> [f64; 3] {
    let xyz = times(
        &[
            [0.412_456_4, 0.357_576_1, 0.180_437_5],
            [0.212_672_9, 0.715_152_2, 0.072_175],
            [0.019_333_9, 0.119_192, 0.950_304_1],
        ],
        colour.map(linear),
    );
    let white = [0.950_47, 1.0, 1.088_83];
    let f: [f64; 3] = std::array::from_fn(|i| {
        let t = xyz[i] / white[i];
        if t > (6.0f64 / 29.0).powi(3) {
            t.cbrt()
        } else {
            t / (3.0 * (6.0f64 / 29.0).powi(2)) + 4.0 / 29.0
        }
    });
    [
        116.0 * f[1] - 16.0,
        500.0 * (f[0] - f[1]),
        200.0 * (f[1] - f[2]),
    ]
}

/// The difference of two colours: CIEDE2000 (ISO/CIE 11664-6), after Sharma, Wu and Dalal, Color
/// Research and Application 30, 2005.
fn ciede2000([l1, a1, b1]: [f64; 3], [l2, a2, b2]: [f64; 3]) -> f64 {
    let seventh = |c: f64| (c.powi(7) / (c.powi(7) + 25f64.powi(7))).sqrt();
    let mean_c = f64::midpoint(a1.hypot(b1), a2.hypot(b2));
    let g = 0.5 * (1.0 - seventh(mean_c));
    let (a1, a2) = (a1 * (1.0 + g), a2 * (1.0 + g));
    let (c1, c2) = (a1.hypot(b1), a2.hypot(b2));
    let hue = |a: f64, b: f64| {
        if a == 0.0 && b == 0.0 {
            0.0
        } else {
            b.atan2(a).to_degrees().rem_euclid(360.0)
        }
    };
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let grey = c1 * c2 == 0.0;
    let dh = match h2 - h1 {
        _ if grey => 0.0,
        d if d > 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    };
    let (dl, dc) = (l2 - l1, c2 - c1);
    let dh_big = 2.0 * (c1 * c2).sqrt() * (dh / 2.0).to_radians().sin();
    let (l, c) = (f64::midpoint(l1, l2), f64::midpoint(c1, c2));
    let h = match (h1 - h2).abs() {
        _ if grey => h1 + h2,
        d if d <= 180.0 => f64::midpoint(h1, h2),
        _ if h1 + h2 < 360.0 => f64::midpoint(h1, h2) + 180.0,
        _ => f64::midpoint(h1, h2) - 180.0,
    };
    let cos = |deg: f64| deg.to_radians().cos();
    let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0)
        - 0.20 * cos(4.0 * h - 63.0);
    let turn = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let rt = -2.0 * seventh(c) * (2.0 * turn).to_radians().sin();
    let sl = 1.0 + 0.015 * (l - 50.0).powi(2) / (20.0 + (l - 50.0).powi(2)).sqrt();
    let (sc, sh) = (1.0 + 0.045 * c, 1.0 + 0.015 * c * t);
    let (x, y, z) = (dl / sl, dc / sc, dh_big / sh);
    (x * x + y * y + z * z + rt * y * z).sqrt()
}

/// Pairs 1, 7, 16, 17, 19 and 34 of the published test data of Sharma, Wu and Dalal (from memory).
#[test]
fn the_difference_formula_gives_the_published_values() {
    for (a, b, expected) in [
        ([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485], 2.0425),
        ([50.0, 0.0, 0.0], [50.0, -1.0, 2.0], 2.3669),
        ([50.0, 2.5, 0.0], [50.0, 0.0, -2.5], 4.3065),
        ([50.0, 2.5, 0.0], [73.0, 25.0, -18.0], 27.1492),
        ([50.0, 2.5, 0.0], [56.0, -27.0, -3.0], 31.9030),
        (
            [2.0776, 0.0795, -1.1350],
            [0.9033, -0.0636, -0.5514],
            0.9082,
        ),
    ] {
        let found = ciede2000(a, b);
        assert!((found - expected).abs() < 5e-5, "{a:?} {b:?}: {found}");
    }
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

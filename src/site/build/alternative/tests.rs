//! Directions, places and lengths of what is told.

use super::*;
use crate::record::Lang;
use crate::site::theme::Theme;
use crate::site::words;
use glam::DVec3;

fn in_both() -> BTreeMap<Lang, Words> {
    let langs: Vec<Lang> = ["en", "cy"].map(|l| l.parse().unwrap()).into();
    words::read(&Theme::built_in(), &langs).unwrap()
}

#[test]
fn directions_are_told_by_eighths_and_heights() {
    let all = in_both();
    let [cy, en] = ["cy", "en"].map(|l| &all[&l.parse::<Lang>().unwrap()]);
    let told = |azimuth_deg, elevation_deg, words| {
        let from = ViewFrom {
            azimuth_deg,
            elevation_deg,
        };
        view(from, words).unwrap()
    };
    for (azimuth, elevation, english) in [
        (0.0, 0.0, "from the front"),
        (-22.0, 5.0, "from the front"),
        (23.0, 14.0, "from the front right, a little from above"),
        (90.0, 40.0, "from the right, from above"),
        (180.0, -20.0, "from the back, a little from below"),
        (-135.0, -50.0, "from the back left, from below"),
        (315.0, 70.0, "from the front left, from steeply above"),
    ] {
        assert_eq!(told(azimuth, elevation, en), english);
    }
    let mut seen = std::collections::BTreeSet::new();
    for eighth in 0..8 {
        for elevation in [-70.0, -40.0, -10.0, 0.0, 10.0, 40.0, 70.0] {
            for words in [en, cy] {
                assert!(seen.insert(told(45.0 * f64::from(eighth), elevation, words)));
            }
        }
    }
}

#[test]
fn letters_are_told_by_ninths_each_once() {
    let all = in_both();
    let camera = Camera::at(DVec3::ZERO, 0.0, 0.0, 50.0, [300, 240]);
    let drawn = [
        ("a", [150.0, 120.0]),
        ("b", [20.0, 30.0]),
        ("c", [151.0, 90.0]),
        ("d", [299.0, 239.0]),
    ];
    let drawn = drawn.map(|(letter, at)| (letter.to_owned(), at));
    let en = letters(&camera, &drawn, &all[&"en".parse::<Lang>().unwrap()]).unwrap();
    assert_eq!(en, "Letters: upper left b; middle a, c; lower right d.");
    let cy = letters(&camera, &drawn, &all[&"cy".parse::<Lang>().unwrap()]).unwrap();
    assert!(
        cy.starts_with("Llythrennau: ") && cy.contains(" a, c;"),
        "{cy}"
    );
}

#[test]
fn what_does_not_fit_goes_below_the_picture() {
    let mut told = Told::begin("A bowl");
    let long = "x".repeat(MOST) + ".";
    told.and(long.clone());
    told.and("Seen from the front.".to_owned());
    assert_eq!(told.alt, "A bowl. Seen from the front.");
    assert_eq!(told.more, [long]);
}

#[test]
fn a_text_ends_with_a_stop_and_has_no_second_one() {
    let all = [
        ("A hare", "A hare."),
        ("A hare. ", "A hare."),
        ("“Why?”", "“Why?”"),
        ("(left)", "(left)."),
    ];
    for (given, wanted) in all {
        assert_eq!(ended(given), wanted);
    }
}

//! The scale of measured differences in words and millimetres.

use crate::differ::Scale;
use crate::site::page::differences::{DifferenceScale, DifferencesShown};
use crate::site::words::Words;
use crate::site::{SiteError, figures};

/// The legend beside pictures; `not_captured` says how much has a dotted ground, where any has.
pub(super) fn legend(
    scale: &Scale,
    not_captured: Option<String>,
    words: &Words,
) -> Result<DifferenceScale, SiteError> {
    let [gained, lost] = scale.steps_mm();
    Ok(DifferenceScale {
        gained: steps(gained, words)?,
        lost: steps(lost, words)?,
        within: within(scale, words)?,
        not_captured,
    })
}

/// What the viewer is told.
pub(super) fn shown(scale: &Scale, words: &Words) -> Result<DifferencesShown, SiteError> {
    let [gained, lost] = scale.steps_mm();
    let at = |step: usize| -> Result<String, SiteError> {
        let [more, less] = [gained[step], lost[step]].map(|mm| millimetres(mm, words));
        let (more, less) = (more?, less?);
        // With a coating the steps of more begin elsewhere than those of less.
        if more == less {
            Ok(more)
        } else {
            words.fill("difference_either", &[("more", &more), ("less", &less)])
        }
    };
    Ok(DifferencesShown {
        steps: scale.steps_in_codes(),
        legend: words.fill(
            "difference_legend",
            &[
                ("closer", &at(1)?),
                ("broader", &at(2)?),
                ("within", &within(scale, words)?),
            ],
        )?,
    })
}

fn steps([slight, plain, strong]: [f64; 3], words: &Words) -> Result<[String; 3], SiteError> {
    let between = |from: f64, to: f64| {
        let (from, to) = (figures::number(from, 2, words)?, millimetres(to, words)?);
        words.fill("difference_step", &[("from", &from), ("to", &to)])
    };
    let beyond = words.fill(
        "difference_step_last",
        &[("from", &millimetres(strong, words)?)],
    )?;
    Ok([between(slight, plain)?, between(plain, strong)?, beyond])
}

fn within(scale: &Scale, words: &Words) -> Result<String, SiteError> {
    let [[more, ..], [less, ..]] = scale.steps_mm();
    words.fill(
        "difference_within",
        &[
            ("less", &millimetres(less, words)?),
            ("more", &millimetres(more, words)?),
        ],
    )
}

fn millimetres(mm: f64, words: &Words) -> Result<String, SiteError> {
    figures::millimetres(mm, 2, words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::differ::Band;
    use crate::record::Lang;
    use crate::site::page::differences::{DetailLink, DifferenceRegion};
    use crate::site::page::{Fact, Picture};
    use crate::site::render::Renderer;
    use crate::site::theme::Theme;
    use crate::site::words;
    use std::collections::BTreeMap;

    fn all_words() -> BTreeMap<Lang, Words> {
        let languages = ["en", "cy"].map(|l| l.parse().unwrap());
        words::read(&Theme::built_in(), &languages).unwrap()
    }

    const COATED: Band = Band {
        tolerance_mm: 0.1,
        coating_mm: [0.0, 0.06],
    };

    #[test]
    fn the_legend_gives_the_steps_in_millimetres() {
        for words in all_words().values() {
            let told = legend(
                &Scale::of_replica(&COATED),
                Some("70 mm²".to_owned()),
                words,
            )
            .unwrap();
            for (text, numbers) in [
                (&told.gained[0], ["0.16", "0.26"]),
                (&told.gained[1], ["0.26", "0.56"]),
                (&told.gained[2], ["0.56", "mm"]),
                (&told.lost[0], ["0.10", "0.20"]),
                (&told.lost[2], ["0.50", "mm"]),
                (&told.within, ["0.10", "0.16"]),
            ] {
                assert!(numbers.iter().all(|n| text.contains(n)), "{text}");
            }
            assert!(told.not_captured.is_some());
            // From either body the same is told.
            let other = legend(&Scale::of_original(&COATED), None, words).unwrap();
            assert_eq!(other.gained, told.gained);
            assert!(other.not_captured.is_none());
            let viewer = shown(&Scale::of_replica(&COATED), words).unwrap();
            for number in ["0.26", "0.20", "0.56", "0.50", "0.16", "0.10"] {
                assert!(viewer.legend.contains(number), "{}", viewer.legend);
            }
        }
    }

    #[derive(serde::Serialize)]
    struct Shelf {
        scale: DifferenceScale,
        region: DifferenceRegion,
    }

    #[test]
    fn legend_and_region_card_say_all_that_they_are_given() {
        let all = all_words();
        let renderer = Renderer::new(&Theme::built_in()).unwrap();
        let words = &all[&"en".parse().unwrap()];
        let renderer = renderer.speaking(words).unwrap();
        let mut shelf = Shelf {
            scale: legend(
                &Scale::of_replica(&COATED),
                Some("70 mm²".to_owned()),
                words,
            )
            .unwrap(),
            region: DifferenceRegion {
                number: 7,
                kind: "moved",
                kind_word: "Moved <aside>".to_owned(),
                title: "On the lip".to_owned(),
                words: "A ridge beside a hollow.".to_owned(),
                picture: Picture {
                    webp: "a.webp 480w".to_owned(),
                    fallback: "a.png 480w".to_owned(),
                    src: "a.png".to_owned(),
                    width: 480,
                    height: 384,
                    alt: "The ridge".to_owned(),
                },
                caption: "Seen straight on".to_owned(),
                facts: vec![Fact {
                    term: "Area".to_owned(),
                    value: "3.4 mm²".to_owned(),
                    evidence: None,
                }],
                detail: Some(DetailLink {
                    href: "../details/lip-patch/".to_owned(),
                    letter: "c".to_owned(),
                    title: "Riveted patch".to_owned(),
                }),
                evidence: None,
            },
        };
        let page = |template: &str, shelf: &Shelf| {
            String::from_utf8(renderer.page(template, shelf).unwrap()).unwrap()
        };
        let scale = page("difference-scale.html", &shelf);
        for (tone, steps) in [("gained", &shelf.scale.gained), ("lost", &shelf.scale.lost)] {
            for (number, text) in (1..).zip(steps) {
                assert!(scale.contains(text), "{text}");
                assert!(scale.contains(&format!("#hatch-{tone}-{number})")));
            }
        }
        assert!(scale.contains("#hatch-not-captured)"));
        let hatches = page("hatches.html", &shelf);
        for tone in ["gained-1", "gained-3", "lost-1", "lost-3", "not-captured"] {
            assert!(hatches.contains(&format!("id=hatch-{tone}")), "{hatches}");
        }
        let card = page("difference-region.html", &shelf);
        for text in [
            "id=region-7",
            "Moved &lt;aside",
            "#hatch-gained-2)",
            "#hatch-lost-2)",
            "A ridge beside a hollow.",
            "3.4 mm²",
            "../details/lip-patch/",
            "Riveted patch",
        ] {
            assert!(card.contains(text), "{text} in {card}");
        }
        let open = words.get("region_unexplained").unwrap();
        assert!(!card.contains(open));
        shelf.region.detail = None;
        shelf.region.kind = "lost";
        let card = page("difference-region.html", &shelf);
        assert!(card.contains(open) && !card.contains("#hatch-gained"));
    }
}

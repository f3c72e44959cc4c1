//! A detail in raking light.

use super::Subject;
use crate::picture::Side;
use crate::record::BodyKind;
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::page::{Light, LitPicture, Raking};
use crate::site::pictures::{PictureFiles, RakedFiles};

/// Radius of the circle in the little drawing on which the lamps stand.
const CIRCLE: f64 = 8.0;

/// What one choice shows.
#[derive(Clone, Copy, PartialEq)]
enum Shown {
    From(Side),
    Combined,
    Even,
}

/// Row by row as the lamps stand round the detail, so that arrow keys walk round it too.
const CHOICES: [Shown; 10] = [
    Shown::From(Side::UpperLeft),
    Shown::From(Side::Above),
    Shown::From(Side::UpperRight),
    Shown::From(Side::Left),
    Shown::Combined,
    Shown::From(Side::Right),
    Shown::From(Side::LowerLeft),
    Shown::From(Side::Below),
    Shown::From(Side::LowerRight),
    Shown::Even,
];

pub(super) fn shown(
    subject: &Subject<'_>,
    index: usize,
    page: &Page,
) -> Result<Option<Raking>, SiteError> {
    let (site, detail) = (subject.site, &subject.object.details[index]);
    let Some(view) = subject.pictures.raked.get(&detail.id) else {
        return Ok(None);
    };
    let height = format!("{:.0}", view.height_deg);
    let here = site.address(page);
    let title = &site.note(&detail.notes)?.title;
    let mut lights = Vec::new();
    for choice in CHOICES {
        let label = site.words.get(&format!("light_{}", choice.key()))?;
        let mut pictures = Vec::new();
        for (kind, files) in &view.bodies {
            let Some(files) = choice.of(files) else {
                continue;
            };
            let body = site.words.get(match kind {
                BodyKind::Original => "body_original",
                BodyKind::Replica => "body_replica",
            })?;
            let blanks = [
                ("body", body),
                ("from", label),
                ("title", title),
                ("height", &height),
            ];
            let way = choice.way();
            let alt = site.words.fill(&format!("light_alt_{way}"), &blanks)?;
            pictures.push(LitPicture {
                body: kind.word(),
                caption: site.words.fill(&format!("light_caption_{way}"), &blanks)?,
                picture: files.seen_from(&here, alt),
            });
        }
        // What a visitor stands before comes first, as among the stills.
        if subject.object.record.bodies.replica.is_some() {
            pictures.reverse();
        }
        lights.push(Light {
            name: choice.name(),
            label: label.to_owned(),
            first: choice == Shown::Combined,
            lamps: choice.lamps(),
            pictures,
        });
    }
    Ok(Some(Raking {
        lead: site.words.fill("light_lead", &[("height", &height)])?,
        lights,
    }))
}

impl Shown {
    fn name(self) -> &'static str {
        match self {
            Self::From(side) => side.word(),
            Self::Combined => "combined",
            Self::Even => "even",
        }
    }

    /// In the interface words.
    fn key(self) -> String {
        self.name().replace('-', "_")
    }

    /// Which sentence tells of it.
    fn way(self) -> &'static str {
        match self {
            Self::From(_) => "side",
            Self::Combined => "combined",
            Self::Even => "even",
        }
    }

    fn of(self, files: &RakedFiles) -> Option<&PictureFiles> {
        match self {
            Self::From(side) => {
                let found = files.sides.iter().find(|(s, _)| *s == side);
                found.map(|(_, files)| files)
            }
            Self::Combined => Some(&files.combined),
            Self::Even => Some(&files.even),
        }
    }

    fn lamps(self) -> Vec<[f64; 2]> {
        let on_circle = |side: Side| {
            let [right, up] = side.step().map(|n| n as f64);
            let tenths = |v: f64| (v * CIRCLE / right.hypot(up) * 10.0).round() / 10.0;
            [tenths(right), tenths(-up)]
        };
        match self {
            Self::From(side) => vec![on_circle(side)],
            Self::Combined => Side::ALL.map(on_circle).to_vec(),
            Self::Even => Vec::new(),
        }
    }
}

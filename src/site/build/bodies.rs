//! A body on a page: its plate with letters, its model, its facts.

use super::{Site, Subject, scale};
use crate::collate::{Amount, body_mass_g};
use crate::record::{Body, BodyKind, Use};
use crate::site::address::Page;
use crate::site::page::differences::DifferenceFile;
use crate::site::page::{BodyView, Fact, Leader, ModelFile, ModelLevel, Plate, ScaleBar};
use crate::site::pictures::{BodyPlate, DisplayModel, PLATE_PX};
use crate::site::plates::{self, Point, Sheet};
use crate::site::words::Words;
use crate::site::{SiteError, figures};
use std::collections::BTreeMap;

/// The view box is the picture itself; letters stand in the margins that the camera left free.
const SHEET: Sheet = Sheet {
    width: PLATE_PX[0] as f64,
    height: PLATE_PX[1] as f64,
    inset: 52.0,
    knee: 104.0,
    spacing: 66.0,
};
/// The scale bar is the longest round length below this share of the sheet's width.
const SCALE_BAR_SHARE: f64 = 0.22;

impl Subject<'_> {
    /// Original first, then the replica if there is one.
    pub(super) fn bodies(&self, page: &Page) -> Result<Vec<BodyView>, SiteError> {
        let kinds = [BodyKind::Original, BodyKind::Replica];
        let found = kinds
            .into_iter()
            .filter_map(|kind| Some((kind, self.object.record.bodies.get(kind)?)));
        found
            .map(|(kind, body)| self.body(page, kind, body))
            .collect()
    }

    fn body(&self, page: &Page, kind: BodyKind, body: &Body) -> Result<BodyView, SiteError> {
        let heading = match kind {
            BodyKind::Original => "body_original",
            BodyKind::Replica => "body_replica",
        };
        Ok(BodyView {
            kind: kind.word(),
            heading: self.site.words.get(heading)?.to_owned(),
            plate: self.plate(page, kind)?,
            model: self.model(page, kind, body)?,
            facts: self.body_facts(kind, body)?,
        })
    }

    fn plate(&self, page: &Page, kind: BodyKind) -> Result<Plate, SiteError> {
        let made = self.pictures.plates.get(&kind);
        let made =
            made.ok_or_else(|| SiteError::Picture(format!("no plate of ‘{}’", self.object.id)))?;
        let here = self.site.address(page);
        let camera = &made.camera;
        // Only the object's own page draws the letters.
        let none = BTreeMap::new();
        let drawn = match page {
            Page::Object(_) => &made.seen,
            _ => &none,
        };
        let told = self.site.plate_told(self.object, kind, camera, drawn)?;
        Ok(Plate {
            more: (!told.more.is_empty()).then(|| told.more.join(" ")),
            picture: made.files.seen_from(&here, told.alt),
            width: SHEET.width,
            height: SHEET.height,
            picture_x: 0.0,
            picture_y: 0.0,
            picture_width: SHEET.width,
            picture_height: SHEET.height,
            leaders: self.leaders(page, made)?,
            scale_bar: self.scale_bar(made)?,
            azimuth_deg: camera.azimuth_deg,
            elevation_deg: camera.elevation_deg,
            half_height_mm: camera.half_height_mm,
            centre_mm: camera.centre_mm.to_array(),
        })
    }

    fn leaders(&self, page: &Page, made: &BodyPlate) -> Result<Vec<Leader>, SiteError> {
        let here = self.site.address(page);
        let seen: Vec<_> = self
            .object
            .details
            .iter()
            .enumerate()
            .filter_map(|(index, detail)| Some((index, detail, made.seen.get(&detail.id)?)))
            .collect();
        let points: Vec<Point> = seen
            .iter()
            .map(|(_, _, at)| Point { x: at[0], y: at[1] })
            .collect();
        let labels = plates::letters(&points, &SHEET);
        let mut leaders = Vec::new();
        for (((index, detail, _), point), label) in seen.iter().zip(&points).zip(labels) {
            let target = Page::Detail(self.object.id.clone(), detail.id.clone());
            leaders.push(Leader {
                letter: figures::letter(*index),
                id: detail.id.to_string(),
                href: here.to(&self.site.address(&target)),
                title: self.site.note(&detail.notes)?.title.clone(),
                kind: super::detail::kind_word(detail.record.kind),
                side: label.side.word(),
                letter_x: tenth(label.letter.x),
                letter_y: tenth(label.letter.y),
                knee_x: tenth(label.knee.x),
                knee_y: tenth(label.knee.y),
                anchor_x: tenth(point.x),
                anchor_y: tenth(point.y),
            });
        }
        Ok(leaders)
    }

    fn scale_bar(&self, made: &BodyPlate) -> Result<ScaleBar, SiteError> {
        let units_per_mm = SHEET.height / (2.0 * made.camera.half_height_mm);
        let longest_mm = SCALE_BAR_SHARE * SHEET.width / units_per_mm;
        let length_mm = round_length(longest_mm);
        let decimals = if length_mm < 1.0 { 1 } else { 0 };
        Ok(ScaleBar {
            text: figures::millimetres(length_mm, decimals, self.site.words)?,
            x: SHEET.knee,
            y: SHEET.height - 40.0,
            length: tenth(length_mm * units_per_mm),
        })
    }

    fn model(&self, page: &Page, kind: BodyKind, body: &Body) -> Result<ModelFile, SiteError> {
        let made = self.pictures.models.get(&kind).map(Vec::as_slice);
        let Some([first, ..]) = made else {
            return Err(SiteError::Picture(format!(
                "no model of ‘{}’",
                self.object.id
            )));
        };
        let made = made.unwrap_or_default();
        let words = self.site.words;
        let today = self.site.catalogue.today;
        let download = body.parts.iter().all(|part| {
            let rights = self
                .object
                .record
                .rights
                .iter()
                .find(|r| r.id == part.rights);
            rights.is_some_and(|r| r.permits(Use::Download, today))
        });
        let levels = made
            .iter()
            .map(|m| {
                let here = self.site.address(page);
                Ok(ModelLevel {
                    href: here.to_file(&m.path),
                    bytes: m.bytes,
                    fidelity: self.fidelity(m)?,
                    difference: m.difference.as_ref().map(|sheet| DifferenceFile {
                        href: here.to_file(&sheet.path),
                        bytes: sheet.bytes,
                    }),
                })
            })
            .collect::<Result<_, SiteError>>()?;
        Ok(ModelFile {
            size: figures::file_size(first.bytes, words)?,
            scan: words.fill(
                "model_scan",
                &[(
                    "triangles",
                    &figures::number(first.facts.scan_triangles as f64, 0, words)?,
                )],
            )?,
            levels,
            download,
            differences: made
                .iter()
                .find_map(|m| m.difference.as_ref())
                .map(|sheet| scale::shown(&sheet.scale, words))
                .transpose()?,
        })
    }

    /// How far one level strays, in words. Rounded up: what is said must not be less than what
    /// was measured.
    fn fidelity(&self, made: &DisplayModel) -> Result<String, SiteError> {
        let words = self.site.words;
        let most = |mm: f64| figures::millimetres((mm * 100.0).ceil() / 100.0, 2, words);
        let mut text = words.fill(
            "model_fidelity",
            &[
                ("level", words.get(&format!("level_{}", made.level))?),
                ("max", &most(made.facts.max_mm)?),
                ("usual", &most(made.facts.p95_mm)?),
                (
                    "triangles",
                    &figures::number(made.facts.triangles as f64, 0, words)?,
                ),
                ("size", &figures::file_size(made.bytes, words)?),
            ],
        )?;
        if let Some(inside) = made.facts.inside_max_mm {
            text.push(' ');
            text += &words.fill("model_fidelity_inside", &[("max", &most(inside)?)])?;
        }
        text.push(' ');
        text += &match made.facts.texel_mm {
            Some(mm) => words.fill("model_relief", &[("texel", &most(mm)?)])?,
            None => words.get("model_no_relief")?.to_owned(),
        };
        Ok(text)
    }

    fn body_facts(&self, kind: BodyKind, body: &Body) -> Result<Vec<Fact>, SiteError> {
        let words = self.site.words;
        let fact = |key: &str, value: String| -> Result<Fact, SiteError> {
            Ok(Fact {
                term: words.get(key)?.to_owned(),
                value,
                evidence: None,
            })
        };
        let mut facts = vec![
            fact("fact_where", self.site.text(&body.location)?.to_owned())?,
            fact("fact_material", self.materials(body)?)?,
            fact("fact_finish", self.site.text(&body.finish)?.to_owned())?,
        ];
        if let Some(geometry) = self.geometry.bodies.get(&kind) {
            let mut size = fact("fact_size", size_text(geometry.bounds.size(), words)?)?;
            size.evidence = Some(words.get("evidence_size")?.to_owned());
            facts.push(size);
            if let Some((mass, how)) = mass_text(
                body_mass_g(body, geometry, &self.object.record.materials),
                words,
            )? {
                let mut mass = fact("fact_mass", mass)?;
                mass.evidence = Some(match &body.weighed_g {
                    Some(weighed) => self.site.evidence(&weighed.evidence, self.object)?,
                    None => how,
                });
                facts.push(mass);
            }
        }
        if let Some(day) = body.dated {
            let key = match kind {
                BodyKind::Original => "fact_scanned",
                BodyKind::Replica => "fact_made",
            };
            facts.push(fact(key, figures::day(day, words)?)?);
        }
        Ok(facts)
    }

    /// Names of the body's materials, each once, in the order of its parts.
    pub(super) fn materials(&self, body: &Body) -> Result<String, SiteError> {
        let mut names: Vec<&str> = Vec::new();
        for part in &body.parts {
            if let Some(material) = self.object.record.materials.get(&part.material) {
                let name = self.site.text(&material.name)?;
                if !names.contains(&name) {
                    names.push(name);
                }
            }
        }
        Ok(names.join(", "))
    }
}

impl Site<'_> {
    /// A number of things, in the page's language.
    pub(super) fn count(&self, n: usize) -> Result<String, SiteError> {
        figures::number(n as f64, 0, self.words)
    }
}

/// "height 131.8 mm, width 186 mm, depth 150 mm": +Y is up, the front looks along Z.
pub(super) fn size_text(size: glam::DVec3, words: &Words) -> Result<String, SiteError> {
    words.fill(
        "size_text",
        &[
            ("height", &figures::millimetres(size.y, 1, words)?),
            ("width", &figures::millimetres(size.x, 1, words)?),
            ("depth", &figures::millimetres(size.z, 1, words)?),
        ],
    )
}

/// A mass as text with how it is known, or nothing when nothing can be said.
pub(super) fn mass_text(
    amount: Amount,
    words: &Words,
) -> Result<Option<(String, String)>, SiteError> {
    Ok(match amount {
        Amount::Weighed {
            value_g,
            uncertainty_g,
        } => {
            let text = words.fill(
                "mass_weighed",
                &[
                    ("value", &figures::number(value_g, 0, words)?),
                    ("uncertainty", &figures::number(uncertainty_g, 0, words)?),
                ],
            )?;
            Some((text, words.get("mass_how_weighed")?.to_owned()))
        }
        Amount::Estimated(span) => {
            let value = figures::mass(f64::midpoint(span.low, span.high), words)?;
            let text = words.fill("mass_estimated", &[("value", &value)])?;
            Some((text, words.get("mass_how_estimated")?.to_owned()))
        }
        Amount::Open | Amount::NotKnownSolid => None,
    })
}

/// The longest of 1, 2, 5 × a power of ten that is not above `longest`.
pub(super) fn round_length(longest: f64) -> f64 {
    let power = 10f64.powf(longest.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|step| step * power)
        .find(|length| *length <= longest)
        .unwrap_or(power)
}

/// View-box units to one decimal: finer than a printed hairline.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::round_length;

    #[test]
    fn scale_bars_are_round() {
        assert_eq!(
            [9.9, 10.0, 49.0, 51.0, 0.3].map(round_length),
            [5.0, 10.0, 20.0, 50.0, 0.2]
        );
    }
}

//! A body on a page: its plate with letters, its model, its facts.

use super::{Site, Subject, scale};
use crate::collate::{Amount, body_mass_g};
use crate::paradata::About;
use crate::record::{Body, BodyKind, Use};
use crate::site::address::Page;
use crate::site::page::differences::DifferenceFile;
use crate::site::page::{BodyView, Fact, ModelFile, ModelLevel};
use crate::site::pictures::DisplayModel;
use crate::site::words::Words;
use crate::site::{SiteError, figures};

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
            plate: self.front_plate(page, kind)?,
            sides: self.further_plates(page, kind)?,
            model: self.model(page, kind)?,
            facts: self.body_facts(page, kind, body)?,
        })
    }

    fn model(&self, page: &Page, kind: BodyKind) -> Result<ModelFile, SiteError> {
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
        let download = self.object.body_permits(kind, Use::Download, today);
        let levels = made
            .iter()
            .map(|m| {
                let here = self.site.address(page);
                Ok(ModelLevel {
                    href: here.to_file(&m.path),
                    read_from: here.to_file(&m.read_from),
                    bytes: m.bytes,
                    strays_mm: (m.facts.max_mm * 100.0).ceil() / 100.0,
                    fidelity: self.fidelity(m)?,
                    difference: m.difference.as_ref().map(|sheet| DifferenceFile {
                        read_from: here.to_file(&sheet.read_from),
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
            known: self.known_about(page, &About::Models(kind), None)?,
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
    pub(super) fn fidelity(&self, made: &DisplayModel) -> Result<String, SiteError> {
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
        let facts = &made.facts;
        text += &match (facts.texel_mm, facts.finest_mm) {
            (Some(mm), _) => words.fill("model_relief", &[("texel", &most(mm)?)])?,
            (None, None) => words.get("model_no_relief")?.to_owned(),
            (None, Some(finest)) => {
                let least = (facts.rms_mm * 100.0).floor() / 100.0;
                words.fill(
                    "model_coarsened",
                    &[
                        ("rms", &figures::millimetres(least, 2, words)?),
                        ("finest", &figures::millimetres(finest, 2, words)?),
                    ],
                )?
            }
        };
        Ok(text)
    }

    fn body_facts(&self, page: &Page, kind: BodyKind, body: &Body) -> Result<Vec<Fact>, SiteError> {
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
            let how = words.get("evidence_size")?.to_owned();
            size.evidence = self.known_about(page, &About::Size(kind), Some(how))?;
            facts.push(size);
            if let Some((mass, how)) = mass_text(
                body_mass_g(body, geometry, &self.object.record.materials),
                words,
            )? {
                let mut mass = fact("fact_mass", mass)?;
                mass.evidence = match &body.weighed_g {
                    Some(weighed) => self.stated(page, &About::Weighed(kind), &weighed.evidence)?,
                    None => self.known_about(page, &About::Mass(kind), Some(how))?,
                };
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
        let material = body.parts.first();
        let material = material.map(|part| &part.material);
        let densities = self.object.record.materials.iter();
        if let Some((id, own)) = densities.into_iter().find(|(id, _)| Some(*id) == material) {
            facts[1].evidence = self.stated(page, &About::Material(id.clone()), &own.evidence)?;
        }
        // Whereabouts, surface and day have one ground, told with the first of them.
        if let Some(first) = facts.first_mut() {
            first.evidence = match &body.evidence {
                Some(evidence) => self.stated(page, &About::Body(kind), evidence)?,
                None => self.known_about(page, &About::Body(kind), None)?,
            };
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

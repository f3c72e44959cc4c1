//! Claims in the words of a language.

use crate::paradata::{About, Claim, Number};
use crate::record::BodyKind;
use crate::site::address::Page;
use crate::site::build::differs::amounts::with_uncertainty;
use crate::site::build::{Subject, detail, making};
use crate::site::page::Fact;
use crate::site::words::Words;
use crate::site::{SiteError, figures};

impl Subject<'_> {
    /// A claim in words: of what, and what of it.
    pub(in crate::site::build) fn says(&self, claim: &Claim) -> Result<[String; 2], SiteError> {
        let (site, words, record) = (self.site, self.site.words, &self.object.record);
        let body = |kind: &BodyKind| words.get(body_key(*kind));
        let of = |kind: &BodyKind, key: &str| -> Result<String, SiteError> {
            Ok(format!("{}: {}", body(kind)?, words.get(key)?))
        };
        let numbers = || self.numbers(&claim.numbers);
        let page = Page::Evidence(self.object.id.clone());
        Ok(match &claim.about {
            About::Identification => [
                words.get("the_object")?.to_owned(),
                joined(&self.identification(&page)?),
            ],
            About::Body(kind) => {
                let Some(own) = record.bodies.get(*kind) else {
                    return Ok([body(kind)?.to_owned(), String::new()]);
                };
                let mut value =
                    format!("{}; {}", site.text(&own.location)?, site.text(&own.finish)?);
                if let Some(day) = own.dated {
                    value = format!("{value}; {}", figures::day(day, words)?);
                }
                [of(kind, "claim_body")?, value]
            }
            About::Material(id) => {
                let name = match record.materials.get(id) {
                    Some(material) => site.text(&material.name)?,
                    None => id.as_str(),
                };
                [name.to_owned(), numbers()?]
            }
            About::Weighed(kind) => [of(kind, "claim_weighed")?, numbers()?],
            About::Certificate(kind) => [of(kind, "claim_certificate")?, numbers()?],
            About::Caliper(kind, index) => {
                let own = record
                    .bodies
                    .get(*kind)
                    .and_then(|b| b.calipers.get(*index));
                let name = own.map(|c| site.text(&c.name)).transpose()?;
                let name = name.unwrap_or_default();
                [format!("{}: {name}", body(kind)?), numbers()?]
            }
            About::Size(kind) => [of(kind, "fact_size")?, numbers()?],
            About::Volume(kind) => [of(kind, "fact_volume")?, numbers()?],
            About::Mass(kind) => [of(kind, "claim_reckoned")?, numbers()?],
            About::Standing(kind) => [of(kind, "fact_standing")?, numbers()?],
            About::Assembly(kind) => [of(kind, "assembly_heading")?, numbers()?],
            About::Models(kind) => {
                let levels = self.pictures.models.get(kind);
                let levels = levels.map_or(&[][..], Vec::as_slice).iter();
                let levels: Vec<String> = levels
                    .map(|made| self.fidelity(made))
                    .collect::<Result<_, _>>()?;
                [of(kind, "claim_models")?, levels.join(" ")]
            }
            About::MassDifference => [words.get("claim_mass_difference")?.to_owned(), numbers()?],
            About::Alignment => [words.get("claim_alignment")?.to_owned(), numbers()?],
            About::Settled => [words.get("claim_settled")?.to_owned(), numbers()?],
            About::Region(id) => {
                let title = self.title_of(id)?;
                [
                    words.fill("claim_region", &[("title", &title)])?,
                    numbers()?,
                ]
            }
            About::Accepted(index) => {
                let own = record.collation.accepted.get(*index);
                let reason = own.map(|a| site.text(&a.reason)).transpose()?;
                let value = format!("{} {}", reason.unwrap_or_default(), numbers()?);
                [words.get("difference_accepted")?.to_owned(), value]
            }
            About::Stated(index) => {
                let Some(own) = record.differences.get(*index) else {
                    return Ok([String::new(), String::new()]);
                };
                let value = format!(
                    "{}: {}. {}: {}.",
                    words.get("body_original")?,
                    site.text(&own.original)?,
                    words.get("body_replica")?,
                    site.text(&own.replica)?
                );
                [site.text(&own.aspect)?.to_owned(), value]
            }
            About::Detail(id) => {
                let found = self.object.details.iter().find(|d| &d.id == id);
                let value = match found {
                    Some(own) => format!(
                        "{}; {}",
                        detail::kind_name(own.record.kind, words)?,
                        detail::bearing_sentence(&own.record.bearing, words)?
                    ),
                    None => String::new(),
                };
                [self.title_of(id)?, value]
            }
            About::Place(id) => {
                let title = self.title_of(id)?;
                [words.fill("claim_place", &[("title", &title)])?, numbers()?]
            }
            About::Step(id) => {
                let Some(step) = self.object.making.iter().find(|s| &s.id == id) else {
                    return Ok([id.to_string(), String::new()]);
                };
                let facts = making::step_facts(self, &page, step)?;
                let stated = &facts[..facts.len().saturating_sub(1)];
                [site.note(&step.notes)?.title.clone(), joined(stated)]
            }
            About::Layers(index) => {
                let layers = self.geometry.quantities.layers.get(*index);
                let mut parts = record.bodies.parts(BodyKind::Replica).iter();
                let part = layers.and_then(|l| parts.find(|p| p.id == l.part));
                let part = part
                    .map(|p| site.text(&p.name))
                    .transpose()?
                    .unwrap_or_default();
                [words.fill("claim_layers", &[("part", part)])?, numbers()?]
            }
            About::Hours => [words.get("hours_heading")?.to_owned(), numbers()?],
            About::Powder => [words.get("powder_heading")?.to_owned(), numbers()?],
        })
    }

    fn numbers(&self, numbers: &[Number]) -> Result<String, SiteError> {
        let words = self.site.words;
        let mut texts = Vec::new();
        for number in numbers {
            let value = match number.expanded {
                Some(expanded) => with_uncertainty(number.value, expanded, number.unit, words)?,
                None => plain(number, words)?,
            };
            let name = words.get(&format!("number_{}", number.name))?;
            texts.push(format!("{name} {value}"));
        }
        Ok(texts.join("; "))
    }
}

/// A number of which no uncertainty is known: as many decimals as tell something.
fn plain(number: &Number, words: &Words) -> Result<String, SiteError> {
    let size = number.value.abs();
    let decimals = match number.unit {
        "" | "µm" | "g" => 0,
        _ if size < 0.01 => 4,
        _ if size < 100.0 && size.fract() != 0.0 => 2,
        _ => usize::from(size.fract() != 0.0),
    };
    let value = figures::number(number.value, decimals, words)?;
    Ok(match number.unit {
        "" => value,
        "°" => format!("{value}°"),
        unit => format!("{value}\u{a0}{unit}"),
    })
}

fn body_key(kind: BodyKind) -> &'static str {
    match kind {
        BodyKind::Original => "body_original",
        BodyKind::Replica => "body_replica",
    }
}

/// Facts in one line.
fn joined(facts: &[Fact]) -> String {
    let all: Vec<String> = facts
        .iter()
        .map(|f| format!("{}: {}", f.term, f.value))
        .collect();
    all.join("; ")
}

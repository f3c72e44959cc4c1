//! How the replica was built: layers, hours, powder.

use super::amounts::{as_written, estimate, percent};
use super::part_name;
use crate::collate::{Powder, Work};
use crate::paradata::About;
use crate::record::{QuantityKind, Step};
use crate::site::address::Page;
use crate::site::build::Subject;
use crate::site::page::quantities::{Built, HourRow, LayerRow, PowderRow};
use crate::site::{SiteError, figures};

/// Nothing when the steps of the making state none of it.
pub(super) fn built(subject: &Subject<'_>, page: &Page) -> Result<Option<Built>, SiteError> {
    let words = subject.site.words;
    let quantities = &subject.geometry.quantities;
    let (layers, hours) = (layers(subject)?, hours(subject, page)?);
    let mut sentences = Vec::new();
    if let [first, ..] = layers.as_slice() {
        let parts: Vec<String> = layers
            .iter()
            .map(|l| words.fill("built_part", &[("n", &l.count), ("part", &l.part)]))
            .collect::<Result<_, _>>()?;
        sentences.push(words.fill(
            "built_layers",
            &[
                ("thickness", &first.thickness),
                ("parts", &parts.join(words.get("list_separator")?)),
            ],
        )?);
    }
    sentences.extend(work(subject, &quantities.work)?);
    let mut powder_rows = Vec::new();
    if let Some(powder) = &quantities.powder {
        sentences.push(check(subject, powder)?);
        powder_rows = powder_shares(subject, powder)?;
    }
    if layers.is_empty() && hours.is_empty() && powder_rows.is_empty() {
        return Ok(None);
    }
    let layered = (0..layers.len()).map(About::Layers);
    let known = subject.grounds(page, layered.chain([About::Hours, About::Powder]))?;
    let target = Page::Making(subject.object.id.clone());
    Ok(Some(Built {
        sentences,
        layers,
        hours,
        powder: powder_rows,
        known,
        making: subject
            .site
            .address(page)
            .to(&subject.site.address(&target)),
    }))
}

fn layers(subject: &Subject<'_>) -> Result<Vec<LayerRow>, SiteError> {
    let words = subject.site.words;
    let count = |n: u64| {
        #[expect(clippy::cast_precision_loss, reason = "layers, far below 2^53")]
        figures::number(n as f64, 0, words)
    };
    let rows = subject.geometry.quantities.layers.iter().map(|l| {
        let between = match l.between {
            Some([least, most]) if least < most => Some(words.fill(
                "layers_between",
                &[("least", &count(least)?), ("most", &count(most)?)],
            )?),
            Some(_) | None => None,
        };
        Ok(LayerRow {
            part: part_name(subject, &l.part)?,
            height: estimate(&l.height_mm, "mm", words)?,
            thickness: as_written(l.thickness_um, "µm", words)?,
            count: count(l.count)?,
            between,
        })
    });
    rows.collect()
}

/// Every step that states hours, and the sum where more than one does.
fn hours(subject: &Subject<'_>, page: &Page) -> Result<Vec<HourRow>, SiteError> {
    let (site, words) = (subject.site, subject.site.words);
    let target = Page::Making(subject.object.id.clone());
    let making = site.address(page).to(&site.address(&target));
    let text = |hours: Option<f64>| hours.map(|h| as_written(h, "h", words)).transpose();
    let mut rows = Vec::new();
    for step in &subject.object.making {
        let machine = machine_h(step);
        if step.record.hours.is_none() && machine.is_none() {
            continue;
        }
        rows.push(HourRow {
            step: site.note(&step.notes)?.title.clone(),
            href: Some(format!("{making}#{}", step.id)),
            people: text(step.record.hours)?,
            machine: text(machine)?,
        });
    }
    if rows.len() > 1 {
        let work = &subject.geometry.quantities.work;
        rows.push(HourRow {
            step: words.get("hours_in_all")?.to_owned(),
            href: None,
            people: text(work.people_h.map(|t| t.value))?,
            machine: text(work.machine_h.map(|t| t.value))?,
        });
    }
    Ok(rows)
}

fn machine_h(step: &Step) -> Option<f64> {
    let reckoned = step.record.quantities.iter().filter_map(|q| q.reckoned());
    let hours: Vec<f64> = reckoned
        .filter(|(kind, _)| *kind == QuantityKind::MachineTime)
        .map(|(_, hours)| hours)
        .collect();
    (!hours.is_empty()).then(|| hours.iter().sum())
}

fn work(subject: &Subject<'_>, work: &Work) -> Result<Vec<String>, SiteError> {
    let words = subject.site.words;
    let mut sentences = Vec::new();
    for (key, total) in [
        ("built_people", work.people_h),
        ("built_machine", work.machine_h),
    ] {
        if let Some(total) = total {
            sentences.push(words.fill(
                key,
                &[
                    ("hours", &as_written(total.value, "h", words)?),
                    ("stated", &subject.site.count(total.steps)?),
                    ("steps", &subject.site.count(work.steps)?),
                ],
            )?);
        }
    }
    Ok(sentences)
}

/// Whether parts, supports and scrap make up the powder used.
fn check(subject: &Subject<'_>, powder: &Powder) -> Result<String, SiteError> {
    let words = subject.site.words;
    let went = [powder.parts_g, powder.supports_g, powder.scrap_g];
    let sum_g: f64 = went.iter().flatten().sum();
    let key = match powder.adds_up {
        Some(true) => "powder_adds_up",
        Some(false) => "powder_does_not_add_up",
        None => return Ok(words.get("powder_partly")?.to_owned()),
    };
    words.fill(
        key,
        &[
            ("sum", &as_written(sum_g, "g", words)?),
            (
                "used",
                &as_written(powder.used_g.unwrap_or(sum_g), "g", words)?,
            ),
        ],
    )
}

fn powder_shares(subject: &Subject<'_>, powder: &Powder) -> Result<Vec<PowderRow>, SiteError> {
    let words = subject.site.words;
    let [parts, supports, scrap] = powder.shares();
    let mut rows = Vec::new();
    for (key, grams, share) in [
        ("powder_parts", powder.parts_g, parts),
        ("powder_supports", powder.supports_g, supports),
        ("powder_scrap", powder.scrap_g, scrap),
        ("powder_used", powder.used_g, None),
    ] {
        let Some(grams) = grams else { continue };
        rows.push(PowderRow {
            went: words.get(key)?.to_owned(),
            mass: as_written(grams, "g", words)?,
            share: share.map(|s| percent(s, words)).transpose()?,
        });
    }
    Ok(rows)
}

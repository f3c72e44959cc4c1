//! From what each figure with an uncertainty was made: its budget, the largest share first.

use super::amounts::{cubic_centimetres, estimate, signed, significant};
use super::{body_name, part_name};
use crate::collate::{Estimate, How};
use crate::differ::Tolerance;
use crate::record::BodyKind;
use crate::site::SiteError;
use crate::site::build::Subject;
use crate::site::page::quantities::WentIn;
use crate::site::words::Words;

/// One row for every figure; nothing is listed of which nothing is known.
pub(super) fn went_in(subject: &Subject<'_>) -> Result<Vec<WentIn>, SiteError> {
    let mut rows = Rows {
        words: subject.site.words,
        rows: Vec::new(),
    };
    sizes(subject, &mut rows)?;
    masses(subject, &mut rows)?;
    surfaces(subject, &mut rows)?;
    standing(subject, &mut rows)?;
    making(subject, &mut rows)?;
    Ok(rows.rows)
}

struct Rows<'w> {
    words: &'w Words,
    rows: Vec<WentIn>,
}

impl Rows<'_> {
    fn add(
        &mut self,
        figure: &str,
        of: Option<String>,
        value: String,
        budget: &Estimate,
        unit: &str,
    ) -> Result<(), SiteError> {
        if budget.contributions.is_empty() {
            return Ok(());
        }
        let mut parts = budget.contributions.clone();
        parts.sort_by(|a, b| b.standard.total_cmp(&a.standard));
        let from = parts.iter().map(|c| {
            self.words.fill(
                "went_line",
                &[
                    ("what", self.words.get(&went_key(c.name))?),
                    ("standard", &significant(c.standard, unit, self.words)?),
                    ("how", self.words.get(how_key(c.how))?),
                ],
            )
        });
        let from = from.collect::<Result<_, _>>()?;
        self.rows.push(WentIn {
            figure: self.words.get(figure)?.to_owned(),
            of,
            value,
            from,
        });
        Ok(())
    }

    fn value(
        &mut self,
        figure: &str,
        of: Option<String>,
        value: &Estimate,
        unit: &str,
    ) -> Result<(), SiteError> {
        let text = estimate(value, unit, self.words)?;
        self.add(figure, of, text, value, unit)
    }

    fn difference(
        &mut self,
        figure: &str,
        of: Option<String>,
        value: &Estimate,
        unit: &str,
    ) -> Result<(), SiteError> {
        let text = signed(value, unit, self.words)?;
        self.add(figure, of, text, value, unit)
    }
}

fn went_key(name: &str) -> String {
    format!("went_{}", name.replace('-', "_"))
}

fn how_key(how: How) -> &'static str {
    match how {
        How::Declared => "known_declared",
        How::Measured => "known_measured",
        How::Assumed => "known_assumed",
    }
}

fn sizes(subject: &Subject<'_>, rows: &mut Rows<'_>) -> Result<(), SiteError> {
    let words = subject.site.words;
    let extents = &subject.geometry.extents;
    let each = extents.bodies.iter().map(|(kind, e)| (Some(*kind), e));
    for (kind, extent) in each.chain(extents.difference.iter().map(|e| (None, e))) {
        let of = Some(of_body(words, kind)?);
        // All three sides are as sure as one another.
        let [side, ..] = &extent.size_mm;
        let text = format!("±\u{a0}{}", significant(side.expanded(), "mm", words)?);
        rows.add("figure_side", of.clone(), text, side, "mm")?;
        if let Some(volume) = &extent.volume_mm3 {
            let volume = cubic_centimetres(volume);
            match kind {
                Some(_) => rows.value("fact_volume", of, &volume, "cm³")?,
                None => rows.difference("fact_volume", of, &volume, "cm³")?,
            }
        }
    }
    Ok(())
}

/// A body, or what one has more than the other.
fn of_body(words: &Words, kind: Option<BodyKind>) -> Result<String, SiteError> {
    match kind {
        Some(kind) => body_name(words, kind),
        None => words.get("replica_less_original"),
    }
    .map(str::to_owned)
}

fn masses(subject: &Subject<'_>, rows: &mut Rows<'_>) -> Result<(), SiteError> {
    let words = subject.site.words;
    let quantities = &subject.geometry.quantities;
    for (kind, mass) in &quantities.masses {
        let of = || of_body(words, Some(*kind)).map(Some);
        for (figure, value) in [
            ("figure_weighed", &mass.weighed_g),
            ("figure_reckoned", &mass.reckoned_g),
        ] {
            if let Some(value) = value {
                rows.value(figure, of()?, value, "g")?;
            }
        }
    }
    if let Some(difference) = &quantities.mass_difference_g {
        rows.difference("fact_mass", Some(of_body(words, None)?), difference, "g")?;
    }
    if let Some(ratio) = &quantities.mass_ratio {
        let of = words.get("replica_over_original")?.to_owned();
        rows.value("fact_mass", Some(of), ratio, "")?;
    }
    Ok(())
}

/// The distance between the surfaces, part by part, and the gaps between parts.
fn surfaces(subject: &Subject<'_>, rows: &mut Rows<'_>) -> Result<(), SiteError> {
    let words = subject.site.words;
    let parts = subject.geometry.collation.iter().flat_map(|c| &c.parts);
    for part in parts {
        let of = Some(part_name(subject, &part.part)?);
        rows.rows.extend(distance(&part.tolerance, of, words)?);
    }
    for (kind, assembly) in &subject.geometry.bearings.assembly {
        for joint in &assembly.joints {
            if let Some(gap) = &joint.gap_mm {
                rows.value("fact_gap", Some(of_body(words, Some(*kind))?), gap, "mm")?;
            }
        }
    }
    Ok(())
}

fn distance(
    tolerance: &Tolerance,
    of: Option<String>,
    words: &Words,
) -> Result<Option<WentIn>, SiteError> {
    let mut shares = tolerance.shares.clone();
    shares.retain(|s| s.standard_mm > 0.0);
    shares.sort_by(|a, b| b.standard_mm.total_cmp(&a.standard_mm));
    if shares.is_empty() {
        return Ok(None);
    }
    let from = shares.iter().map(|s| {
        let name = words.get(&format!("share_{}", s.of.word().replace('-', "_")))?;
        // A certificate is stated; the others were seen in the points and in the fit.
        let how = if s.of.word().ends_with("certificate") {
            How::Declared
        } else {
            How::Measured
        };
        words.fill(
            "went_line",
            &[
                ("what", name),
                ("standard", &significant(s.standard_mm, "mm", words)?),
                ("how", words.get(how_key(how))?),
            ],
        )
    });
    Ok(Some(WentIn {
        figure: words.get("figure_distance")?.to_owned(),
        of,
        from: from.collect::<Result<_, _>>()?,
        value: format!(
            "±\u{a0}{}",
            significant(
                crate::collate::COVERAGE * tolerance.standard_mm,
                "mm",
                words
            )?
        ),
    }))
}

/// How each body leans and when it tips, with its additions and without each.
fn standing(subject: &Subject<'_>, rows: &mut Rows<'_>) -> Result<(), SiteError> {
    let words = subject.site.words;
    for (kind, standing) in &subject.geometry.bearings.standing {
        let of = of_body(words, Some(*kind))?;
        rows.value("figure_lean", Some(of.clone()), &standing.lean_deg, "°")?;
        for without in &standing.without {
            let detail = subject
                .object
                .details
                .iter()
                .find(|d| d.id == without.detail);
            if let Some(detail) = detail {
                let title = &subject.site.note(&detail.notes)?.title;
                let of = words.fill("figure_without", &[("body", &of), ("detail", title)])?;
                rows.value("figure_lean", Some(of), &without.lean_deg, "°")?;
            }
        }
        rows.value("figure_tips", Some(of), &standing.tips_deg, "°")?;
    }
    Ok(())
}

fn making(subject: &Subject<'_>, rows: &mut Rows<'_>) -> Result<(), SiteError> {
    let quantities = &subject.geometry.quantities;
    for layers in &quantities.layers {
        let of = Some(part_name(subject, &layers.part)?);
        rows.value("column_height", of, &layers.height_mm, "mm")?;
    }
    for check in &quantities.scale {
        let body = subject.object.record.bodies.get(check.body);
        let Some(caliper) = body.and_then(|b| b.calipers.get(check.reading)) else {
            continue;
        };
        let of = format!(
            "{}, {}",
            subject.site.text(&caliper.name)?,
            body_name(subject.site.words, check.body)?
        );
        rows.difference("figure_callipers", Some(of), &check.difference_mm, "mm")?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Lang;
    use crate::site::theme::Theme;
    use crate::site::words;

    /// Every name that a contribution is given anywhere has words, in every language.
    #[test]
    fn every_contribution_has_words() {
        let langs: [Lang; 2] = ["en", "cy"].map(|l| l.parse().unwrap());
        let all = words::read(&Theme::built_in(), &langs).unwrap();
        for words in all.values() {
            for name in [
                "scan",
                "openings",
                "density",
                "wall",
                "sharp-edges",
                "scale",
                "mass-of-replica",
                "mass-of-original",
                "coating",
                "snap",
                "callipers",
                "contact",
                "centre-of-mass",
                "model",
                "replica",
                "original",
            ] {
                assert!(words.get(&went_key(name)).is_ok(), "{name}");
            }
        }
    }
}

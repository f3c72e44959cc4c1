//! What differs, with every number and its uncertainty; and the method by itself.

use super::sheet::known;
use super::{Sheet, Teller};
use crate::site::SiteError;
use crate::site::page::DiffersPage;
use crate::site::page::differences::Comparison;

impl Teller<'_> {
    pub(super) fn differs(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        let Some(page) = &self.told.differs else {
            return Ok(());
        };
        for sentence in &page.answer {
            sheet.paragraph(sentence);
        }
        sheet.under(self.get("side_by_side")?);
        for row in &page.rows {
            sheet.blank();
            sheet.fact(&row.aspect, &row.status_word, None);
            sheet.fact(self.get("body_original")?, &row.original, None);
            sheet.fact(self.get("body_replica")?, &row.replica, None);
            for line in &row.measured {
                sheet.fact(self.get("measured_column")?, line, None);
            }
            let verdict = row.verdict.iter().map(String::as_str);
            let why: Vec<&str> = verdict.chain([row.why.as_str()]).collect();
            sheet.fact(
                self.get("why")?,
                &why.join(". "),
                known(row.evidence.as_ref()),
            );
        }
        if let Some(comparison) = &page.comparison {
            self.places_told(comparison, sheet)?;
        }
        if let Some(built) = &page.built {
            sheet.under(self.get("how_built")?);
            for sentence in &built.sentences {
                sheet.paragraph(sentence);
            }
        }
        if let Some(callipers) = &page.callipers {
            sheet.under(self.get("callipers_heading")?);
            for sentence in &callipers.sentences {
                sheet.paragraph(sentence);
            }
            sheet.blank();
            for row in &callipers.rows {
                let text = format!(
                    "{}: {}; {}: {}; {} ({})",
                    self.get("column_callipers")?,
                    row.read,
                    self.get("column_model")?,
                    row.model,
                    row.difference,
                    row.verdict
                );
                let term = format!("{} ({})", row.distance, row.body);
                sheet.fact(&term, &text, known(row.evidence.as_ref()));
            }
        }
        sheet.paragraph(&page.uncertainty);
        let method = self.file("collation/method");
        sheet.paragraph(&self.fill("deposit_method_elsewhere", &[("method", &method)])?);
        Ok(())
    }

    /// Every place that differs, by its number.
    fn places_told(&self, comparison: &Comparison, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.under(self.get("every_place")?);
        if comparison.places.is_empty() {
            sheet.paragraph(self.get("deposit_no_difference")?);
        }
        for place in &comparison.places {
            sheet.blank();
            let number = format!("{} {}", self.get("column_number")?, place.number);
            sheet.fact(&number, &place.kind_word, None);
            sheet.fact(self.get("fact_area")?, &place.area, None);
            sheet.fact(self.get("fact_volume")?, &place.volume, None);
            sheet.fact(self.get("fact_deepest")?, &place.deepest, None);
            sheet.fact(self.get("column_place")?, &place.place, None);
            let why = match &place.detail {
                Some(detail) => format!("({}) {}", detail.letter, detail.title),
                None => place.why.clone(),
            };
            sheet.fact(self.get("region_explained")?, &why, None);
        }
        Ok(())
    }
}

/// How the two bodies were compared, in plain words; nothing without a replica.
pub(super) fn method(teller: &Teller<'_>) -> Result<Option<Vec<u8>>, SiteError> {
    let Some(page) = &teller.told.differs else {
        return Ok(None);
    };
    let mut sheet = teller.sheet()?;
    let title = &teller.told.object.object.title;
    sheet.title(&format!("{}: {title}", teller.get("how_measured")?));
    sheet.paragraph(teller.get("deposit_method_lead")?);
    for sentence in page.comparison.iter().flat_map(|c| &c.method) {
        sheet.paragraph(sentence);
    }
    sheet.paragraph(&page.uncertainty);
    sheet.heading(teller.get("went_heading")?);
    sheet.paragraph(teller.get("went_lead")?);
    went_in(page, &mut sheet);
    sheet.heading(teller.get("deposit_files")?);
    sheet.paragraph(teller.get("deposit_collation_files")?);
    Ok(Some(sheet.finish()))
}

fn went_in(page: &DiffersPage, sheet: &mut Sheet) {
    for figure in &page.went_in {
        sheet.blank();
        let term = match &figure.of {
            Some(of) => format!("{} ({of})", figure.figure),
            None => figure.figure.clone(),
        };
        sheet.fact(&term, &figure.value, None);
        for line in &figure.from {
            sheet.item(line);
        }
    }
}

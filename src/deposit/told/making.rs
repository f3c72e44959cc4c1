//! How it was made, by whom, and from which sources this is known.

use super::{Sheet, Teller};
use crate::site::SiteError;

impl Teller<'_> {
    pub(super) fn making(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        let Some(page) = &self.told.making else {
            return Ok(());
        };
        sheet.paragraph(&page.caution);
        sheet.facts(&page.facts);
        for (step, told) in self.spoken.object.making.iter().zip(&page.steps) {
            sheet.under(&format!(
                "{} {}: {}",
                self.get("column_step")?,
                told.number,
                told.title.to_uppercase()
            ));
            sheet.facts(&told.facts);
            self.put_note(&step.notes, sheet)?;
            if let Some(caution) = &told.caution {
                sheet.paragraph(&format!("{} {caution}", self.get("caution")?));
            }
        }
        Ok(())
    }

    pub(super) fn people(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.facts(&self.told.rights.people);
        sheet.under(&format!("{}:", self.get("sources")?));
        sheet.blank();
        for source in &self.told.rights.sources {
            let parts = [
                &source.author,
                &Some(source.title.clone()),
                &source.date,
                &source.held,
            ];
            let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
            sheet.item(&parts.join(". "));
        }
        Ok(())
    }
}

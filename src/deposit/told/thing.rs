//! What the object is, and its bodies.

use super::{Sheet, Teller};
use crate::site::page::Fact;
use crate::site::{SiteError, figures};

impl Teller<'_> {
    pub(super) fn opening(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        let (catalogue, head) = (self.spoken.catalogue, &self.told.object.object);
        sheet.title(&self.fill(
            "deposit_title",
            &[("title", &head.title), ("number", &head.number)],
        )?);
        let day = figures::day(catalogue.today, self.words)?;
        sheet.paragraph(&self.fill(
            "deposit_made",
            &[
                ("day", &day),
                ("publisher", &catalogue.site.publisher),
                ("program", &super::super::agent()),
            ],
        )?);
        sheet.paragraph(self.get("deposit_plain")?);
        if let Some(statement) = &catalogue.site.statement {
            sheet.paragraph(self.text(statement)?);
        }
        Ok(())
    }

    pub(super) fn thing(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.paragraph(&self.where_it_is()?);
        sheet.facts(&self.told.object.facts);
        self.put_note(&self.spoken.object.notes, sheet)
    }

    /// Where original and replica were on the day of the package.
    pub(super) fn where_it_is(&self) -> Result<String, SiteError> {
        let bodies = &self.spoken.object.record.bodies;
        let original = self.text(&bodies.original.location)?;
        match &bodies.replica {
            Some(replica) => self.fill(
                "deposit_where_both",
                &[
                    ("original", original),
                    ("replica", self.text(&replica.location)?),
                ],
            ),
            None => self.fill("deposit_where", &[("original", original)]),
        }
    }

    pub(super) fn bodies(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        if self.told.object.bodies.len() > 1 {
            sheet.paragraph(self.get("deposit_bodies_lead")?);
        }
        for body in &self.told.object.bodies {
            sheet.under(&body.heading.to_uppercase());
            sheet.facts(&body.facts);
            let record = match body.kind {
                "original" => Some(&self.spoken.object.record.bodies.original),
                _ => self.spoken.object.record.bodies.replica.as_ref(),
            };
            let Some(record) = record else { continue };
            let mut facts = Vec::new();
            for part in &record.parts {
                let material = self.spoken.object.record.materials.get(&part.material);
                let mut value = format!("‘{}’", self.text(&part.name)?);
                if let Some(material) = material {
                    let [least, most] = material.density_g_per_cm3;
                    value += &format!(
                        "; {}, {}–{}\u{a0}g/cm³",
                        self.text(&material.name)?,
                        self.number(least, 2)?,
                        self.number(most, 2)?
                    );
                }
                facts.push(Fact {
                    term: self.get("column_part")?.to_owned(),
                    value,
                    evidence: None,
                });
            }
            if let Some(scan) = &record.scan {
                let value =
                    self.fill("deposit_scan", &[("mm", &self.mm(scan.uncertainty_mm, 3)?)])?;
                facts.push(Fact {
                    term: self.get("deposit_points")?.to_owned(),
                    value,
                    evidence: None,
                });
            }
            sheet.facts(&facts);
        }
        Ok(())
    }
}

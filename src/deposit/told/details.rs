//! The details, one by one.

use super::{Sheet, Teller, pictures};
use crate::collate::Placed;
use crate::deposit::contents;
use crate::record::{BodyKind, Detail, Stands};
use crate::site::page::DetailPage;
use crate::site::{SiteError, figures};

impl Teller<'_> {
    pub(super) fn details(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        sheet.paragraph(self.get("deposit_details_lead")?);
        let object = self.spoken.object;
        for (index, (detail, page)) in object.details.iter().zip(&self.told.details).enumerate() {
            let letter = figures::letter(index);
            sheet.under(&format!("({letter}) {}", page.title.to_uppercase()));
            self.detail(detail, page, sheet)?;
        }
        Ok(())
    }

    fn detail(
        &self,
        detail: &Detail,
        page: &DetailPage,
        sheet: &mut Sheet,
    ) -> Result<(), SiteError> {
        sheet.blank();
        let kind = format!("{}: {}", page.kind_word, page.kind_meaning);
        sheet.fact(self.get("kind")?, &kind, None);
        for fact in &page.bearing {
            sheet.fact(&fact.term, &fact.value, None);
        }
        let places = self.spoken.geometry.places.get(&detail.id);
        let anchor = &detail.record.anchor;
        for (body, placed) in places.into_iter().flatten() {
            self.placed(detail, *body, placed, anchor.radius_mm, sheet)?;
        }
        let further = self.spoken.geometry.elsewhere.get(&detail.id);
        for (patch, placed) in detail
            .record
            .elsewhere
            .iter()
            .zip(further.into_iter().flatten())
        {
            let place = self.point(placed.point)?;
            let radius = self.mm(patch.radius_mm, 1)?;
            let text = self.fill("deposit_also", &[("point", &place), ("radius", &radius)])?;
            sheet.fact(self.get("fact_place_on_object")?, &text, None);
        }
        let known = self.get("fact_known")?;
        for fact in page.facts.iter().filter(|f| f.term == known) {
            sheet.fact(&fact.term, &fact.value, None);
        }
        if let Some(described) = &page.described {
            sheet.paragraph(&described.text);
        }
        self.put_note(&detail.notes, sheet)?;
        self.its_pictures(detail, sheet)
    }

    /// Where it is on one body, in words and in numbers.
    fn placed(
        &self,
        detail: &Detail,
        body: BodyKind,
        placed: &Placed,
        radius_mm: f64,
        sheet: &mut Sheet,
    ) -> Result<(), SiteError> {
        let stands = match body {
            BodyKind::Original => Some(detail.record.bearing.original),
            BodyKind::Replica => detail.record.bearing.replica,
        };
        let mut text = self.place(detail, body, placed.point, placed.normal)?;
        if stands == Some(Stands::Absent) {
            text = format!("{text} {}", self.get("deposit_not_there")?);
        }
        let n = placed.normal;
        text = format!(
            "{text} {}",
            self.fill(
                "deposit_numbers",
                &[
                    ("point", &self.point(placed.point)?),
                    ("radius", &self.mm(radius_mm, 1)?),
                    ("nx", &self.number(n.x, 2)?),
                    ("ny", &self.number(n.y, 2)?),
                    ("nz", &self.number(n.z, 2)?),
                ],
            )?
        );
        sheet.fact(self.get("fact_place_on_object")?, &text, None);
        Ok(())
    }

    /// Its pictures, with their words.
    fn its_pictures(&self, detail: &Detail, sheet: &mut Sheet) -> Result<(), SiteError> {
        let stems = [
            format!("data/pictures/details/{}-", detail.id),
            format!("data/pictures/raking-light/{}-", detail.id),
        ];
        let bodies = ["original", "replica"];
        sheet.blank();
        for (name, picture) in pictures(self.told, self.spoken.shown) {
            let its = |stem: &String| {
                name.strip_prefix(stem.as_str())
                    .is_some_and(|rest| bodies.contains(&rest))
            };
            if stems.iter().any(its) {
                let file = with_ending(&name, contents::largest(picture));
                sheet.item(&format!("{file}: {}", picture.alt));
            }
        }
        for photograph in &detail.record.photographs {
            let file =
                contents::record_name(self.spoken.object, &detail.folder.join(&photograph.file));
            let alt = self.text(&photograph.alt)?;
            sheet.item(&format!("{}: {alt}", file.trim_start_matches("data/")));
        }
        Ok(())
    }
}

/// The name of a picture as it stands beside the read-me.
pub(super) fn with_ending(name: &str, path: &str) -> String {
    let ending = path.rsplit('.').next().unwrap_or("");
    format!("{}.{ending}", name.trim_start_matches("data/"))
}

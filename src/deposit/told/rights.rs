//! Rights, and what was withheld for their sake.

use super::{Left, Sheet, Teller};
use crate::deposit::contents::record_name;
use crate::record::{Asset, BodyKind, Use, Why, Withheld};
use crate::site::{SiteError, figures};

/// `rights.txt`.
pub(super) fn rights(teller: &Teller<'_>) -> Result<Vec<u8>, SiteError> {
    let mut sheet = teller.sheet()?;
    let title = &teller.told.object.object.title;
    sheet.title(&format!("{}: {title}", teller.get("rights_heading")?));
    sheet.paragraph(teller.get("deposit_rights_lead")?);
    for row in &teller.told.rights.credits {
        sheet.under(&row.asset);
        sheet.blank();
        sheet.fact(teller.get("holder")?, &row.holder, None);
        let statement = format!("{} <{}>", row.label, row.statement);
        sheet.fact(teller.get("statement")?, &statement, None);
        sheet.fact(teller.get("permits")?, &row.permits, None);
    }
    Ok(sheet.finish())
}

/// `withheld.txt`.
pub(super) fn withheld(teller: &Teller<'_>) -> Result<Vec<u8>, SiteError> {
    let mut sheet = teller.sheet()?;
    let title = &teller.told.object.object.title;
    sheet.title(&format!("{}: {title}", teller.get("deposit_withheld")?));
    let day = figures::day(teller.spoken.catalogue.today, teller.words)?;
    let lines = lines(teller)?;
    if lines.is_empty() {
        sheet.paragraph(&teller.fill("deposit_withheld_nothing", &[("day", &day)])?);
    } else {
        sheet.paragraph(&teller.fill("deposit_withheld_lead", &[("day", &day)])?);
        sheet.blank();
        for line in lines {
            sheet.item(&line);
        }
    }
    Ok(sheet.finish())
}

/// One sentence for everything that is withheld.
pub(super) fn lines(teller: &Teller<'_>) -> Result<Vec<String>, SiteError> {
    let withheld = teller.spoken.withheld.iter().map(|w| teller.asset(w));
    let left = teller.spoken.left.iter().map(|left| teller.left(left));
    withheld.chain(left).collect()
}

impl Teller<'_> {
    pub(super) fn rights_told(&self, sheet: &mut Sheet) -> Result<(), SiteError> {
        let files = [
            ("rights", self.file("rights")),
            ("withheld", self.file("withheld")),
        ];
        let files = files
            .each_ref()
            .map(|(blank, file)| (*blank, file.as_str()));
        sheet.paragraph(&self.fill("deposit_rights_elsewhere", &files)?);
        sheet.blank();
        for row in &self.told.rights.credits {
            sheet.item(&format!("{}: {}, {}", row.asset, row.holder, row.label));
        }
        let lines = lines(self)?;
        if lines.is_empty() {
            let day = figures::day(self.spoken.catalogue.today, self.words)?;
            sheet.paragraph(&self.fill("deposit_withheld_nothing", &[("day", &day)])?);
        } else {
            sheet.under(&format!("{}:", self.get("deposit_withheld")?));
            sheet.blank();
            for line in lines {
                sheet.item(&line);
            }
        }
        Ok(())
    }

    fn asset(&self, withheld: &Withheld) -> Result<String, SiteError> {
        let object = self.spoken.object;
        let what = match &withheld.asset {
            Asset::Words => self.get("asset_words")?.to_owned(),
            Asset::Model { body, part } => {
                let parts = object.record.bodies.parts(*body);
                let name = match parts.iter().find(|p| &p.id == part) {
                    Some(part) => self.text(&part.name)?.to_owned(),
                    None => part.to_string(),
                };
                self.fill(&format!("asset_model_{}", body.word()), &[("part", &name)])?
            }
            Asset::Photograph { .. } => self.get("deposit_photograph")?.to_owned(),
            Asset::Recording { .. } => self.get("deposit_recording")?.to_owned(),
        };
        let files: Vec<String> = withheld
            .files
            .iter()
            .map(|path| {
                record_name(object, path)
                    .trim_start_matches("data/")
                    .to_owned()
            })
            .collect();
        let rights = object
            .record
            .rights
            .iter()
            .find(|r| r.id == withheld.rights);
        let holder = rights.map_or("", |r| r.holder.as_str());
        let day = |day| figures::day(day, self.words);
        let why = match &withheld.why {
            Why::NotAmong(uses) if uses.is_empty() => self.get("deposit_why_nothing")?.to_owned(),
            Why::NotAmong(uses) => {
                let words: Vec<&str> = uses
                    .iter()
                    .map(|usage| self.get(use_key(*usage)))
                    .collect::<Result<_, _>>()?;
                let list = words.join(self.get("list_separator")?);
                self.fill("deposit_why_only", &[("uses", &list)])?
            }
            Why::Begins(from) => self.fill("deposit_why_begins", &[("day", &day(*from)?)])?,
            Why::Ended(until) => self.fill("deposit_why_ended", &[("day", &day(*until)?)])?,
            Why::TooFine(mm) => self.fill("deposit_why_too_fine", &[("mm", &self.mm(*mm, 2)?)])?,
            Why::NoAgreement => self.get("deposit_why_none")?.to_owned(),
        };
        self.fill(
            "deposit_withheld_asset",
            &[
                ("what", &what),
                ("files", &files.join(self.get("list_separator")?)),
                ("rights", withheld.rights.as_str()),
                ("holder", holder),
                ("why", &why),
            ],
        )
    }

    fn left(&self, left: &Left) -> Result<String, SiteError> {
        match left {
            Left::Unnamed(name) => self.fill(
                "deposit_left_unnamed",
                &[("file", name.trim_start_matches("data/"))],
            ),
            Left::Remarks(name, sum) => self.fill(
                "deposit_left_remarks",
                &[("file", name.trim_start_matches("data/")), ("sum", sum)],
            ),
            Left::Unread(name) => self.fill(
                "deposit_left_unread",
                &[("file", name.trim_start_matches("data/"))],
            ),
            Left::Body(BodyKind::Original) => Ok(self.get("deposit_left_original")?.to_owned()),
            Left::Body(BodyKind::Replica) => Ok(self.get("deposit_left_replica")?.to_owned()),
            Left::Both => Ok(self.get("deposit_left_both")?.to_owned()),
            Left::Site => Ok(self.get("deposit_left_site")?.to_owned()),
        }
    }
}

fn use_key(usage: Use) -> &'static str {
    match usage {
        Use::Display => "use_display",
        Use::Download => "use_download",
        Use::Print => "use_print",
        Use::Deposit => "use_deposit",
    }
}

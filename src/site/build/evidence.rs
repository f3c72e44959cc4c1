//! How a claim is known, as a short sentence.

use super::Site;
use crate::record::{Evidence, Ground, Object};
use crate::site::{SiteError, figures};

impl Site<'_> {
    /// "Measured by Ruth Adeyemi, 4 March 2025, from: Scan report."
    pub(super) fn evidence(
        &self,
        evidence: &Evidence,
        object: &Object,
    ) -> Result<String, SiteError> {
        let ground = match evidence.ground {
            Ground::Measured => "ground_measured",
            Ground::Observed => "ground_observed",
            Ground::Documented => "ground_documented",
            Ground::Conjectured => "ground_conjectured",
        };
        let mut text = self.words.get(ground)?.to_owned();
        let person = evidence
            .by
            .as_ref()
            .and_then(|id| self.catalogue.site.people.get(id));
        if let Some(person) = person {
            text = self.words.fill(
                "evidence_by",
                &[("ground", &text), ("person", &person.name)],
            )?;
        }
        if let Some(day) = evidence.date {
            text = format!("{text}, {}", figures::day(day, self.words)?);
        }
        let source = evidence
            .source
            .as_ref()
            .and_then(|id| object.record.sources.get(id));
        if let Some(source) = source {
            text = self.words.fill(
                "evidence_from",
                &[("claim", &text), ("source", &source.title)],
            )?;
        }
        Ok(text)
    }
}

//! What only the site can find in records.

use super::{address, everywhere, theme};
use crate::record::{Catalogue, Finding, Findings, Object, Severity, SourceFile};

/// Findings that only the site can know: names that it needs for itself.
pub fn findings(catalogue: &Catalogue) -> Findings {
    let mut findings = Findings::none();
    let languages = catalogue
        .site
        .languages
        .iter()
        .map(|l| l.as_str().to_lowercase());
    let taken: Vec<String> = address::TAKEN_AT_ROOT
        .map(str::to_owned)
        .into_iter()
        .chain(languages)
        .collect();
    for tag in &catalogue.site.languages {
        if address::TAKEN_AT_ROOT.contains(&tag.as_str().to_lowercase().as_str()) {
            findings.push(Finding {
                severity: Severity::Error,
                rule: "name-taken",
                place: SourceFile::whole("site.toml"),
                what: format!(
                    "the site uses the folder ‘{tag}’ itself, so that no language can have it"
                ),
                remedy: format!("take ‘{tag}’ out of ‘languages’"),
            });
        }
    }
    let theme = theme::Theme::built_in();
    for object in &catalogue.objects {
        for old in &object.record.formerly {
            if taken.iter().any(|name| name == old.as_str()) {
                findings.push(Finding {
                    severity: Severity::Error,
                    rule: "name-taken",
                    place: SourceFile::whole(&format!("{}/record.toml", object.id)),
                    what: format!("the site uses the former name ‘{old}’ itself"),
                    remedy: format!("take ‘{old}’ out of ‘formerly’"),
                });
            }
        }
        findings.extend(unset(object, &theme));
        if taken.iter().any(|name| name == object.id.as_str()) {
            findings.push(Finding {
                severity: Severity::Error,
                rule: "name-taken",
                place: SourceFile::whole(&format!("{}/record.toml", object.id)),
                what: format!("the site uses the folder name ‘{}’ itself", object.id),
                remedy: format!("name the object otherwise, for example ‘{}-1’", object.id),
            });
        }
    }
    findings
}

/// A title with letters that the type of the social pictures has not.
fn unset(object: &Object, theme: &theme::Theme) -> Findings {
    let mut findings = Findings::none();
    for note in object.notes.values() {
        let Ok(letters) = everywhere::lacking(theme, &note.title) else {
            continue;
        };
        if !letters.is_empty() {
            let letters: Vec<String> = letters.iter().map(char::to_string).collect();
            findings.push(Finding {
                severity: Severity::Advice,
                rule: "letters-lacking",
                place: SourceFile::whole(&note.source.name),
                what: format!("The type in which pictures for sharing are set lacks letters of this title: {}.", letters.join(" ")),
                remedy: "Give the theme fonts that have them, under the names in fonts/drawn/.".to_owned(),
            });
        }
    }
    findings
}

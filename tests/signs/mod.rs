//! Inscriptions for tests: the signs of the EpiDoc Guidelines, as in tests/words.rs, and readings
//! in which they stand within one another.

use counterpart::limits::Limits;
use counterpart::record::{self, Catalogue, Day, Detail, Note, Object, SourceFile, Sources};
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub(crate) const CASES: &[&str] = &[
    "tomas",
    "to\u{323}mas",
    "tom[as]",
    "tom[as?]",
    "tom[?as]",
    "tom[...]",
    "[c. 7]",
    "[- - -]",
    "[- - - - - -]",
    "+++",
    "f(ecit)",
    "pl(- - -)",
    "⟦tomas⟧",
    "[[tomas]]",
    "⟦[...]⟧",
    "«anna»",
    "`et´",
    "tom{m}as",
    "to<m>as",
    "VXQ",
    "vac. 3",
    "tomas vac. me",
    "to-/mas",
    "tomas / me",
    "a\u{361}e",
    "tomas(!)",
    "✠ tomas • me · fecit †",
    "T(itus) fec[it]",
    "T(i)t(us)",
    "[T](itus)",
    "[t(omas)]",
    "⟦pl(- - -)⟧",
    "D(omi)n(- - -)",
    "[to-/ma`s´]",
    "⟦«[to?]m{m}a<s>»⟧",
    "tom[as?] ⟦[...]⟧ pl(- - -) to<m>as {m} «anna» `et´ +++ vac. 3 to-/mas (!)",
    "TOMAS · FVSOR · ME · FECIT · AN[N]O · D(OMI)NI · 1647",
    "[c. 7] a\u{361}e [- - -] / [- - - - - -]",
    "שלום",
    "Θεό\u{323}ς & filius",
];

/// The demonstration's records.
pub(crate) fn demo() -> (Catalogue, Sources) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let today = Day::new(2026, 1, 2).unwrap();
    let reading = record::read(&folder, today, &Limits::default());
    (reading.catalogue.unwrap(), reading.sources)
}

pub(crate) fn detail<'c>(catalogue: &'c Catalogue, name: &str) -> (&'c Object, &'c Detail) {
    let mut all = catalogue
        .objects
        .iter()
        .flat_map(|o| o.details.iter().map(move |d| (&**o, d)));
    all.find(|(_, d)| d.id.as_str() == name).unwrap()
}

/// The token's inscription is told in these notes instead.
#[allow(dead_code)]
pub(crate) fn told(catalogue: &mut Catalogue, notes: &[(&str, &str)]) {
    let objects = catalogue.objects.iter_mut().map(Arc::make_mut);
    let details = objects.flat_map(|o| &mut o.details);
    let mut details = details.filter(|d| d.id.as_str() == "token-inscription");
    let detail = details.next().unwrap();
    for (lang, text) in notes {
        let source = SourceFile {
            name: format!("pilgrim-token/details/token-inscription/{lang}.md"),
            path: PathBuf::new(),
            text: (*text).to_owned(),
        };
        let lang: counterpart::record::Lang = lang.parse().unwrap();
        detail
            .notes
            .insert(lang.clone(), Note::read(source, lang).0);
    }
}

/// A note with one inscription.
#[allow(dead_code)]
pub(crate) fn note(title: &str, signs: &str, translation: &str) -> String {
    format!(
        "# {title}\n\nWords.\n\n```leiden la\n{signs}\n```\n\n```expanded la\nverba\n```\n\n```translation\n{translation}\n```\n"
    )
}

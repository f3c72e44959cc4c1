//! What is printed of a new object.

use super::Arrived;
use super::flags::{AccessionArgs, unit_words};
use crate::terminal::Terminal;
use counterpart::accession::{self, UnitChoice};
use counterpart::desk::pen::Inside;
use counterpart::limits::Limits;
use counterpart::record::{self, Day, Findings, ObjectId};
use std::fmt::Write;
use std::path::Path;

pub(super) fn unit_lines(choices: &[UnitChoice]) -> String {
    let line = |c: &UnitChoice| {
        let mark = if c.likely { "  (a usual size)" } else { "" };
        format!(
            "  in {}: its longest side is {:.1} mm{mark}",
            unit_words(c.unit),
            c.longest_mm
        )
    };
    choices.iter().map(line).collect::<Vec<_>>().join("\n")
}

pub(super) fn unknown_unit(path: &Path) -> String {
    match accession::unit_choices(path, &Limits::default()) {
        Ok(choices) => format!(
            "not measured, since its unit is not known:\n{}",
            unit_lines(&choices)
        ),
        Err(error) => error.to_string(),
    }
}

/// What the survey still wants of this object and the site.
pub(super) fn missing(args: &AccessionArgs, ids: &[ObjectId]) -> (Findings, record::Sources) {
    let reading = record::read(&args.content, Day::today(), &Limits::default());
    let mut own = Findings::none();
    for finding in reading.findings.iter() {
        let folder = finding.place.file.split('/').next().unwrap_or_default();
        if ids.iter().any(|id| id.as_str() == folder) || finding.place.file == "site.toml" {
            own.push(finding.clone());
        }
    }
    (own, reading.sources)
}

pub(super) fn plain(
    args: &AccessionArgs,
    id: &ObjectId,
    files: &[Inside],
    new_site: bool,
    arrived: &[Arrived],
    (missing, sources): &(Findings, record::Sources),
    terminal: &Terminal,
) -> String {
    let mut out = format!("The object {id} is begun in {}:\n", args.content.display());
    for file in files.iter().chain(arrived.iter().map(|a| &a.file)) {
        let _ = writeln!(out, "  {file}");
    }
    if new_site {
        out.push_str("The content folder is new, and site.toml was begun with it.\n");
    }
    for scan in arrived {
        let text = match &scan.measured {
            Ok(measured) => measured.plain(),
            Err(why) => why.clone(),
        };
        let _ = write!(out, "\n{}:\n{}\n", scan.file, indented(&text));
    }
    if missing.is_empty() {
        out.push_str("\nNothing is missing. See it with: counterpart publish\n");
    } else {
        terminal.note_findings(missing, sources);
        let _ = writeln!(out, "\n{}", still_wanted(missing));
    }
    out
}

/// How much is still to be done, in a sentence.
pub(super) fn still_wanted(missing: &Findings) -> String {
    let (errors, advice) = missing.counts();
    let things = match errors {
        0 => "nothing has".to_owned(),
        1 => "one thing has".to_owned(),
        more => format!("{more} things have"),
    };
    format!(
        "Before it can be published {things} to be filled in or mended (advised besides: {advice}). See the list above; counterpart desk leads through it."
    )
}

fn indented(text: &str) -> String {
    let lines = text.trim_end().lines();
    lines
        .map(|l| format!("  {l}"))
        .collect::<Vec<_>>()
        .join("\n")
}

pub(super) fn json(
    id: &ObjectId,
    files: &[Inside],
    arrived: &[Arrived],
    missing: &Findings,
) -> String {
    let scans = arrived.iter().map(|scan| match &scan.measured {
        Ok(measured) => serde_json::json!({ "file": scan.file, "measured": measured.json() }),
        Err(why) => serde_json::json!({ "file": scan.file, "not_measured": why }),
    });
    let report = serde_json::json!({
        "format": 1,
        "object": id,
        "files": files,
        "scans": scans.collect::<Vec<_>>(),
        "missing": missing,
    });
    format!("{report:#}\n")
}

//! New objects from a file of records that came from elsewhere.

use super::flags::AccessionArgs;
use super::telling::{missing, still_wanted};
use counterpart::accession::{self, Starting};
use counterpart::desk::pen::Moment;
use counterpart::exchange::{self, Bounds, Coming};
use counterpart::record::{Lang, ObjectId, Site};
use std::fmt::Write;
use std::io::Read;
use std::path::Path;

/// At most so many faults are printed; more are seldom of another kind.
const MOST_FAULTS: usize = 40;

/// Begins an object for each record of the file, all of them or none, and says what was left out.
pub(super) fn take(args: &AccessionArgs, file: &Path) -> Result<String, String> {
    let named = file.display();
    let bounds = Bounds::USUAL;
    let bytes = read(file, bounds.bytes)?;
    let site = args.content.join("site.toml");
    // Without a readable site.toml nobody has said in which languages its texts are.
    let site = std::fs::read_to_string(site).ok();
    let languages = site.and_then(|text| toml::from_str::<Site>(&text).ok());
    let languages: Vec<Lang> = languages.map(|s| s.languages).unwrap_or_default();
    let only = match &languages[..] {
        [only] => Some(only),
        _ => None,
    };
    let received = exchange::read(&bytes, only, &bounds).map_err(|faults| {
        let lines = faults.iter().map(ToString::to_string).collect();
        format!("Nothing was taken from {named}.\n{}", list(lines))
    })?;
    let called = file.file_name().unwrap_or_default().to_string_lossy();
    let coming = exchange::coming(received.records, &called, received.ending)
        .map_err(|faults| format!("Nothing was taken from {named}.\n{}", list(faults)))?;
    let coming = chosen(coming, &args.object)?;
    let there = there(args, &coming);
    if !there.is_empty() {
        return Err(format!(
            "Nothing was taken from {named}: of these objects there are folders already, and they were left as they are.\n{}Choose others with --object, or move those folders out of {} first.",
            list(there),
            args.content.display()
        ));
    }
    let starting: Vec<Starting> = coming.iter().map(|c| c.starting.clone()).collect();
    let pen = super::open(args)?;
    let begun = accession::begin_all(&pen, &starting, Moment::now()).map_err(|e| e.to_string())?;
    let ids: Vec<ObjectId> = starting.iter().map(|s| s.id.clone()).collect();
    let (wanted, _) = missing(args, &ids);
    if args.json {
        let objects = coming.iter().map(|c| {
            serde_json::json!({ "object": c.starting.id, "left_out": c.left, "languages_left_out": unspoken(c, &languages) })
        });
        let report = serde_json::json!({
            "format": 1, "read_as": received.how, "objects": objects.collect::<Vec<_>>(), "files": begun.files, "missing": wanted,
        });
        return Ok(format!("{report:#}\n"));
    }
    let mut out = format!("{named} was read as {}.\n", received.how);
    for one in &coming {
        let _ = writeln!(out, "\nThe object {} is begun:", one.starting.id);
        let folder = format!("{}/", one.starting.id);
        let own = begun.files.iter().map(ToString::to_string);
        for f in own.filter(|f| f.starts_with(&folder)) {
            let _ = writeln!(out, "  {f}");
        }
        if !one.left.is_empty() {
            let _ = writeln!(
                out,
                "Not taken over, and kept in {folder}received/ as it came:"
            );
            for (path, times) in &one.left {
                let _ = match times {
                    1 => writeln!(out, "  {path}"),
                    n => writeln!(out, "  {path} ({n} times)"),
                };
            }
        }
        let unspoken = unspoken(one, &languages);
        if !unspoken.is_empty() {
            let _ = writeln!(
                out,
                "Words in languages that the site has not were kept there only: {}.",
                unspoken.join(", ")
            );
        }
    }
    if begun.site {
        out.push_str("\nThe content folder is new, and site.toml was begun with it.\n");
    }
    let _ = writeln!(
        out,
        "\n{}",
        still_wanted(&wanted).replace(
            "See the list above; counterpart desk",
            "counterpart survey lists them; counterpart desk"
        )
    );
    Ok(out)
}

/// The bytes of a file, at most one more than may be.
fn read(file: &Path, most: u64) -> Result<Vec<u8>, String> {
    let failed = |e: std::io::Error| format!("{} cannot be read: {e}.", file.display());
    let mut bytes = Vec::new();
    let opened = std::fs::File::open(file).map_err(failed)?;
    opened
        .take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    Ok(bytes)
}

fn chosen(coming: Vec<Coming>, wanted: &[ObjectId]) -> Result<Vec<Coming>, String> {
    if wanted.is_empty() {
        return Ok(coming);
    }
    let all: Vec<String> = coming.iter().map(|c| c.starting.id.to_string()).collect();
    if let Some(absent) = wanted.iter().find(|w| !all.contains(&w.to_string())) {
        return Err(format!(
            "The file has no record that would be called {absent}. It has:\n{}",
            list(all)
        ));
    }
    Ok(coming
        .into_iter()
        .filter(|c| wanted.contains(&c.starting.id))
        .collect())
}

/// Folders that are in the way, whatever is in them.
fn there(args: &AccessionArgs, coming: &[Coming]) -> Vec<String> {
    let ids = coming.iter().map(|c| c.starting.id.to_string());
    ids.filter(|id| args.content.join(id).symlink_metadata().is_ok())
        .collect()
}

/// Languages of a record that are none of the site's: their notes are not written.
fn unspoken(one: &Coming, languages: &[Lang]) -> Vec<String> {
    let answers = &one.starting.answers;
    let mut all: Vec<&Lang> = answers
        .titles
        .0
        .keys()
        .chain(answers.words.0.keys())
        .collect();
    all.sort();
    all.dedup();
    all.retain(|lang| !languages.is_empty() && !languages.contains(lang));
    all.into_iter().map(ToString::to_string).collect()
}

fn list(lines: Vec<String>) -> String {
    let more = lines.len().saturating_sub(MOST_FAULTS);
    let mut out: String = lines
        .iter()
        .take(MOST_FAULTS)
        .map(|l| format!("  {l}\n"))
        .collect();
    if more > 0 {
        let _ = writeln!(out, "  … and {more} more");
    }
    out
}

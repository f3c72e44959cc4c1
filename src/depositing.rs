//! `counterpart deposit`: a package for an archive, and the check of one.

use crate::terminal::Terminal;
use crate::{DONE, FAILED, FINDINGS, look, open_store};
use clap::Args;
use counterpart::deposit::{self, DepositError, Deposited, Verdict};
use counterpart::limits::Limits;
use counterpart::record::{Day, Findings, ObjectId};
use std::path::{Path, PathBuf};

#[derive(Args)]
pub(crate) struct DepositArgs {
    /// The object, by the name of its folder
    #[arg(required_unless_present = "verify", conflicts_with = "verify")]
    object: Option<ObjectId>,
    /// The content folder
    #[arg(long, value_name = "DIR", default_value = "content")]
    content: PathBuf,
    /// The folder in which the package is put, under the object's name
    #[arg(
        long,
        value_name = "DIR",
        required_unless_present = "verify",
        conflicts_with = "verify"
    )]
    to: Option<PathBuf>,
    /// The day of the package, for which rights are judged, for example 2027-01-31; today when left out
    #[arg(long, value_name = "DAY", conflicts_with = "verify")]
    on: Option<Day>,
    /// Write one file (ZIP, not compressed) instead of a folder
    #[arg(long, conflicts_with = "verify")]
    pack: bool,
    /// Check a package, a folder or a packed file, whoever wrote it
    #[arg(long, value_name = "FILE")]
    verify: Option<PathBuf>,
    /// Print the report as JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &DepositArgs, terminal: &Terminal) -> u8 {
    match (&args.verify, &args.object, &args.to) {
        (Some(file), ..) => verify(file, args.json, terminal),
        (None, Some(object), Some(to)) => write(args, object, to, terminal),
        // The arguments are declared so that this cannot be.
        _ => FAILED,
    }
}

fn verify(file: &Path, json: bool, terminal: &Terminal) -> u8 {
    match deposit::verify(file, terminal) {
        Ok(verdict) => {
            let told = match json {
                true => verdict_json(file, &verdict),
                false => verdict.plain(file),
            };
            terminal.answer(json, &told);
            if verdict.valid { DONE } else { FINDINGS }
        }
        Err(error) => {
            terminal.note(&format!("The package could not be checked: {error}"));
            FAILED
        }
    }
}

fn verdict_json(file: &Path, verdict: &Verdict) -> String {
    let report = serde_json::json!({ "format": 1, "file": file, "verdict": verdict });
    format!("{report:#}\n")
}

fn write(args: &DepositArgs, object: &ObjectId, to: &Path, terminal: &Terminal) -> u8 {
    let found = look(&args.content, args.on, terminal);
    let folder = format!("{object}/");
    let mut own = Findings::none();
    for finding in found.findings.iter() {
        // Faults of other objects do not touch this one, unless they stand in the way of all records.
        let elsewhere = found.catalogue.as_ref().is_some_and(|catalogue| {
            let others = catalogue.objects.iter().filter(|o| &o.id != object);
            let mut folders = others.map(|o| format!("{}/", o.id));
            folders.any(|other| finding.place.file.starts_with(&other))
        });
        if !elsewhere || finding.place.file.starts_with(&folder) {
            own.push(finding.clone());
        }
    }
    if !own.is_empty() {
        terminal.note_findings(&own, &found.sources);
    }
    let Some(catalogue) = found.catalogue.as_ref().filter(|_| !own.refuse()) else {
        terminal.note("Nothing was deposited; an earlier package, if there is one, is as it was.");
        return FINDINGS;
    };
    let store = open_store(&args.content, terminal);
    let done = deposit::deposit(&deposit::Request {
        catalogue,
        geometry: &found.geometry,
        sources: &found.sources,
        object,
        to,
        packed: args.pack,
        store: &store,
        limits: &Limits::default(),
        listener: terminal,
    });
    match done {
        Ok(done) => {
            let told = match args.json {
                true => done_json(&done),
                false => done_plain(&done),
            };
            terminal.answer(args.json, &told);
            DONE
        }
        Err(error) => {
            terminal.note(&format!(
                "Nothing was deposited: {error}\nAn earlier package, if there is one, is as it was."
            ));
            match error {
                DepositError::Refused(_) => FINDINGS,
                _ => FAILED,
            }
        }
    }
}

fn done_json(done: &Deposited) -> String {
    let report = serde_json::json!({
        "format": 1, "package": done.path, "files": done.files, "bytes": done.bytes,
        "used_again": { "files": done.found_files, "bytes": done.found_bytes },
        "withheld": done.withheld,
    });
    format!("{report:#}\n")
}

fn done_plain(done: &Deposited) -> String {
    let path = done.path.display();
    let megabytes = |bytes: u64| bytes as f64 / 1e6;
    let mut out = format!(
        "Deposited {} files, {:.1} MB, in {path}. Everything was read back and is as it was written.\n",
        done.files,
        megabytes(done.bytes)
    );
    if done.found_files > 0 {
        out += &format!(
            "Of these, {} files, {:.1} MB, were there already from a run that was cut off.\n",
            done.found_files,
            megabytes(done.found_bytes)
        );
    }
    if !done.withheld.is_empty() {
        out += "Withheld:\n";
        for line in &done.withheld {
            out += &format!("  {line}\n");
        }
    }
    out + &format!(
        "What it is: {}\nCheck it at any time: counterpart deposit --verify {path}\n",
        match done.path.is_dir() {
            true => format!("{path}/data/READ-ME.txt"),
            false => "data/READ-ME.txt in it".to_owned(),
        }
    )
}

//! `counterpart exchange`: the records of objects, written for others.

use crate::terminal::Terminal;
use crate::{DONE, FAILED, FINDINGS, look};
use clap::{Args, ValueEnum};
use counterpart::exchange::lido::{self, Publisher};
use counterpart::exchange::{Item, Titles, write_table};
use counterpart::record::{Day, ObjectId};
use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(Args)]
pub(crate) struct ExchangeArgs {
    /// The content folder
    #[arg(default_value = "content")]
    content: PathBuf,
    /// The format to write: LIDO, or a table
    #[arg(long = "as", value_name = "FORMAT")]
    form: Form,
    /// Where to write; standard output when left out. A file that is there is not written over
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Only this object; may be given again
    #[arg(long, value_name = "OBJECT")]
    object: Vec<ObjectId>,
    /// In a table: name columns by Spectrum's units of information where one fits
    #[arg(long)]
    spectrum: bool,
    /// The day for which rights are judged, for example 2027-01-31; today when left out
    #[arg(long, value_name = "DAY")]
    on: Option<Day>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Form {
    /// LIDO 1.1, XML
    Lido,
    /// A table, RFC 4180
    Csv,
}

/// Writes the records.
pub(crate) fn run(args: &ExchangeArgs, terminal: &Terminal) -> u8 {
    let found = look(&args.content, args.on, terminal);
    let catalogue = match &found.catalogue {
        Some(catalogue) if !found.findings.refuse() => catalogue,
        _ => {
            terminal.note_findings(&found.findings, &found.sources);
            terminal.note("Nothing was written.");
            return FINDINGS;
        }
    };
    if let Some(absent) = args.object.iter().find(|id| catalogue.object(id).is_none()) {
        let all: Vec<&str> = catalogue.objects.iter().map(|o| o.id.as_str()).collect();
        terminal.note(&format!(
            "There is no object {absent}. There are: {}.",
            all.join(", ")
        ));
        return FAILED;
    }
    let mut items = Item::all(catalogue, &found.geometry);
    let wanted = |item: &Item| {
        item.object
            .as_ref()
            .is_some_and(|id| args.object.contains(id))
    };
    items.retain(|item| args.object.is_empty() || wanted(item));
    let site = &catalogue.site;
    let by = Publisher {
        name: &site.publisher,
        address: &site.address,
        languages: &site.languages,
    };
    let titles = if args.spectrum {
        Titles::Spectrum
    } else {
        Titles::Own
    };
    let text = match args.form {
        Form::Lido => lido::write(&items, &by),
        Form::Csv => write_table(&items, &site.languages, titles),
    };
    let done = text.and_then(|text| match &args.to {
        None => {
            terminal.report(&text);
            Ok(())
        }
        Some(file) => write(file, &text).map(|()| {
            let n = items.len();
            let objects = if n == 1 { "object" } else { "objects" };
            terminal.say(&format!("Wrote {n} {objects} to {}.", file.display()));
        }),
    });
    match done {
        Ok(()) => DONE,
        Err(why) => {
            terminal.note(&why);
            FAILED
        }
    }
}

/// Writes beside the place, syncs, and links into it: whole or not at all, and over nothing.
fn write(file: &Path, text: &str) -> Result<(), String> {
    let failed = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::AlreadyExists => {
            format!(
                "{} is there already and was left as it is. Name another file with --to.",
                file.display()
            )
        }
        _ => format!("{} cannot be written: {e}.", file.display()),
    };
    if file.symlink_metadata().is_ok() {
        return Err(failed(std::io::ErrorKind::AlreadyExists.into()));
    }
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let beside = file.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = File::create_new(&beside).and_then(|mut f| {
        f.write_all(text.as_bytes())?;
        f.sync_all()
    });
    let placed = written.and_then(|()| {
        std::fs::hard_link(&beside, file).or_else(|e| match e.kind() {
            // Some file systems know no links.
            std::io::ErrorKind::AlreadyExists => Err(e),
            _ => std::fs::rename(&beside, file),
        })
    });
    let _ = std::fs::remove_file(&beside);
    placed.map_err(failed)
}

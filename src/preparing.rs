//! `counterpart publish --plan` and `--only`: the work of publishing, spread over many machines.

use crate::terminal::Terminal;
use crate::{DONE, FAILED, FINDINGS, PublishArgs, noted, store_of};
use counterpart::limits::Limits;
use counterpart::plan;
use counterpart::record::{Day, ObjectId};
use counterpart::site::{self, Form};
use counterpart::survey::{Asked, survey_of};
use std::path::Path;

/// How a plan is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum PlanForm {
    /// As JSON
    Json,
}

/// Prints the units of work.
pub(crate) fn plan(args: &PublishArgs, terminal: &Terminal) -> u8 {
    let today = args.on.unwrap_or_else(Day::today);
    let reading = counterpart::record::read(&args.content, today, &Limits::default());
    let Some(catalogue) = &reading.catalogue else {
        terminal.note_findings(&reading.findings, &reading.sources);
        terminal.note("There is no plan before this is mended.");
        return FINDINGS;
    };
    let planned = plan::plan(catalogue).map_err(|e| e.to_string());
    match planned.and_then(|p| serde_json::to_string_pretty(&p).map_err(|e| e.to_string())) {
        Ok(text) => {
            terminal.report(&text);
            DONE
        }
        Err(error) => {
            terminal.note(&format!("The content folder cannot be read: {error}"));
            FAILED
        }
    }
}

/// Does what is dear of one object, and leaves it in the store.
pub(crate) fn only(args: &PublishArgs, object: &ObjectId, terminal: &Terminal) -> u8 {
    let today = args.on.unwrap_or_else(Day::today);
    let limits = Limits::default();
    let store = store_of(args, terminal);
    let asked = Asked {
        only: Some(object),
        store: store.clone(),
        ..Asked::default()
    };
    let found = survey_of(&args.content, today, &limits, terminal, &asked);
    let own = noted(&found, object, terminal);
    let Some(catalogue) = &found.catalogue else {
        return FINDINGS;
    };
    if catalogue.object(object).is_none() {
        let names: Vec<&str> = catalogue.objects.iter().map(|o| o.id.as_str()).collect();
        terminal.note(&format!(
            "There is no object ‘{object}’ in {}. Objects: {}.",
            args.content.display(),
            names.join(", ")
        ));
        return FINDINGS;
    }
    if own.refuse() {
        terminal.note("Nothing was prepared.");
        return FINDINGS;
    }
    let prepared = site::prepare(&site::Request {
        catalogue,
        geometry: &found.geometry,
        only: Some(object),
        sources: &found.sources,
        // No site is written.
        target: Path::new(""),
        form: Form::Served,
        store: &store,
        limits: &limits,
        listener: terminal,
    });
    match prepared {
        Ok(()) => match store.failure() {
            None => {
                terminal.say(&format!("What is dear of ‘{object}’ is in the store."));
                DONE
            }
            Some(why) => {
                terminal.note(&format!(
                    "What is dear of ‘{object}’ was made, but could not be kept: {why}"
                ));
                FAILED
            }
        },
        Err(error) => {
            terminal.note(&format!("‘{object}’ could not be prepared: {error}"));
            FAILED
        }
    }
}

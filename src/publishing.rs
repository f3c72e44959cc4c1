//! `counterpart publish`: what of the site does not stand already is made.

use crate::terminal::Terminal;
use crate::{DONE, FAILED, FINDINGS, PublishArgs, collating, preparing, store_of};
use counterpart::limits::Limits;
use counterpart::record::{Catalogue, Day, ObjectId};
use counterpart::site::{self, Earlier, Explained, Form, Published, SiteError};
use counterpart::store::Store;
use counterpart::survey::{Asked, Survey, survey_of};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

/// Publishes, or does what else was asked for.
pub(crate) fn run(args: &PublishArgs, terminal: &Terminal) -> u8 {
    if args.plan.is_some() {
        return preparing::plan(args, terminal);
    }
    if let Some(object) = &args.only {
        return preparing::only(args, object, terminal);
    }
    let (form, usual) = match args.carry {
        true => (Form::Carried, "carry"),
        false => (Form::Served, "display"),
    };
    let target = args.to.clone().unwrap_or_else(|| usual.into());
    match published(args, &target, form, terminal) {
        Ok(Some((published, explained))) => {
            let explained = args.explain.then_some(&explained);
            let told = text(&published, explained, &target, form, args.json);
            terminal.answer(args.json, &told);
            DONE
        }
        Ok(None) => FINDINGS,
        Err(error @ SiteError::Afterwards(_)) => {
            terminal.note(&format!("Published, with a fault: {error}"));
            FAILED
        }
        Err(error) => {
            terminal.note(&format!(
                "Publishing failed: {error}\nThe earlier site, if there is one, is as it was."
            ));
            FAILED
        }
    }
}

/// What was published; nothing when there are findings that must be mended first, which are told.
fn published(
    args: &PublishArgs,
    target: &Path,
    form: Form,
    terminal: &Terminal,
) -> Result<Option<(Published, Explained)>, SiteError> {
    let earlier = Earlier::begin(&args.content, target, form)?;
    let store = store_of(args, terminal);
    let (mut found, mut earlier) = surveyed(args, earlier, &store, terminal);
    if earlier.as_mut().is_ok_and(|earlier| !earlier.holds()) {
        (found, earlier) = surveyed(args, earlier?, &store, terminal);
    }
    // Of a large collection, taking it to pieces in memory would take longer than many of its steps; the
    // program ends soon.
    let found = ManuallyDrop::new(found);
    let mut findings = found.findings.clone();
    if let Some(catalogue) = &found.catalogue {
        findings.extend(site::lost(catalogue, target));
    }
    if !findings.is_empty() {
        terminal.note_findings(&findings, &found.sources);
    }
    collating::draw_puzzles(&found, &args.content, terminal);
    let Some(catalogue) = found.catalogue.as_ref().filter(|_| !findings.refuse()) else {
        terminal.note("Nothing was published; the earlier site, if there is one, is as it was.");
        return Ok(None);
    };
    let request = site::Request {
        catalogue,
        geometry: &found.geometry,
        only: None,
        sources: &found.sources,
        target,
        form,
        store: &store,
        limits: &Limits::default(),
        listener: terminal,
    };
    site::publish_over(&request, earlier?, &found.loud, &found.findings).map(Some)
}

/// The survey, without the models of objects that stand as they were; and what is known of those.
fn surveyed(
    args: &PublishArgs,
    mut earlier: Earlier,
    store: &Store,
    terminal: &Terminal,
) -> (Survey, Result<Earlier, SiteError>) {
    let today = args.on.unwrap_or_else(Day::today);
    let known = earlier.known(today);
    let (earlier, failed) = (RefCell::new(earlier), RefCell::new(Ok(())));
    let leave = |catalogue: &Catalogue| -> BTreeSet<ObjectId> {
        let mut earlier = earlier.borrow_mut();
        *failed.borrow_mut() = earlier.judge(catalogue);
        earlier.quiet()
    };
    let asked = Asked {
        only: None,
        store: store.clone(),
        leave: Some(&leave),
        known,
    };
    let found = survey_of(&args.content, today, &Limits::default(), terminal, &asked);
    let earlier = failed.into_inner().map(|()| earlier.into_inner());
    (found, earlier)
}

fn text(
    published: &Published,
    explained: Option<&Explained>,
    to: &Path,
    form: Form,
    json: bool,
) -> String {
    let page: PathBuf = to.join("index.html");
    if json {
        let mut report = serde_json::json!({
            "format": 1, "pages": published.pages, "files": published.files, "bytes": published.bytes, "open": page,
        });
        if let Some(explained) = explained {
            report["explained"] = serde_json::json!(explained);
        }
        return format!("{report}\n");
    }
    let megabytes = published.bytes as f64 / 1e6;
    let next = match form {
        Form::Served => format!(
            "The first page is {}. Serve the folder, for example: python3 -m http.server --directory {}\nA copy that opens from a disk or a stick is written with --carry.",
            page.display(),
            to.display()
        ),
        Form::Carried => format!(
            "Copy the folder {} to a disk or a stick, and open {} there.",
            to.display(),
            page.display()
        ),
    };
    let explained = explained.map(|explained| format!("{explained}\n"));
    format!(
        "{}Published {} pages, {} files, {megabytes:.1} MB.\n{next}\n",
        explained.unwrap_or_default(),
        published.pages,
        published.files
    )
}

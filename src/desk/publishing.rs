//! Publishing from the page: one at a time, with its progress told.

use super::refused::Refused;
use super::server::Desk;
use crate::limits::Limits;
use crate::messages::Messages;
use crate::progress::Listener;
use crate::site::{self, Form};
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// Tells every window how far it has come.
struct Teller<'a>(&'a Desk, &'static Messages);

impl Listener for Teller<'_> {
    fn progress(&self, done: usize, total: usize, what: &str) {
        let what = self.1.say(what);
        self.0
            .tell(&json!({ "publishing": { "done": done, "total": total, "what": what } }));
    }
}

/// Begins to publish; windows hear of the end, in the language of the one that began it.
pub(super) fn begin(desk: &Arc<Desk>, messages: &'static Messages) -> Result<Value, Refused> {
    let seen = desk.live.seen();
    if seen.catalogue.is_none() || seen.findings.refuse() {
        return Err(Refused::cannot(
            "Some things must be mended before the site can be published; the first page lists them.",
        ));
    }
    if !seen.measuring.is_empty() {
        return Err(Refused::new(
            StatusCode::CONFLICT,
            "busy",
            "The models are still being measured. Publish when that is done.",
        ));
    }
    if desk.publishing.swap(true, Ordering::SeqCst) {
        return Err(Refused::new(
            StatusCode::CONFLICT,
            "busy",
            "The site is being published already.",
        ));
    }
    let desk = Arc::clone(desk);
    std::thread::spawn(move || {
        let limits = Limits::default();
        let result = seen.catalogue.as_ref().map(|catalogue| {
            site::publish(&site::Request {
                catalogue,
                geometry: &seen.geometry,
                only: None,
                sources: &seen.sources,
                target: &desk.display,
                form: Form::Served,
                store: &desk.store,
                limits: &limits,
                listener: &Teller(&desk, messages),
            })
        });
        desk.publishing.store(false, Ordering::SeqCst);
        let told = match result {
            Some(Ok(done)) => json!({
                "pages": done.pages, "files": done.files, "bytes": done.bytes, "look": desk.look_address(),
            }),
            Some(Err(error)) => json!({ "failed": messages.say(&error.to_string()) }),
            None => json!({ "failed": messages.say("the records could not be read") }),
        };
        desk.tell(&json!({ "published": told }));
    });
    Ok(json!({ "begun": true }))
}

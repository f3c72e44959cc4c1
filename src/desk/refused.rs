//! Why the desk did not do something, as the page hears it.

use super::pen::Refusal;
use crate::messages::Messages;
use axum::body::Body;
use axum::http::{Response, StatusCode, header};
use serde_json::{Value, json};

/// A refusal on its way to the page: a stable word, a sentence, and what else it needs.
#[derive(Debug)]
pub(super) struct Refused {
    pub(super) status: StatusCode,
    pub(super) rule: &'static str,
    pub(super) what: String,
    pub(super) more: Value,
}

impl Refused {
    pub(super) fn new(status: StatusCode, rule: &'static str, what: impl Into<String>) -> Self {
        Self {
            status,
            rule,
            what: what.into(),
            more: Value::Null,
        }
    }

    /// What was asked cannot be understood.
    pub(super) fn unclear(what: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, "unclear", what)
    }

    /// There is no such thing.
    pub(super) fn missing(what: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "missing", what)
    }

    /// It cannot be done as things stand.
    pub(super) fn cannot(what: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, "cannot", what)
    }

    pub(super) fn answer(&self, messages: &Messages) -> Response<Body> {
        let what = messages.say(&self.what);
        let body = json!({ "rule": self.rule, "what": what, "more": self.more });
        json_answer(self.status, &body)
    }
}

impl From<Refusal> for Refused {
    fn from(refusal: Refusal) -> Self {
        let status = match &refusal {
            Refusal::Clash { .. } | Refusal::Taken { .. } => StatusCode::CONFLICT,
            Refusal::Outside { .. } | Refusal::Link { .. } => StatusCode::FORBIDDEN,
            Refusal::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Refusal::NoRoom { .. } => StatusCode::INSUFFICIENT_STORAGE,
            Refusal::Missing { .. } => StatusCode::NOT_FOUND,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        let more = match &refusal {
            Refusal::Clash {
                file,
                yours,
                theirs,
            } => json!({ "file": file.as_str(), "yours": yours, "theirs": theirs }),
            _ => Value::Null,
        };
        Self {
            status,
            rule: refusal.rule(),
            what: refusal.to_string(),
            more,
        }
    }
}

/// An answer in JSON.
pub(super) fn json_answer(status: StatusCode, body: &Value) -> Response<Body> {
    let mut answer = Response::new(Body::from(body.to_string()));
    *answer.status_mut() = status;
    answer.headers_mut().insert(
        header::CONTENT_TYPE,
        header::HeaderValue::from_static("application/json"),
    );
    answer
}

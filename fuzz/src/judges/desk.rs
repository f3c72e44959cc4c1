//! Requests to the desk, past its guard: the first line is method and address, the rest the body. The folder
//! is laid anew from time to time. Publishing is left out: it is a thread of its own that runs for seconds.

use crate::content;
use crate::place;
use counterpart::desk::pen::Moment;
use counterpart::desk::{Indoors, Setting};
use counterpart::limits::Limits;
use counterpart::record::Day;
use std::cell::RefCell;
use std::fs;

/// Requests to one folder.
const MANY: u32 = 400;

thread_local! {
    static DESK: RefCell<Option<(Indoors, u32)>> = const { RefCell::new(None) };
}

fn opened() -> Indoors {
    let folder = place::folder("desk");
    for name in ["content", "beside", "display"] {
        let _ = fs::remove_dir_all(folder.join(name));
    }
    content::lay(&folder.join("content"));
    Indoors::open(Setting {
        content: folder.join("content"),
        beside: folder.join("beside"),
        display: folder.join("display"),
        ports: [0, 0],
        limits: Limits {
            photograph_bytes: 1 << 20,
            model_bytes: 1 << 20,
            triangles: 20_000,
            ..Limits::default()
        },
        clock: Box::new(|| Moment::from_unix_ms(1_700_000_000_000).expect("a moment")),
        today: || Day::new(2026, 1, 31).expect("a day"),
        heard: Box::new(|_| {}),
    })
    .expect("a desk")
}

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    let end = bytes
        .iter()
        .position(|b| *b == b'\n')
        .unwrap_or(bytes.len());
    let Ok(first) = std::str::from_utf8(&bytes[..end]) else {
        return;
    };
    let Some((method, target)) = first.split_once(' ') else {
        return;
    };
    if target.starts_with("/api/publish") {
        return;
    }
    let body = bytes.get(end + 1..).unwrap_or_default().to_vec();
    DESK.with_borrow_mut(|desk| {
        if desk.as_ref().is_none_or(|(_, asked)| *asked >= MANY) {
            *desk = None;
            *desk = Some((opened(), 0));
        }
        let (indoors, asked) = desk.as_mut().expect("just opened");
        *asked += 1;
        let (status, _) = indoors.ask(method, target, body);
        assert!((200..600).contains(&status));
    });
}

//! The command `desk`.

use crate::terminal::Terminal;
use crate::{DONE, DeskArgs, FAILED, beside};
use counterpart::desk::pen::Moment;
use counterpart::desk::{Heard, Setting, serve};
use counterpart::limits::Limits;
use counterpart::messages::Messages;
use counterpart::record::Day;
use std::io::{Write, stderr, stdout};

pub(crate) fn run(args: DeskArgs, terminal: &Terminal) -> u8 {
    let Some(beside) = beside(&args.content) else {
        terminal.note(&format!(
            "{} has no folder around it.",
            args.content.display()
        ));
        return FAILED;
    };
    let to = args.to.unwrap_or_else(|| beside.with_file_name("display"));
    let (json, messages) = (args.json, terminal.messages());
    let setting = Setting {
        content: args.content,
        beside,
        display: to,
        ports: [args.port, args.look],
        limits: Limits::default(),
        clock: Box::new(Moment::now),
        today: Day::today,
        heard: Box::new(move |heard| say(heard, json, messages)),
    };
    match serve(setting) {
        Ok(()) => DONE,
        Err(error) => {
            terminal.note(&format!("The desk cannot be opened: {error}"));
            FAILED
        }
    }
}

/// Addresses are the report; a reader who has gone away is no error.
fn say(heard: Heard<'_>, json: bool, messages: &Messages) {
    let (report, text) = match (heard, json) {
        (Heard::Address(address), true) => {
            (true, serde_json::json!({ "open": address }).to_string())
        }
        (Heard::Address(address), false) => (
            true,
            format!("Open this address in one browser; it works once:\n  {address}"),
        ),
        (Heard::Recovered(recovered), _) => {
            let files: Vec<&str> = recovered.files.iter().map(|f| f.as_str()).collect();
            let end = match (recovered.finished, recovered.drafts) {
                (true, _) => "It has been finished.",
                (false, true) => {
                    "The files were changed by others meanwhile, so its texts are among the drafts."
                }
                (false, false) => "It has been taken back; nothing else was touched.",
            };
            let why = &recovered.why;
            (
                false,
                format!(
                    "A change was interrupted ({why}; {}). {end}",
                    files.join(", ")
                ),
            )
        }
        (Heard::Remark(text), _) => (false, text.to_owned()),
    };
    let text = if json {
        text
    } else {
        messages.say(&text).into_owned()
    };
    let _ = if report {
        writeln!(stdout(), "{text}").and_then(|()| stdout().flush())
    } else {
        writeln!(stderr(), "{text}")
    };
}

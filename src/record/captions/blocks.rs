//! The file as blocks parted by empty lines (4.1): comments, styles, regions, cues.

use super::line::{Line, lines};
use super::{Cue, Fault, timing, words};

const ARROW: &str = "-->";

/// All cues that could be read.
pub(super) fn read(text: &str, faults: &mut Vec<Fault>) -> Vec<Cue> {
    let all = lines(text);
    let body = &all[signature(&all, faults)..];
    let mut cues = Vec::new();
    for block in body.split(|line| line.text.is_empty()) {
        if let Some(first) = block.first() {
            one(text, first, block, &mut cues, faults);
        }
    }
    cues
}

/// The blocks without comments, and the first line without what may stand behind its word.
pub(super) fn bare(text: &str) -> String {
    let all = lines(text);
    let mut out = String::from("WEBVTT\n");
    for block in all
        .get(1..)
        .unwrap_or_default()
        .split(|line| line.text.is_empty())
    {
        let Some(first) = block.first() else { continue };
        if begins(first.text, "NOTE") && !first.text.contains(ARROW) {
            continue;
        }
        out.push('\n');
        for line in block {
            out.push_str(line.text);
            out.push('\n');
        }
    }
    out
}

/// The first line, and the empty one below it; gives the number of lines that are done with.
fn signature(all: &[Line<'_>], faults: &mut Vec<Fault>) -> usize {
    let first = all.first();
    let shown = first.map_or("", |line| line.text.trim_start_matches('\u{feff}'));
    let named = shown
        .strip_prefix("WEBVTT")
        .is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t']));
    if !named {
        let span = first.map_or(0..0, Line::span);
        let what = "The captions do not begin with the line ‘WEBVTT’, so no browser shows them.";
        let remedy = "Write WEBVTT as the first line and leave the second empty; times have a point before the thousandths: 00:01.500.";
        faults.push(Fault::error("captions-signature", span, what, remedy));
        return 0;
    }
    if let Some(second) = all.get(1)
        && !second.text.is_empty()
    {
        let what = "The line below ‘WEBVTT’ is not empty.";
        let remedy = "Leave one line empty before the first captions.";
        faults.push(Fault::error(
            "captions-signature",
            second.span(),
            what,
            remedy,
        ));
    }
    1
}

/// Whether a line begins a block of this name.
fn begins(line: &str, name: &str) -> bool {
    line.strip_prefix(name)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t']))
}

fn one(
    text: &str,
    first: &Line<'_>,
    block: &[Line<'_>],
    cues: &mut Vec<Cue>,
    faults: &mut Vec<Fault>,
) {
    let at = block
        .iter()
        .take(2)
        .position(|line| line.text.contains(ARROW));
    if at != Some(0) && begins(first.text, "NOTE") {
        return arrows(block, "a note", faults);
    }
    if at != Some(0) && ["STYLE", "REGION"].contains(&first.text.trim_end()) {
        if !cues.is_empty() {
            let what = format!(
                "‘{}’ stands below the first captions.",
                first.text.trim_end()
            );
            let remedy = "Move it above them, or take it out.";
            faults.push(Fault::error("captions-order", first.span(), what, remedy));
        }
        return arrows(block, "a style or region", faults);
    }
    let Some(at) = at else {
        let what = "These lines have no times, so no browser shows them.";
        let remedy = "Write a line such as 00:01.000 --> 00:03.500 above them; or take out the empty line before them, since it ends what it follows.";
        faults.push(Fault::error("captions-timing", first.span(), what, remedy));
        return;
    };
    let Some((start_ms, end_ms)) = timing::read(&block[at], faults) else {
        return;
    };
    let payload = &block[at + 1..];
    let inner = payload.iter().find(|line| line.text.contains(ARROW));
    if let Some(line) = inner {
        let what = "A second line of times stands within the words.";
        let remedy = "Leave an empty line above it.";
        faults.push(Fault::error("captions-timing", line.span(), what, remedy));
    }
    let said = match (payload.first(), payload.last()) {
        (Some(from), Some(to)) => {
            let span = from.start..to.span().end;
            words::read(&text[span.clone()], span.start, (start_ms, end_ms), faults)
        }
        _ => Vec::new(),
    };
    let cue = Cue {
        start_ms,
        end_ms,
        said,
        span: block[at].span(),
    };
    if cue.text().trim().is_empty() {
        let what = "Nothing is written below these times.";
        let remedy = "Write what is said there, or take the times out.";
        faults.push(Fault::error(
            "captions-empty",
            cue.span.clone(),
            what,
            remedy,
        ));
    }
    cues.push(cue);
}

/// An arrow ends a comment, for a browser.
fn arrows(block: &[Line<'_>], within: &str, faults: &mut Vec<Fault>) {
    for line in block.iter().filter(|line| line.text.contains(ARROW)) {
        let what = format!("‘-->’ stands within {within}.");
        let remedy = "Leave an empty line above it, or write it otherwise.";
        faults.push(Fault::error("captions-timing", line.span(), what, remedy));
    }
}

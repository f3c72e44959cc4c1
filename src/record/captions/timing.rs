//! The line of times: `00:01.000 --> 00:03.500 align:start` (4.1, and settings in 4.4).

use super::line::Line;
use super::{Fault, written};
use crate::record::nearest;
use std::ops::Range;

const SETTINGS: [&str; 6] = ["vertical", "line", "position", "size", "align", "region"];

/// Beginning and end in milliseconds; `None` after a fault.
pub(super) fn read(line: &Line<'_>, faults: &mut Vec<Fault>) -> Option<(u64, u64)> {
    let (before, after) = line.text.split_once("-->")?;
    let arrow_end = before.len() + 3;
    let start = time(line, 0..before.len(), faults);
    let blank = after.len() - after.trim_start_matches([' ', '\t']).len();
    let from = arrow_end + blank;
    let end_text = line.text[from..]
        .split([' ', '\t'])
        .next()
        .unwrap_or_default();
    let to = from + end_text.len();
    let end = time(line, from..to, faults);
    if !before.ends_with([' ', '\t']) || blank == 0 {
        let span = line.piece(before.len(), arrow_end);
        let what = "The arrow wants a space on either side.";
        let remedy = "Write 00:01.000 --> 00:03.500.";
        faults.push(Fault::error("captions-timing", span, what, remedy));
    }
    settings(line, to, faults);
    let (start, end) = (start?, end?);
    if end <= start {
        let what = format!(
            "This ends at {}, which is not after its beginning, {}.",
            written(end),
            written(start)
        );
        let remedy =
            "Write the time at which the words should go, after the one at which they come.";
        faults.push(Fault::error("captions-timing", line.span(), what, remedy));
        return None;
    }
    Some((start, end))
}

fn time(line: &Line<'_>, range: Range<usize>, faults: &mut Vec<Fault>) -> Option<u64> {
    let raw = &line.text[range.clone()];
    let text = raw.trim_matches([' ', '\t']);
    let found = timestamp(text);
    if found.is_none() {
        let what = format!("‘{text}’ is not a time.");
        let remedy = match timestamp(&text.replace(',', ".")) {
            Some(ms) => format!("Write {}: a point, not a comma.", written(ms)),
            None => "Write minutes, seconds and thousandths, such as 00:01.500; before them hours, if there are any.".to_owned(),
        };
        let span = line.piece(range.start, range.end);
        faults.push(Fault::error("captions-timing", span, what, remedy));
    }
    found
}

/// `hh:mm:ss.ttt` or `mm:ss.ttt`: two digits or more for hours, minutes and seconds below sixty.
pub(super) fn timestamp(text: &str) -> Option<u64> {
    let digits = |piece: &str| piece.bytes().all(|b| b.is_ascii_digit());
    let (clock, thousandths) = text.split_once('.')?;
    let mut parts: Vec<&str> = clock.split(':').collect();
    if parts.len() == 2 {
        parts.insert(0, "00");
    }
    let [hours, minutes, seconds] = parts.as_slice() else {
        return None;
    };
    let shaped = hours.len() >= 2
        && minutes.len() == 2
        && seconds.len() == 2
        && thousandths.len() == 3
        && [*hours, minutes, seconds, thousandths]
            .into_iter()
            .all(digits);
    if !shaped {
        return None;
    }
    // More hours than a number of milliseconds can hold is no time of a recording.
    let hours: u64 = hours.parse::<u32>().ok()?.into();
    let (minutes, seconds): (u64, u64) = (minutes.parse().ok()?, seconds.parse().ok()?);
    if minutes > 59 || seconds > 59 {
        return None;
    }
    let thousandths: u64 = thousandths.parse().ok()?;
    Some(((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths)
}

fn settings(line: &Line<'_>, from: usize, faults: &mut Vec<Fault>) {
    let mut given: Vec<&str> = Vec::new();
    let mut start = from;
    for piece in line.text[from..].split([' ', '\t']) {
        let span = line.piece(start, start + piece.len());
        start += piece.len() + 1;
        if piece.is_empty() {
            continue;
        }
        let (name, value) = piece.split_once(':').unwrap_or((piece, ""));
        let mut fault = |what: String, remedy: String| {
            faults.push(Fault::error("captions-setting", span.clone(), what, remedy));
        };
        if !SETTINGS.contains(&name) {
            let remedy = match nearest(name, SETTINGS) {
                Some(near) => format!("Did you mean ‘{near}’?"),
                None => format!("Take it out; possible are: {}.", SETTINGS.join(", ")),
            };
            fault(format!("‘{piece}’ is no setting of captions."), remedy);
        } else if given.contains(&name) {
            fault(
                format!("The setting ‘{name}’ is given twice."),
                "Keep one of them.".to_owned(),
            );
        } else if !allowed(name, value) {
            let remedy = match name {
                "vertical" => "Write vertical:rl or vertical:lr.",
                "line" => "Write a number of lines, line:-1, or a share, line:90%.",
                "position" => "Write a share, position:50%.",
                "size" => "Write a share, size:80%.",
                "align" => "Write align:start, center, end, left or right.",
                _ => "Write the id of a region after the colon.",
            };
            fault(format!("‘{piece}’ cannot be read."), remedy.to_owned());
        }
        given.push(name);
    }
}

fn allowed(name: &str, value: &str) -> bool {
    let (main, side) = match value.split_once(',') {
        Some((main, side)) => (main, Some(side)),
        None => (value, None),
    };
    let side_is = |words: &[&str]| side.is_none_or(|side| words.contains(&side));
    match name {
        "vertical" => ["rl", "lr"].contains(&value),
        "line" => {
            let whole = main.strip_prefix('-').unwrap_or(main);
            let number = !whole.is_empty() && whole.bytes().all(|b| b.is_ascii_digit());
            (number || share(main)) && side_is(&["start", "center", "end"])
        }
        "position" => share(main) && side_is(&["line-left", "center", "line-right"]),
        "size" => share(value),
        "align" => ["start", "center", "end", "left", "right"].contains(&value),
        _ => !value.is_empty(),
    }
}

/// `0%` to `100%`, with or without decimals.
fn share(text: &str) -> bool {
    let Some(number) = text.strip_suffix('%') else {
        return false;
    };
    let plain = number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let whole = |piece: &str| !piece.is_empty();
    let shaped = match number.split_once('.') {
        Some((left, right)) => whole(left) && whole(right),
        None => whole(number),
    };
    plain && shaped && number.parse::<f64>().is_ok_and(|n| n <= 100.0)
}

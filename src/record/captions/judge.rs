//! Whether the cues suit one another, the recording and a reader.

use super::{Captions, Cue, Fault, written};

/// Faster than this, few can read along: characters a second, spaces counted. Common practice, no
/// source.
const FASTEST_CHARACTERS_A_SECOND: f64 = 20.0;
/// Captions may outlast the sound by so much: players round, and a word may fade.
const GRACE_MS: u64 = 500;

/// Judges the cues of a recording that lasts `duration_ms`, where that is known.
pub(crate) fn judge(captions: &Captions, duration_ms: Option<u64>) -> Vec<Fault> {
    let mut faults = Vec::new();
    if captions.cues.is_empty() {
        let what = "There are no captions in this file.";
        let remedy = "Write what is said, each with its times, or take the file out of the record.";
        faults.push(Fault::error("captions-empty", 0..0, what, remedy));
    }
    let mut before: Option<&Cue> = None;
    for cue in &captions.cues {
        if let Some(before) = before {
            order(before, cue, &mut faults);
        }
        before = Some(cue);
        speed(cue, &mut faults);
        if let Some(duration) = duration_ms {
            beyond(cue, duration, &mut faults);
        }
    }
    faults
}

/// A beginning must not lie before that of the cue above (4.1); an overlap is allowed, and seldom
/// meant.
fn order(before: &Cue, cue: &Cue, faults: &mut Vec<Fault>) {
    if cue.start_ms < before.start_ms {
        let what = format!(
            "This begins at {}, before the captions above it, at {}.",
            written(cue.start_ms),
            written(before.start_ms)
        );
        let remedy = "Put the captions in the order in which they come.";
        faults.push(Fault::error(
            "captions-order",
            cue.span.clone(),
            what,
            remedy,
        ));
    } else if cue.start_ms < before.end_ms {
        let what = format!(
            "This begins at {}, while the captions above it stay until {}: both are shown.",
            written(cue.start_ms),
            written(before.end_ms)
        );
        let remedy = "Let the ones above end where these begin, unless two people speak at once.";
        faults.push(Fault::advice(
            "captions-overlap",
            cue.span.clone(),
            what,
            remedy,
        ));
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a rate of reading, given in whole characters"
)]
fn speed(cue: &Cue, faults: &mut Vec<Fault>) {
    let characters = cue.text().trim().chars().count();
    let seconds = (cue.end_ms - cue.start_ms) as f64 / 1000.0;
    let rate = characters as f64 / seconds;
    if rate > FASTEST_CHARACTERS_A_SECOND {
        let what = format!(
            "{characters} characters in {seconds:.1} seconds are {rate:.0} a second; few can read more than {FASTEST_CHARACTERS_A_SECOND:.0}."
        );
        let remedy = "Let them stay longer, or part them in two.";
        faults.push(Fault::advice(
            "captions-fast",
            cue.span.clone(),
            what,
            remedy,
        ));
    }
}

fn beyond(cue: &Cue, duration_ms: u64, faults: &mut Vec<Fault>) {
    let whole = written(duration_ms);
    if cue.start_ms >= duration_ms {
        let what = format!(
            "This begins at {}, but the recording ends at {whole}: it is never shown.",
            written(cue.start_ms)
        );
        let remedy =
            "Correct the times, or see whether these captions belong to another recording.";
        faults.push(Fault::error(
            "captions-beyond",
            cue.span.clone(),
            what,
            remedy,
        ));
    } else if cue.end_ms > duration_ms + GRACE_MS {
        let what = format!(
            "This stays until {}, but the recording ends at {whole}.",
            written(cue.end_ms)
        );
        let remedy = "Let it end with the recording.";
        faults.push(Fault::advice(
            "captions-beyond",
            cue.span.clone(),
            what,
            remedy,
        ));
    }
}

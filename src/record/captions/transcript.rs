//! Captions run together, to be read without the recording.

use super::Captions;
use crate::record::Lang;

/// A pause this long begins a new paragraph, milliseconds: a breath is shorter, a new thought is
/// not. Common practice, no source.
const PAUSE_MS: u64 = 2000;

/// What one voice says without a long pause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// Who speaks, where the voice changes; `None` where it goes on, or nobody is named.
    pub speaker: Option<String>,
    /// Words, with their language where it is another.
    pub said: Vec<(Option<Lang>, String)>,
}

/// The captions as paragraphs, each with its speaker's name where the voice changes.
pub fn turns(captions: &Captions) -> Vec<Turn> {
    let mut turns: Vec<Turn> = Vec::new();
    let mut voice: Option<&str> = None;
    let mut until = None;
    for cue in &captions.cues {
        let paused = until.is_none_or(|end: u64| cue.start_ms >= end.saturating_add(PAUSE_MS));
        let mut fresh = paused;
        for run in &cue.said {
            let words = run.text.split_whitespace().collect::<Vec<_>>().join(" ");
            if words.is_empty() {
                continue;
            }
            let speaker = run.speaker.as_deref();
            let changed = speaker != voice;
            if changed || fresh || turns.is_empty() {
                turns.push(Turn {
                    speaker: speaker.filter(|_| changed).map(str::to_owned),
                    said: Vec::new(),
                });
            }
            (voice, fresh) = (speaker, false);
            if let Some(turn) = turns.last_mut() {
                add(turn, run.lang.as_ref(), &words, &run.text);
            }
        }
        until = Some(cue.end_ms);
    }
    turns
}

/// Adds words to a turn; runs of one cue keep the space that stood between them, or none.
fn add(turn: &mut Turn, lang: Option<&Lang>, words: &str, raw: &str) {
    const CLINGS: [char; 7] = ['.', ',', ';', ':', '!', '?', ')'];
    let clings = words.starts_with(CLINGS) && !raw.starts_with(char::is_whitespace);
    let space = if turn.said.is_empty() || clings {
        ""
    } else {
        " "
    };
    match turn.said.last_mut() {
        Some((known, text)) if known.as_ref() == lang => {
            text.push_str(space);
            text.push_str(words);
        }
        Some((_, text)) => {
            text.push_str(space);
            turn.said.push((lang.cloned(), words.to_owned()));
        }
        None => turn.said.push((lang.cloned(), words.to_owned())),
    }
}

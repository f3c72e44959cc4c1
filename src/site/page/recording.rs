//! Sound and film, and what is told of them in words.

use serde::Serialize;

/// One recording.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RecordingShown {
    /// Unique on its page.
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) film: bool,
    pub(crate) src: String,
    pub(crate) media_type: &'static str,
    /// Of a film, pixels.
    pub(crate) width: Option<u32>,
    pub(crate) height: Option<u32>,
    pub(crate) poster: Option<String>,
    pub(crate) tracks: Vec<TrackShown>,
    /// "Film with sound, 24 seconds, 96 kB, spoken in English."
    pub(crate) about: String,
    pub(crate) caption: Option<String>,
    pub(crate) credit: String,
    /// What is to be seen or heard that nobody says.
    pub(crate) description: Option<String>,
    pub(crate) transcript: Option<TranscriptShown>,
}

/// Captions in one language.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TrackShown {
    pub(crate) src: String,
    pub(crate) lang: String,
    /// The language's own name for itself.
    pub(crate) label: String,
    /// Whether a browser shows it unasked: where the page's language is not the one spoken.
    pub(crate) unasked: bool,
}

/// The words of a recording, to be read.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TranscriptShown {
    /// Language and direction, when they are not the page's.
    pub(crate) lang: Option<String>,
    pub(crate) dir: &'static str,
    /// Markup of a transcript that is written out; empty where it is composed of turns.
    pub(crate) words_html: String,
    pub(crate) turns: Vec<TurnShown>,
}

/// What one voice says.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TurnShown {
    pub(crate) speaker: Option<String>,
    pub(crate) said: Vec<SaidShown>,
}

/// Words, with their language when it is another.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SaidShown {
    pub(crate) lang: Option<String>,
    pub(crate) text: String,
}

/// A detail told to those who cannot see it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Described {
    pub(crate) text: String,
    /// The same, spoken in the page's language.
    pub(crate) spoken: Option<RecordingShown>,
}

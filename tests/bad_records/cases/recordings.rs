//! Sound and film, captions, and details told to those who cannot see them.

use super::Lay::Write;
use super::*;
use crate::good::{SILENT, TONE};

const FIRST: &str = "00:00.100 --> 00:00.900";
const WORDS: &str = "<v Elin>It stood still.";

/// A change of the captions with an error at the mark.
const fn captions(
    name: &'static str,
    old: &'static str,
    new: &'static str,
    rule: &'static str,
) -> Case {
    at(name, TALK, old, new, rule)
}

pub(super) const CASES: &[Case] = &[
    // The file.
    at(
        "recording-missing",
        SCAN,
        "\"talk.wav\"",
        "«\"talc.wav\"",
        "missing-file",
    ),
    at(
        "recording-elsewhere",
        SCAN,
        "\"talk.wav\"",
        "«\"../talk.wav\"",
        "path-leaves",
    ),
    at(
        "recording-rights-unknown",
        SCAN,
        "talk.wav\"\nrights = \"ours\"",
        "talk.wav\"\nrights = «\"hers\"",
        "unknown-rights",
    ),
    whole(
        "recording-of-nothing",
        Write("mortar/making/01-scan/talk.wav", b"no sound at all"),
        "not-a-recording",
        SCAN,
    ),
    whole(
        "film-named-as-sound",
        Write("mortar/making/01-scan/talk.wav", SILENT),
        "recording-name",
        SCAN,
    ),
    whole(
        "silent-film-that-speaks",
        Write("mortar/making/01-scan/talk.wav", SILENT),
        "recording-language",
        SCAN,
    ),
    whole(
        "poster-over-sound",
        Write("mortar/making/01-scan/turn.webm", TONE),
        "unknown-poster",
        SCAN,
    ),
    at(
        "poster-unknown",
        SCAN,
        "poster = \"film.png\"",
        "poster = «\"flim.png\"",
        "unknown-poster",
    ),
    at(
        "speaker-unknown",
        SCAN,
        "speakers = [\"elin-fychan\"]",
        "speakers = [«\"elin\"]",
        "unknown-person",
    ),
    // Told to everyone (WCAG 2.2, 1.2.1 to 1.2.3).
    at(
        "talk-without-captions",
        SCAN,
        "file = \"talk.wav\"\nrights = \"ours\"\ntitle = { en = \"How we scanned it\", cy = \"Sut y sganiwyd ef\" }\nlanguage = \"en\"\ncaptions = { en = \"talk.en.vtt\", cy = \"talk.cy.vtt\" }\ntranscript = { en = \"talk.en.md\" }",
        "file = «\"talk.wav\"\nrights = \"ours\"\ntitle = { en = \"How we scanned it\", cy = \"Sut y sganiwyd ef\" }\nlanguage = \"en\"\ncaptions = { cy = \"talk.cy.vtt\" }",
        "missing-captions",
    ),
    at(
        "silent-film-not-described",
        SCAN,
        "file = \"turn.webm\"\nrights = \"ours\"\ntitle = { en = \"It turns\", cy = \"Mae'n troi\" }\ndescription = { en = \"The mortar turns once.\", cy = \"Mae'r morter yn troi unwaith.\" }",
        "file = «\"turn.webm\"\nrights = \"ours\"\ntitle = { en = \"It turns\", cy = \"Mae'n troi\" }",
        "recording-not-described",
    ),
    advice(
        "captions-untranslated",
        SCAN,
        "captions = { en = \"talk.en.vtt\", cy = \"talk.cy.vtt\" }",
        "captions = «{ en = \"talk.en.vtt\" }",
        "captions-not-translated",
    ),
    at(
        "captions-missing",
        SCAN,
        "\"talk.en.vtt\"",
        "«\"tolk.en.vtt\"",
        "missing-file",
    ),
    at(
        "captions-of-no-language",
        SCAN,
        "cy = \"talk.cy.vtt\"",
        "«wel_sh = \"talk.cy.vtt\"",
        "bad-language",
    ),
    at(
        "captions-no-vtt",
        SCAN,
        "en = \"talk.en.vtt\"",
        "en = «\"talk.en.md\"",
        "recording-name",
    ),
    at(
        "transcript-dangling-link",
        "mortar/making/01-scan/talk.en.md",
        "[the hare](detail:hare)",
        "«[the hare](detail:hair)",
        "dangling-link",
    ),
    // Details.
    advice(
        "detail-not-described",
        HARE,
        "description = { en = \"A hare in relief\", cy = \"Sgwarnog mewn cerfwedd\" }\n",
        "",
        "detail-not-described",
    ),
    at(
        "detail-described-in-one-language",
        HARE,
        "description = { en = \"A hare in relief\", cy = \"Sgwarnog mewn cerfwedd\" }",
        "description = «{ en = \"A hare in relief\" }",
        "missing-language",
    ),
    at(
        "spoken-unknown",
        PAD,
        "spoken = { en = \"pad.wav\" }",
        "spoken = { en = «\"pat.wav\" }",
        "unknown-recording",
    ),
    at(
        "spoken-in-another",
        PAD,
        "spoken = { en = \"pad.wav\" }",
        "spoken = { cy = «\"pad.wav\" }",
        "recording-language",
    ),
    at(
        "spoken-without-words",
        PAD,
        "description = { en = \"A smooth pad\", cy = \"Pad llyfn\" }\nspoken = { en = \"pad.wav\" }",
        "spoken = { en = «\"pad.wav\" }",
        "spoken-without-words",
    ),
    // WebVTT.
    captions("no-signature", "WEBVTT\n", "«VTT\n", "captions-signature"),
    captions(
        "no-empty-line",
        "WEBVTT\n\n",
        "WEBVTT\n«",
        "captions-signature",
    ),
    captions(
        "comma",
        FIRST,
        "«00:00,100 --> 00:00.900",
        "captions-timing",
    ),
    captions(
        "not-a-time",
        FIRST,
        "00:00.100 --> «0:0.900",
        "captions-timing",
    ),
    captions(
        "no-space-at-the-arrow",
        FIRST,
        "00:00.100«-->00:00.900",
        "captions-timing",
    ),
    captions(
        "ends-first",
        FIRST,
        "«00:00.900 --> 00:00.100",
        "captions-timing",
    ),
    captions(
        "no-length",
        FIRST,
        "«00:00.100 --> 00:00.100",
        "captions-timing",
    ),
    captions("no-times", FIRST, "«Elin", "captions-timing"),
    captions(
        "two-times-in-one",
        "\n\n00:01.000",
        "\n«00:01.000",
        "captions-timing",
    ),
    captions(
        "out-of-order",
        "00:01.000 --> 00:01.400",
        "«00:00.000 --> 00:01.400",
        "captions-order",
    ),
    captions(
        "setting-misspelt",
        FIRST,
        "00:00.100 --> 00:00.900 «aling:start",
        "captions-setting",
    ),
    captions(
        "setting-twice",
        FIRST,
        "00:00.100 --> 00:00.900 size:9% «size:8%",
        "captions-setting",
    ),
    captions(
        "setting-out-of-range",
        FIRST,
        "00:00.100 --> 00:00.900 «size:120%",
        "captions-setting",
    ),
    captions(
        "voice-without-name",
        WORDS,
        "«<v>It stood still.",
        "captions-markup",
    ),
    captions(
        "unknown-mark",
        WORDS,
        "It «<strong>stood</strong> still.",
        "captions-markup",
    ),
    captions(
        "mark-left-open",
        WORDS,
        "It «<i>stood still.",
        "captions-markup",
    ),
    captions(
        "marks-crossed",
        WORDS,
        "It <i><b>stood«</i></b> still.",
        "captions-markup",
    ),
    captions(
        "mark-without-end",
        WORDS,
        "It «<stood still.",
        "captions-markup",
    ),
    captions("bare-sign", WORDS, "Elin «& I.", "captions-markup"),
    captions(
        "time-outside",
        WORDS,
        "It «<00:00.950>stood still.",
        "captions-markup",
    ),
    captions(
        "language-of-words-unknown",
        WORDS,
        "It «<lang w_h>stood</lang> still.",
        "captions-markup",
    ),
    captions("nothing-said", WORDS, "<v Elin> </v>", "captions-empty"),
    captions(
        "never-shown",
        "00:01.000 --> 00:01.400",
        "«00:09.000 --> 00:09.900",
        "captions-beyond",
    ),
    whole(
        "no-captions-at-all",
        Write(TALK, b"WEBVTT\n"),
        "captions-empty",
        TALK,
    ),
    advice(
        "stays-too-long",
        TALK,
        "00:01.000 --> 00:01.400",
        "«00:01.000 --> 00:04.000",
        "captions-beyond",
    ),
    advice(
        "both-at-once",
        TALK,
        "00:01.000 --> 00:01.400",
        "«00:00.800 --> 00:01.400",
        "captions-overlap",
    ),
    advice(
        "too-fast",
        TALK,
        "00:01.000 --> 00:01.400",
        "«00:01.000 --> 00:01.100",
        "captions-fast",
    ),
    Case {
        name: "not-named-in-the-record",
        lay: Write("mortar/making/01-scan/talk.fr.vtt", b"WEBVTT\n"),
        rule: "not-read",
        file: None,
        error: false,
    },
];

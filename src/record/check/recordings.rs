//! Recordings: there, readable, what their names say, and told to those who cannot hear or see them.

use crate::limits::Limits;
use crate::record::captions::judge;
use crate::record::media::{ENDINGS, Media};
use crate::record::read::draft::{Draft, RecordAt};
use crate::record::read::places::Leaf;
use crate::record::read::talk::findings_of;
use crate::record::read::tree::{Found, steps};
use crate::record::{Findings, nearest};
use std::io::Read;
use std::path::Path;

/// Above this, a visitor on a telephone pays and waits: megabytes as IEC 80000-13 counts them.
/// Common practice, no source.
const LARGE_BYTES: u64 = 20_000_000;

pub(super) fn check(draft: &Draft<'_>, limits: &Limits, findings: &mut Findings) {
    for at in draft.records() {
        for (number, leaf) in at.places.each("recordings", "file") {
            let one = One {
                at: &at,
                path: format!("recordings.{number}"),
                leaf,
            };
            let media = one.file(limits, findings);
            one.words(media, findings);
            one.texts(draft, media, findings);
            one.poster(media, findings);
        }
    }
}

/// One recording of a record.
struct One<'a> {
    at: &'a RecordAt<'a>,
    path: String,
    leaf: &'a Leaf,
}

impl One<'_> {
    fn key(&self, key: &str) -> String {
        format!("{}.{key}", self.path)
    }

    fn error(&self, rule: &'static str, what: String, remedy: &str, findings: &mut Findings) {
        findings.push(
            self.at
                .file
                .error(rule, self.leaf.span.clone(), what, remedy),
        );
    }

    fn advice(&self, rule: &'static str, what: String, remedy: &str, findings: &mut Findings) {
        findings.push(
            self.at
                .file
                .advice(rule, self.leaf.span.clone(), what, remedy),
        );
    }

    /// The file itself; what it is, when it can be told.
    fn file(&self, limits: &Limits, findings: &mut Findings) -> Option<Media> {
        let name = &self.leaf.text;
        let (path, bytes) = self.at.beside(self.leaf, "recording", &ENDINGS, findings)?;
        if bytes > limits.recording_bytes {
            let what = format!(
                "‘{name}’ has {bytes} bytes; at most {} are read.",
                limits.recording_bytes
            );
            self.error(
                "oversized-file",
                what,
                "Save it with more compression, or in parts.",
                findings,
            );
            return None;
        }
        if bytes > LARGE_BYTES {
            let what = format!(
                "‘{name}’ has {bytes} bytes; above {LARGE_BYTES} a visitor on a telephone waits and pays."
            );
            self.advice(
                "large-recording",
                what,
                "Save it with more compression, a smaller picture, or in parts.",
                findings,
            );
        }
        match told(&path, limits.recording_bytes) {
            Err(cause) => {
                let what = format!("‘{name}’ cannot be read: {cause}.");
                self.error(
                    "unreadable-file",
                    what,
                    "Check that you may open it.",
                    findings,
                );
                None
            }
            Ok(None) => {
                let what = format!("‘{name}’ is not sound or film that browsers play.");
                let remedy =
                    "Save it as MP3, M4A, Ogg (Opus or Vorbis) or WAV, a film as MP4 or WebM.";
                self.error("not-a-recording", what, remedy, findings);
                None
            }
            Ok(Some(media)) => {
                let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase());
                let fits = ending.is_some_and(|e| media.endings().contains(&e.as_str()));
                if !fits {
                    let what = format!(
                        "By its bytes ‘{name}’ is {}, which its name does not say.",
                        media.media_type()
                    );
                    let remedy = format!("Give it a name that ends in .{}.", media.endings()[0]);
                    self.error("recording-name", what, &remedy, findings);
                }
                Some(media)
            }
        }
    }

    /// What those are told who cannot hear or cannot see it (WCAG 2.2, 1.2.1 to 1.2.3).
    fn words(&self, media: Option<Media>, findings: &mut Findings) {
        let (places, name) = (self.at.places, &self.leaf.text);
        let described = places.has(&self.key("description"));
        let Some(language) = places.text(&self.key("language")) else {
            if !described {
                let what = format!(
                    "Nobody speaks in ‘{name}’ (it has no language), and nothing says what is to be seen or heard (WCAG 1.2.1)."
                );
                let remedy = "Add description = { … }; or language = \"…\" and captions, if somebody speaks.";
                self.error("recording-not-described", what, remedy, findings);
            }
            return;
        };
        let own = |key: &str| {
            let named = places.below(&self.key(key));
            named.iter().any(|(lang, _)| *lang == language.text)
        };
        let film = media.is_some_and(|m| m.film);
        if media.is_some_and(|m| !m.sound) {
            let what = format!("‘{name}’ has no sound, but a language is said to be spoken in it.");
            let remedy = "Take language out, or save the film with its sound.";
            findings.push(self.at.file.error(
                "recording-language",
                language.span.clone(),
                what,
                remedy,
            ));
        }
        // A description that is spoken has its words on the page already.
        let spoken = places
            .below("spoken")
            .iter()
            .any(|(_, leaf)| leaf.text == *name);
        // Sound alone may be read instead (1.2.1); a film is read while it is seen (1.2.2).
        let read = !film && (spoken || own("transcript"));
        if !read && !own("captions") {
            let lang = &language.text;
            let (whose, rule) = if film {
                ("captions", "1.2.2")
            } else {
                ("captions and no transcript", "1.2.1")
            };
            let what = format!(
                "‘{name}’ is spoken in ‘{lang}’ and has no {whose} in that language, so nobody who cannot hear it knows what is said (WCAG {rule})."
            );
            let remedy = format!(
                "Write what is said in a WebVTT file beside it and name it: captions = {{ {lang} = \"….{lang}.vtt\" }}."
            );
            self.error("missing-captions", what, &remedy, findings);
        }
        if film && !described {
            let what = format!(
                "Nothing tells those who cannot see ‘{name}’ what is to be seen and is not said (WCAG 1.2.3)."
            );
            let remedy = "Add description = { … }; if everything is said, say just that.";
            self.advice("film-not-described", what, remedy, findings);
        }
    }

    /// Captions and transcripts: there, of the right kind, fitting, and in every language.
    fn texts(&self, draft: &Draft<'_>, media: Option<Media>, findings: &mut Findings) {
        let places = self.at.places;
        let captions = places.below(&self.key("captions"));
        let transcripts = places.below(&self.key("transcript"));
        let duration = media.and_then(|m| m.duration_ms);
        for (key, list, ending) in [
            ("captions", captions.clone(), "vtt"),
            ("transcript", transcripts.clone(), "md"),
        ] {
            for (_, leaf) in list {
                if self.at.beside(leaf, key, &[ending], findings).is_none() {
                    continue;
                }
                let suits = leaf.text.rsplit_once('.').is_some_and(|(_, e)| e == ending);
                if !suits {
                    let what = format!("‘{}’ does not end in .{ending}.", leaf.text);
                    let remedy = match key {
                        "captions" => "Save the captions as WebVTT, and name the file so.",
                        _ => "Write the transcript in Markdown, and name the file so.",
                    };
                    findings.push(self.at.file.error(
                        "recording-name",
                        leaf.span.clone(),
                        what,
                        remedy,
                    ));
                }
                let read = self.at.talk.and_then(|(talk, files)| {
                    Some((talk.captions.get(&leaf.text)?, files.get(&leaf.text)?))
                });
                if let (Some((captions, file)), "captions") = (read, key) {
                    findings_of(file, judge(captions, duration), findings);
                }
            }
        }
        // Whose words are known may have them in the languages of the site.
        let worded = !captions.is_empty() || !transcripts.is_empty();
        if !worded || !places.has(&self.key("language")) {
            return;
        }
        for lang in &draft.languages {
            let has = |key| {
                let named = places.below(&self.key(key));
                named.iter().any(|(own, _)| *own == lang.as_str())
            };
            if !has("captions") && !has("transcript") {
                let what = format!(
                    "‘{}’ has no captions in the language ‘{lang}’.",
                    self.leaf.text
                );
                let remedy =
                    format!("Translate them, and add {lang} = \"….{lang}.vtt\" to captions.");
                let span = places.at(&self.key("captions"));
                findings.push(
                    self.at
                        .file
                        .advice("captions-not-translated", span, what, remedy),
                );
            }
        }
    }

    fn poster(&self, media: Option<Media>, findings: &mut Findings) {
        let Some(poster) = self.at.places.text(&self.key("poster")) else {
            return;
        };
        let mut fault = |what: String, remedy: String| {
            let span = poster.span.clone();
            findings.push(self.at.file.error("unknown-poster", span, what, remedy));
        };
        if media.is_some_and(|m| !m.film) {
            let what = format!(
                "‘{}’ is sound alone; a poster is shown over a film.",
                self.leaf.text
            );
            return fault(
                what,
                "Take poster out; the photograph is shown by itself.".to_owned(),
            );
        }
        let photographs = self.at.places.each("photographs", "file");
        let mut names = photographs.iter().map(|(_, leaf)| leaf.text.as_str());
        if !names.clone().any(|name| name == poster.text) {
            let remedy = match nearest(&poster.text, &mut names) {
                Some(near) => format!("Did you mean ‘{near}’?"),
                None => {
                    "Add a section [[photographs]] with file, rights and alt for it.".to_owned()
                }
            };
            fault(
                format!("No photograph of this record is ‘{}’.", poster.text),
                remedy,
            );
        }
    }
}

impl RecordAt<'_> {
    /// A file beside this record, or a finding why there is none.
    fn beside(
        &self,
        leaf: &Leaf,
        noun: &str,
        endings: &[&str],
        findings: &mut Findings,
    ) -> Option<(std::path::PathBuf, u64)> {
        let name = &leaf.text;
        let mut fault = |rule, what: String, remedy: String| {
            findings.push(self.file.error(rule, leaf.span.clone(), what, remedy));
            None
        };
        let why = match steps(name) {
            Ok(steps) if steps.len() == 1 => match self.folder.find(&steps) {
                Found::File(path, bytes) => return Some((path, bytes)),
                Found::Refused => return None,
                Found::Nothing => {
                    let alike = |f: &&str| {
                        f.rsplit_once('.')
                            .is_some_and(|(_, e)| endings.contains(&e))
                    };
                    let names = self.folder.files.keys().map(String::as_str).filter(alike);
                    let remedy = match nearest(name, names) {
                        Some(near) => format!("Did you mean ‘{near}’?"),
                        None => format!("Put the {noun} here, or take it out of the record."),
                    };
                    let what = format!("There is no file ‘{name}’ beside this record.");
                    return fault("missing-file", what, remedy);
                }
            },
            Ok(_) => "leads into another folder",
            Err(why) => why,
        };
        let remedy = "Put the file beside its record, and write only its name.".to_owned();
        fault("path-leaves", format!("The path ‘{name}’ {why}."), remedy)
    }
}

/// What the file is, read no further than the limit.
fn told(path: &Path, limit: u64) -> Result<Option<Media>, std::io::Error> {
    let mut bytes = Vec::new();
    std::fs::File::open(path)?
        .take(limit)
        .read_to_end(&mut bytes)?;
    Ok(Media::read(&bytes))
}

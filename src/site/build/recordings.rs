//! Recordings as a page shows them. Words come with each: what it is, how long and how large, and
//! all that is said in it, so that nobody has to play it.

use super::Subject;
use super::frame::dir_word;
use crate::record::captions::{Turn, turns};
use crate::record::words::{Passage, Resolve};
use crate::record::{Detail, Lang, Photograph, Recording, RightsId, Step, Talk};
use crate::site::address::Address;
use crate::site::page::{
    Described, RecordingShown, SaidShown, TrackShown, TranscriptShown, TurnShown,
};
use crate::site::pictures::{RecordingFile, Track};
use crate::site::{SiteError, figures};
use std::path::Path;

/// A record that has recordings.
pub(super) struct Recorded<'a> {
    pub(super) folder: &'a Path,
    pub(super) recordings: &'a [Recording],
    pub(super) talk: &'a Talk,
    /// Begins the ids of its recordings: unique on any page.
    pub(super) prefix: &'a str,
}

impl<'a> Recorded<'a> {
    /// A detail.
    pub(super) fn detail(detail: &'a Detail) -> Self {
        Self {
            folder: &detail.folder,
            recordings: &detail.record.recordings,
            talk: &detail.talk,
            prefix: detail.id.as_str(),
        }
    }

    /// A step of the making.
    pub(super) fn step(step: &'a Step) -> Self {
        Self {
            folder: &step.folder,
            recordings: &step.record.recordings,
            talk: &step.talk,
            prefix: step.id.as_str(),
        }
    }

    /// Whether a photograph is the poster of a film, and so is not shown a second time.
    pub(super) fn as_poster(&self, photograph: &Photograph) -> bool {
        let of_film = |r: &Recording| r.poster.as_ref() == Some(&photograph.file);
        self.recordings.iter().any(of_film)
    }
}

impl Subject<'_> {
    /// Every recording of a record but spoken descriptions, which stand with their words.
    pub(super) fn recordings(
        &self,
        of: &Recorded<'_>,
        here: &Address,
        links: &dyn Resolve,
    ) -> Result<Vec<RecordingShown>, SiteError> {
        let details = self.object.details.iter();
        let own = details.clone().find(|d| d.folder == of.folder);
        let spoken = |file: &str| own.is_some_and(|d| d.record.spoken.values().any(|f| f == file));
        let shown = of.recordings.iter().enumerate();
        shown
            .filter(|(_, recording)| !spoken(&recording.file))
            .map(|(index, recording)| self.recording(of, index, recording, here, links))
            .collect()
    }

    /// What someone who cannot see a detail is told, in writing first.
    pub(super) fn described(
        &self,
        detail: &Detail,
        here: &Address,
        links: &dyn Resolve,
    ) -> Result<Option<Described>, SiteError> {
        let Some(text) = &detail.record.description else {
            return Ok(None);
        };
        let of = Recorded::detail(detail);
        let file = detail.record.spoken.get(self.site.lang);
        let mut all = of.recordings.iter().enumerate();
        let found = all.find(|(_, recording)| Some(&recording.file) == file);
        let spoken = found.map(|(index, r)| self.recording(&of, index, r, here, links));
        Ok(Some(Described {
            text: self.site.text(text)?.to_owned(),
            spoken: spoken.transpose()?,
        }))
    }

    fn recording(
        &self,
        of: &Recorded<'_>,
        index: usize,
        recording: &Recording,
        here: &Address,
        links: &dyn Resolve,
    ) -> Result<RecordingShown, SiteError> {
        let site = self.site;
        let path = of.folder.join(&recording.file);
        let missing = || SiteError::Picture(format!("{} was not read", path.display()));
        let file = site.pictures.recordings.get(&path).ok_or_else(missing)?;
        let text = |text: &Option<crate::record::Localised>| -> Result<_, SiteError> {
            text.as_ref()
                .map(|t| Ok(site.text(t)?.to_owned()))
                .transpose()
        };
        let poster = recording.poster.as_ref();
        let poster = poster.and_then(|name| site.pictures.photographs.get(&of.folder.join(name)));
        Ok(RecordingShown {
            id: format!("_{}-{}", of.prefix, index + 1),
            title: site.text(&recording.title)?.to_owned(),
            film: file.media.film,
            src: here.to_file(&file.path),
            media_type: file.media.media_type(),
            width: file.media.size_px.map(|[width, _]| width),
            height: file.media.size_px.map(|[_, height]| height),
            poster: poster.map(|files| files.small_from(here)),
            tracks: self.tracks(recording, file, here)?,
            about: self.about(recording, file)?,
            caption: text(&recording.caption)?,
            credit: self.credit_of(&recording.rights)?,
            description: text(&recording.description)?,
            transcript: self.transcript(of, recording, links)?,
        })
    }

    fn credit_of(&self, id: &RightsId) -> Result<String, SiteError> {
        let rights = self.object.record.rights.iter().find(|r| r.id == *id);
        let missing = || SiteError::Picture(format!("the rights ‘{id}’ are not in the record"));
        self.site.credit(rights.ok_or_else(missing)?)
    }

    /// Captions, those in the page's language first.
    fn tracks(
        &self,
        recording: &Recording,
        file: &RecordingFile,
        here: &Address,
    ) -> Result<Vec<TrackShown>, SiteError> {
        let page = self.site.lang;
        let mut all: Vec<(&Lang, &String)> = recording.captions.iter().collect();
        all.sort_by_key(|(lang, _)| *lang != page);
        all.into_iter()
            .filter_map(|(lang, name)| Some((lang, file.captions.get(name)?)))
            .map(|(lang, track)| {
                Ok(TrackShown {
                    src: match track {
                        Track::File(path) => here.to_file(path),
                        Track::Inside(address) => address.clone(),
                    },
                    lang: lang.to_string(),
                    label: self.language_name(lang)?,
                    unasked: lang == page && recording.language.as_ref() != Some(page),
                })
            })
            .collect()
    }

    /// The language's own name for itself; its tag where the theme does not speak it.
    fn language_name(&self, lang: &Lang) -> Result<String, SiteError> {
        match self.site.all_words.get(lang) {
            Some(words) => Ok(words.get("language_name")?.to_owned()),
            None => Ok(lang.to_string()),
        }
    }

    /// Kind, length, size, language and people.
    fn about(&self, recording: &Recording, file: &RecordingFile) -> Result<String, SiteError> {
        let words = self.site.words;
        let media = &file.media;
        let kind = match (media.film, media.sound) {
            (true, true) => "recording_film",
            (true, false) => "recording_silent",
            _ => "recording_sound",
        };
        let mut facts = vec![words.get(kind)?.to_owned()];
        if let Some(ms) = media.duration_ms {
            facts.push(self.length(ms)?);
        }
        facts.push(figures::file_size(file.bytes, words)?);
        if let Some(lang) = &recording.language {
            // In the page's own words where there are any for this language.
            let name = words.get(&format!("in_language_{lang}"));
            let name = name.map_or_else(|_| self.language_name(lang), |n| Ok(n.to_owned()))?;
            facts.push(words.fill("recording_language", &[("language", &name)])?);
        }
        let people = &self.site.catalogue.site.people;
        let names: Vec<&str> = recording
            .speakers
            .iter()
            .filter_map(|id| Some(people.get(id)?.name.as_str()))
            .collect();
        let separator = words.get("list_separator")?;
        if !names.is_empty() {
            facts.push(words.fill("recording_speakers", &[("people", &names.join(separator))])?);
        }
        if let Some(person) = recording.recorded_by.as_ref().and_then(|id| people.get(id)) {
            facts.push(words.fill("recording_by", &[("person", &person.name)])?);
        }
        Ok(format!("{}.", facts.join(separator)))
    }

    /// "1 min 24 s": minutes and seconds have one sign in all languages (SI Brochure, 4.1).
    fn length(&self, ms: u64) -> Result<String, SiteError> {
        let seconds = (ms + 500) / 1000;
        Ok(match (seconds / 60, seconds % 60) {
            (0, seconds) => format!("{}\u{a0}s", seconds.max(1)),
            (minutes, 0) => format!("{minutes}\u{a0}min"),
            (minutes, seconds) => format!("{minutes}\u{a0}min {seconds}\u{a0}s"),
        })
    }

    /// The words in the page's language, or else in the one that is spoken.
    fn transcript(
        &self,
        of: &Recorded<'_>,
        recording: &Recording,
        links: &dyn Resolve,
    ) -> Result<Option<TranscriptShown>, SiteError> {
        let page = self.site.lang;
        for lang in [Some(page), recording.language.as_ref()]
            .into_iter()
            .flatten()
        {
            let written = recording.transcript.get(lang);
            let written = written.and_then(|name| of.talk.transcripts.get(name));
            let captions = recording.captions.get(lang);
            let captions = captions.and_then(|name| of.talk.captions.get(name));
            let words_html = match written {
                Some(note) => self.site.html(note, Passage::Whole, 4, links)?,
                None => String::new(),
            };
            let turns = match (written, captions) {
                (None, Some(captions)) => turns(captions).into_iter().map(turn).collect(),
                (None, None) => continue,
                (Some(_), _) => Vec::new(),
            };
            return Ok(Some(TranscriptShown {
                lang: (lang != page).then(|| lang.to_string()),
                dir: dir_word(lang),
                words_html,
                turns,
            }));
        }
        Ok(None)
    }
}

fn turn(turn: Turn) -> TurnShown {
    TurnShown {
        speaker: turn.speaker,
        said: turn
            .said
            .into_iter()
            .map(|(lang, text)| SaidShown {
                lang: lang.map(|lang| lang.to_string()),
                text,
            })
            .collect(),
    }
}

//! The one gate through which every asset passes: what an agreement permits, for which use, on
//! which day.
//!
//! An asset is what an agreement is about: the words of an object, the model of a part, a
//! photograph, a recording with its captions. What is made from an asset is a use of it: stills,
//! raking light, pictures of differences, raised lines and reduced levels are uses of the models
//! that they show. [`withheld`] says what may not pass, and why; [`Object::as_permitted`] is the
//! object with nothing in it that may not pass, and everything that is written for others is made
//! from that one.

use super::{BodyKind, Day, Object, PartId, Photograph, Recording, Rights, RightsId, Use};
use std::fmt;
use std::path::{Path, PathBuf};

/// What an agreement is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asset {
    /// The notes of an object, its details and steps, and the texts in their records.
    Words,
    /// The model of a part, and whatever is made from it.
    Model {
        /// The body.
        body: BodyKind,
        /// The part.
        part: PartId,
    },
    /// A photograph beside a record.
    Photograph {
        /// Its file.
        path: PathBuf,
    },
    /// Sound or film beside a record, with captions and transcripts.
    Recording {
        /// Its file.
        path: PathBuf,
    },
}

/// Why an asset does not pass.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// The agreement permits other uses only.
    NotAmong(Vec<Use>),
    /// The permission begins on a later day.
    Begins(Day),
    /// The permission ended with this day.
    Ended(Day),
    /// Models may be given away no finer than so many millimetres, and this is the scan itself.
    TooFine(f64),
    /// The record has no such agreement.
    NoAgreement,
}

/// An asset that may not be used so on that day.
#[derive(Debug, Clone, PartialEq)]
pub struct Withheld {
    /// What.
    pub asset: Asset,
    /// Its files on disk: the model, the photograph, or the recording with the captions and
    /// transcripts that belong to it alone. Of words, none: they are in every note and record.
    pub files: Vec<PathBuf>,
    /// The agreement.
    pub rights: RightsId,
    /// The use that was asked for.
    pub usage: Use,
    /// Why not.
    pub why: Why,
}

impl Use {
    /// Its word in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Display => "display",
            Self::Download => "download",
            Self::Print => "print",
            Self::Deposit => "deposit",
        }
    }
}

impl fmt::Display for Why {
    /// Follows the name of an agreement: "the rights ‘x’ begin on 2027-01-01".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAmong(uses) if uses.is_empty() => f.write_str("permit nothing"),
            Self::NotAmong(uses) => {
                let words: Vec<&str> = uses.iter().map(|u| u.word()).collect();
                write!(f, "permit only {}", words.join(" and "))
            }
            Self::Begins(day) => write!(f, "begin on {day}"),
            Self::Ended(day) => write!(f, "ended on {day}"),
            Self::TooFine(mm) => write!(f, "permit no model finer than {mm} mm"),
            Self::NoAgreement => f.write_str("are not in the record"),
        }
    }
}

impl Rights {
    /// Whether `usage` is permitted on `day`; if not, why.
    ///
    /// # Errors
    /// The use is not among those permitted, or the day is not within the permission.
    pub fn judge(&self, usage: Use, day: Day) -> Result<(), Why> {
        if !self.permits.contains(&usage) {
            return Err(Why::NotAmong(self.permits.clone()));
        }
        match (self.from, self.until) {
            (Some(from), _) if day < from => Err(Why::Begins(from)),
            (_, Some(until)) if until < day => Err(Why::Ended(until)),
            _ => Ok(()),
        }
    }

    /// Whether `usage` is permitted on `day`.
    pub fn permits(&self, usage: Use, day: Day) -> bool {
        self.judge(usage, day).is_ok()
    }
}

/// An asset of an object, and the agreement it is under.
struct Held<'o> {
    asset: Asset,
    files: Vec<PathBuf>,
    rights: &'o RightsId,
}

/// All assets of an object, in the order of its records.
fn held(object: &Object) -> Vec<Held<'_>> {
    let mut all = vec![Held {
        asset: Asset::Words,
        files: Vec::new(),
        rights: &object.record.words_rights,
    }];
    for body in [BodyKind::Original, BodyKind::Replica] {
        all.extend(object.record.bodies.parts(body).iter().map(|part| Held {
            asset: Asset::Model {
                body,
                part: part.id.clone(),
            },
            files: vec![object.folder.join(&part.model)],
            rights: &part.rights,
        }));
    }
    for (folder, photographs, recordings) in beside(object) {
        all.extend(photographs.iter().map(|p| {
            let path = folder.join(&p.file);
            Held {
                asset: Asset::Photograph { path: path.clone() },
                files: vec![path],
                rights: &p.rights,
            }
        }));
        all.extend(recordings.iter().map(|r| {
            let texts = r.captions.values().chain(r.transcript.values());
            let path = folder.join(&r.file);
            let files = std::iter::once(path.clone())
                .chain(texts.map(|name| folder.join(name)))
                .collect();
            Held {
                asset: Asset::Recording { path },
                files,
                rights: &r.rights,
            }
        }));
    }
    all
}

/// The folders of an object that hold records, with the photographs and recordings of each.
fn beside(object: &Object) -> Vec<(&Path, &[Photograph], &[Recording])> {
    let own = &object.record;
    let mut all = vec![(
        object.folder.as_path(),
        own.photographs.as_slice(),
        own.recordings.as_slice(),
    )];
    all.extend(object.details.iter().map(|d| {
        let record = &d.record;
        (
            d.folder.as_path(),
            record.photographs.as_slice(),
            record.recordings.as_slice(),
        )
    }));
    all.extend(object.making.iter().map(|s| {
        let record = &s.record;
        (
            s.folder.as_path(),
            record.photographs.as_slice(),
            record.recordings.as_slice(),
        )
    }));
    all
}

/// The files of all photographs of an object.
pub(crate) fn photographs(object: &Object) -> Vec<PathBuf> {
    let of_record = |(folder, photographs, _): (&Path, &[Photograph], _)| {
        let files = photographs.iter().map(|p| folder.join(&p.file));
        files.collect::<Vec<_>>()
    };
    beside(object).into_iter().flat_map(of_record).collect()
}

/// Everything of an object that may not be used so on `day`, in the order of its records. A
/// poster is a photograph, and is judged as one.
pub fn withheld(object: &Object, usage: Use, day: Day) -> Vec<Withheld> {
    let judged = |held: Held<'_>| {
        let rights = object.record.rights.iter().find(|r| &r.id == held.rights);
        let why = match rights {
            Some(rights) => match (rights.judge(usage, day), rights.finest_mm) {
                (Err(why), _) => why,
                // An archive hands on what it holds. What visitors load is made coarser instead.
                (Ok(()), Some(mm)) if usage == Use::Deposit && held.asset.is_model() => {
                    Why::TooFine(mm)
                }
                (Ok(()), _) => return None,
            },
            None => Why::NoAgreement,
        };
        Some(Withheld {
            asset: held.asset,
            files: held.files,
            rights: held.rights.clone(),
            usage,
            why,
        })
    };
    held(object).into_iter().filter_map(judged).collect()
}

impl Asset {
    fn is_model(&self) -> bool {
        matches!(self, Self::Model { .. })
    }

    /// Whether the object can be told without it.
    pub fn can_be_left_out(&self) -> bool {
        matches!(self, Self::Photograph { .. } | Self::Recording { .. })
    }
}

impl Object {
    /// The body that a visitor stands before: the replica, if there is one.
    pub fn shown_body(&self) -> BodyKind {
        match self.record.bodies.replica {
            Some(_) => BodyKind::Replica,
            None => BodyKind::Original,
        }
    }

    /// Whether the agreement `rights` permits `usage` on `day`.
    pub fn permits(&self, rights: &RightsId, usage: Use, day: Day) -> bool {
        let found = self.record.rights.iter().find(|r| &r.id == rights);
        found.is_some_and(|r| r.permits(usage, day))
    }

    /// The same of every model of a body, and so of pictures of it.
    pub fn body_permits(&self, body: BodyKind, usage: Use, day: Day) -> bool {
        let mut parts = self.record.bodies.parts(body).iter();
        parts.all(|part| self.permits(&part.rights, usage, day))
    }

    /// How coarse the agreement wants the model of a part, millimetres.
    pub fn finest_mm(&self, body: BodyKind, part: &PartId) -> Option<f64> {
        let mut parts = self.record.bodies.parts(body).iter();
        let part = parts.find(|p| &p.id == part)?;
        let rights = self.record.rights.iter().find(|r| r.id == part.rights)?;
        rights.finest_mm
    }

    /// The object with the photographs and recordings taken out that may not be used so on `day`,
    /// their words and texts with them; and all that was withheld. Words and models cannot be
    /// taken out of an object without leaving nothing to tell: whoever asks looks for them among
    /// what was withheld.
    pub fn as_permitted(&self, usage: Use, day: Day) -> (Self, Vec<Withheld>) {
        let out = withheld(self, usage, day);
        let gone = |path: PathBuf| {
            out.iter().any(|w| match &w.asset {
                Asset::Photograph { path: p } | Asset::Recording { path: p } => *p == path,
                Asset::Words | Asset::Model { .. } => false,
            })
        };
        let mut object = self.clone();
        let strip = |folder: &Path,
                     photographs: &mut Vec<Photograph>,
                     recordings: &mut Vec<Recording>,
                     talk: &mut super::Talk| {
            photographs.retain(|p| !gone(folder.join(&p.file)));
            recordings.retain(|r| !gone(folder.join(&r.file)));
            for recording in recordings.iter_mut() {
                if recording
                    .poster
                    .as_ref()
                    .is_some_and(|p| gone(folder.join(p)))
                {
                    recording.poster = None;
                }
            }
            let named = |name: &String| {
                recordings.iter().any(|r| {
                    r.captions
                        .values()
                        .chain(r.transcript.values())
                        .any(|n| n == name)
                })
            };
            talk.captions.retain(|name, _| named(name));
            talk.transcripts.retain(|name, _| named(name));
        };
        let record = &mut object.record;
        strip(
            &object.folder,
            &mut record.photographs,
            &mut record.recordings,
            &mut object.talk,
        );
        for detail in &mut object.details {
            let record = &mut detail.record;
            strip(
                &detail.folder,
                &mut record.photographs,
                &mut record.recordings,
                &mut detail.talk,
            );
            let recordings = &record.recordings;
            record
                .spoken
                .retain(|_, file| recordings.iter().any(|r| &r.file == file));
        }
        for step in &mut object.making {
            let record = &mut step.record;
            strip(
                &step.folder,
                &mut record.photographs,
                &mut record.recordings,
                &mut step.talk,
            );
        }
        (object, out)
    }
}

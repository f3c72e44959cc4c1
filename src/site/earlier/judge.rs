//! What a catalogue asks for, held against the site that stands.

use super::explain::Reason;
use super::ledger::{MadeFrom, Program};
use super::{Earlier, Judged, Mark, Stamp};
use crate::record::{Catalogue, Object, ObjectId, Use, withheld};
use crate::site::everywhere::days_told;
use crate::site::lists::Lists;
use crate::site::theme::Theme;
use crate::site::{Form, SiteError};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::OnceLock;
use std::time::SystemTime;

const USES: [Use; 4] = [Use::Display, Use::Download, Use::Print, Use::Deposit];

impl Earlier {
    /// Finds out what of the site that stands will hold for this catalogue, which was read since.
    ///
    /// # Errors
    /// A theme that cannot be read.
    pub fn judge(&mut self, catalogue: &Catalogue) -> Result<(), SiteError> {
        let folders: BTreeSet<&str> = catalogue.objects.iter().map(|o| o.id.as_str()).collect();
        let own = |name: &str| folders.contains(name);
        let mut judged = Judged {
            program: program(self.ledger.as_ref().ok().map(|l| &l.program)),
            shared: self.shared(catalogue, &own)?,
            ..Judged::default()
        };
        let lists = Lists::of(catalogue);
        let objects = catalogue.objects.par_iter().enumerate();
        let made_from = objects.map(|(place, object)| {
            let made_from = MadeFrom {
                files: self.inputs.below(&format!("{}/", object.id)),
                rights: rights(catalogue, object),
                place: mark(&format!("{:?}", lists.screen_at(place))),
            };
            (object.id.clone(), made_from)
        });
        judged.made_from = made_from.collect();
        match &self.ledger {
            Err(why) => judged.all = Some(Reason::NoEarlier(why.clone())),
            Ok(ledger) => {
                judged.others = !ledger.objects.keys().eq(judged.made_from.keys());
                let in_object =
                    |name: &str| name.split_once('/').is_some_and(|(first, _)| own(first));
                if ledger.program.mark != judged.program.mark {
                    judged.all = Some(Reason::Program);
                } else if ledger.shared != judged.shared {
                    let changed = self.inputs.changed(&ledger.inputs, |name| !in_object(name));
                    judged.all = Some(Reason::Shared(changed));
                }
                for (id, made_from) in &judged.made_from {
                    let before = ledger.objects.get(id).map(|stood| &stood.made_from);
                    if let Some(why) = self.reason(id, made_from, before, &ledger.inputs) {
                        judged.reasons.insert(id.clone(), why);
                    }
                }
            }
        }
        self.judged = judged;
        Ok(())
    }

    fn reason(
        &self,
        id: &ObjectId,
        now: &MadeFrom,
        before: Option<&MadeFrom>,
        inputs: &super::Inputs,
    ) -> Option<Reason> {
        let Some(before) = before else {
            return Some(Reason::New);
        };
        let beginning = format!("{id}/");
        if now.files != before.files {
            let changed = self
                .inputs
                .changed(inputs, |name| name.starts_with(&beginning));
            return Some(Reason::Files(changed));
        }
        if now.rights != before.rights {
            return Some(Reason::Rights);
        }
        (now.place != before.place).then_some(Reason::Place)
    }

    /// The digest of what every page depends on.
    fn shared(&self, catalogue: &Catalogue, own: &dyn Fn(&str) -> bool) -> Result<Mark, SiteError> {
        let mut hasher = blake3::Hasher::new();
        hasher.update(match self.form {
            Form::Served => b"served",
            Form::Carried => b"carried",
        });
        hasher.update(&self.inputs.beside(own));
        // It may lie outside the content folder.
        if let Some(folder) = &catalogue.site.look.theme {
            hasher.update(&Theme::with_folder(&catalogue.folder.join(folder))?.digest());
        }
        Ok(*hasher.finalize().as_bytes())
    }
}

/// What agreements permit today, and which days have come: all that pages of an object take from the day.
fn rights(catalogue: &Catalogue, object: &Object) -> Mark {
    let out = USES.map(|usage| withheld(object, usage, catalogue.today));
    mark(&format!("{out:?} {:?}", days_told(catalogue, object)))
}

fn mark(text: &str) -> Mark {
    *blake3::hash(text.as_bytes()).as_bytes()
}

/// The digest of this program, which tells its editions apart. One that cannot be read has none. It is not read
/// again where it stands as it was when it was read `before`.
pub(super) fn program(before: Option<&Program>) -> Program {
    static OWN: OnceLock<Program> = OnceLock::new();
    *OWN.get_or_init(|| {
        let path = std::env::current_exe();
        let found = path
            .as_ref()
            .ok()
            .and_then(|path| std::fs::metadata(path).ok());
        let stamp = found.map(|found| Stamp::of(&found));
        let settled = stamp.filter(|stamp| stamp.settled(SystemTime::now()));
        if let Some(before) = before.filter(|b| b.stamp.is_some() && b.stamp == settled) {
            return *before;
        }
        let bytes = path.and_then(std::fs::read);
        let mark = bytes.map_or_else(|_| chance(), |bytes| *blake3::hash(&bytes).as_bytes());
        Program {
            mark,
            stamp: settled,
        }
    })
}

/// Another each time, so that nothing is taken for its own.
fn chance() -> Mark {
    let mut mark = [0; 32];
    // Without chance either, all editions are the same to it; then nothing tells them apart at all.
    let _ = getrandom::fill(&mut mark);
    mark
}

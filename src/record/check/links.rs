//! Links of notes: each must lead somewhere.

use super::{Check, meant};
use crate::record::words::LinkTarget;
use crate::record::{Lang, Note, Object};

impl Check<'_> {
    pub(super) fn links(&mut self, object: &Object) {
        let catalogue = self.catalogue;
        let own = object.notes.values();
        let details = object.details.iter().flat_map(|d| d.notes.values());
        let steps = object.making.iter().flat_map(|s| s.notes.values());
        for note in own.chain(details).chain(steps) {
            self.links_of(note, Some(object));
        }
        debug_assert!(catalogue.object(&object.id).is_some());
    }

    pub(super) fn term_links(&mut self) {
        let catalogue = self.catalogue;
        for note in catalogue.terms.iter().flat_map(|t| t.notes.values()) {
            self.links_of(note, None);
        }
    }

    fn links_of(&mut self, note: &Note, object: Option<&Object>) {
        for link in &note.links {
            if let Some((what, remedy)) = self.broken(&link.target, object) {
                self.findings.error(
                    "dangling-link",
                    note.source.place(link.span.clone()),
                    what,
                    remedy,
                );
            } else if link.text.trim().is_empty() {
                let remedy = "write in [brackets] what the link leads to";
                self.findings.error(
                    "empty-link",
                    note.source.place(link.span.clone()),
                    "the link has no words",
                    remedy,
                );
            }
        }
    }

    /// What is wrong with a target, and what to write instead.
    fn broken(&self, target: &LinkTarget, own: Option<&Object>) -> Option<(String, String)> {
        let objects = self.catalogue.objects.iter().map(|o| o.id.as_str());
        let missing = |kind: &str, id: &str, remedy: String| {
            Some((format!("there is no {kind} ‘{id}’"), remedy))
        };
        match target {
            LinkTarget::Detail { object, detail } => {
                let holder = match object {
                    Some(id) => match self.catalogue.objects.iter().find(|o| o.id.as_str() == id) {
                        Some(found) => found,
                        None => return missing("object", id, meant(id, objects)),
                    },
                    None => match own {
                        Some(object) => object,
                        None => {
                            return Some((
                                format!("‘{detail}’ names a detail without its object"),
                                "write detail:object/detail".to_owned(),
                            ));
                        }
                    },
                };
                let known = holder.details.iter().map(|d| d.id.as_str());
                if known.clone().any(|id| id == detail) {
                    None
                } else {
                    missing("detail", detail, meant(detail, known))
                }
            }
            LinkTarget::Step(step) => {
                let Some(object) = own else {
                    return Some((
                        format!("‘{step}’ names a step outside an object"),
                        "link to the object instead".to_owned(),
                    ));
                };
                let known = object.making.iter().map(|s| s.id.as_str());
                if known.clone().any(|id| id == step) {
                    None
                } else {
                    missing("step", step, meant(step, known))
                }
            }
            LinkTarget::Term(term) => {
                let known = self.catalogue.terms.iter().map(|t| t.id.as_str());
                if known.clone().any(|id| id == term) {
                    None
                } else {
                    missing("term", term, meant(term, known))
                }
            }
            LinkTarget::Object(id) => {
                if objects.clone().any(|known| known == id) {
                    None
                } else {
                    missing("object", id, meant(id, objects))
                }
            }
            LinkTarget::Lang(tag) => tag
                .parse::<Lang>()
                .err()
                .map(|what| (what, "write a BCP 47 tag, for example lang:la".to_owned())),
            LinkTarget::Web(_) | LinkTarget::Place(_) => None,
            LinkTarget::Unknown(address) => Some((
                format!("‘{address}’ is no address that a page can use"),
                "write detail:, step:, term:, object:, lang:, https: or mailto:".to_owned(),
            )),
        }
    }
}

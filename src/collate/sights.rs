//! From where each detail is best seen, and what is told when it is hidden.

use super::bodies::BodyGeometry;
use super::collation::Given;
use crate::profile::Plane;
use crate::record::{
    BodyKind, Detail, Finding, Findings, PartId, Severity, ViewFrom, content_name,
};
use crate::view::{Chosen, Keyed, LeftOut, Part, Patch, Scenery, choose};
use std::collections::BTreeMap;

/// A detail of which less is seen is half hidden; the keeper is told.
const HALF: f64 = 0.5;
/// Below this it is hidden.
const HIDDEN: f64 = 0.1;
/// Another view is named when it shows so much more of the detail.
const WORTH_NAMING: f64 = 0.15;

/// From where a detail is seen, the same for both bodies.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// Where the eye is.
    pub from: ViewFrom,
    /// Where it is for a model from which nothing is left out.
    pub on_model: ViewFrom,
    /// Parts that are taken away for the picture.
    pub without: Vec<PartId>,
    /// Its own part is cut open here.
    pub cut: Option<Plane>,
    /// Share of the detail that is seen then, on the bodies on which it is.
    pub seen: BTreeMap<BodyKind, f64>,
}

impl Sight {
    /// For a survey's report.
    pub(crate) fn json(&self) -> serde_json::Value {
        let seen = self.seen.iter();
        serde_json::json!({
            "azimuth_deg": self.from.azimuth_deg,
            "elevation_deg": self.from.elevation_deg,
            "without": self.without.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "cut": self.cut.is_some(),
            "seen": seen.map(|(kind, share)| (kind.word(), *share)).collect::<BTreeMap<_, _>>(),
        })
    }
}

/// A detail with its surroundings on one body.
struct Placed<'g> {
    body: &'g BodyGeometry,
    scenery: Scenery<'g>,
    patch: Patch,
}

impl<'g> Placed<'g> {
    fn on(given: Given<'g>, detail: &Detail, kind: BodyKind) -> Option<Self> {
        let body = given.bodies.get(&kind)?;
        let own = body.parts.iter().position(|p| p.id == detail.record.part)?;
        let parts: Vec<Part<'g>> = body.parts.iter().map(|p| p.to_be_seen()).collect();
        let place = given.places.get(&detail.id)?.get(&kind)?;
        let radius_mm = detail.record.anchor.radius_mm;
        let patch = Patch::of(parts[own], place.point, place.normal, radius_mm)?;
        Some(Self {
            body,
            scenery: Scenery::of(parts, own)?,
            patch,
        })
    }

    fn ids(&self, parts: &[usize]) -> Vec<PartId> {
        parts
            .iter()
            .map(|i| self.body.parts[*i].id.clone())
            .collect()
    }

    /// What is left out, as this body counts its parts.
    fn left_out(&self, sight: &Sight) -> LeftOut {
        let parts = self.body.parts.iter().enumerate();
        LeftOut {
            parts: parts
                .filter_map(|(i, p)| sight.without.contains(&p.id).then_some(i))
                .collect(),
            cut: sight.cut,
        }
    }
}

/// The keeper's front, or the view from which most of the details are seen.
pub(super) fn front(given: Given<'_>) -> ViewFrom {
    given.object.record.front.unwrap_or_else(|| {
        let details = given.object.details.iter();
        let key: Vec<Keyed<'_>> = details
            .filter_map(|detail| {
                let placed = Placed::on(given, detail, detail.record.anchor.body)?;
                Some(Keyed {
                    scenery: placed.scenery,
                    patch: placed.patch,
                })
            })
            .collect();
        crate::view::front(&key)
    })
}

/// The sight of every detail that has a place.
pub(super) fn sights(
    given: Given<'_>,
    findings: &mut Findings,
) -> BTreeMap<crate::record::DetailId, Sight> {
    let details = given.object.details.iter();
    details
        .filter_map(|detail| Some((detail.id.clone(), sight(given, detail, findings)?)))
        .collect()
}

fn sight(given: Given<'_>, detail: &Detail, findings: &mut Findings) -> Option<Sight> {
    let home = detail.record.anchor.body;
    let placed = Placed::on(given, detail, home)?;
    let chosen = choose(&placed.scenery, &placed.patch, detail.record.view);
    let on_model = if chosen.left_out.nothing() {
        chosen.from
    } else if detail.record.view.is_some() {
        choose(&placed.scenery, &placed.patch, None).whole.0
    } else {
        chosen.whole.0
    };
    let mut sight = Sight {
        from: chosen.from,
        on_model,
        without: placed.ids(&chosen.left_out.parts),
        cut: chosen.left_out.cut,
        seen: BTreeMap::new(),
    };
    for kind in given
        .bodies
        .keys()
        .filter(|kind| detail.record.bearing.is_on(**kind))
    {
        let other;
        let there = if *kind == home {
            &placed
        } else {
            let Some(found) = Placed::on(given, detail, *kind) else {
                continue;
            };
            other = found;
            &other
        };
        let left_out = there.left_out(&sight);
        let seen = there.scenery.seen(&there.patch, sight.from, &left_out);
        sight.seen.insert(*kind, seen);
        let found = Found {
            given,
            detail,
            kind: *kind,
            placed: there,
            chosen: &chosen,
            sight: &sight,
        };
        findings_of(&found, seen, findings);
    }
    Some(sight)
}

/// Everything that a finding about a detail is told from.
struct Found<'f, 'g> {
    given: Given<'g>,
    detail: &'f Detail,
    kind: BodyKind,
    placed: &'f Placed<'g>,
    chosen: &'f Chosen,
    sight: &'f Sight,
}

fn findings_of(found: &Found<'_, '_>, seen: f64, findings: &mut Findings) {
    let whole = LeftOut::default();
    let (patch, scenery) = (&found.placed.patch, &found.placed.scenery);
    if found.detail.record.view.is_some() {
        if seen < HALF {
            findings.push(found.given_view_hides(seen));
        }
        return;
    }
    // What the keeper did not choose is told even when leaving something out shows it.
    let on_whole = scenery.seen(patch, found.chosen.whole.0, &whole);
    if on_whole < HALF || seen < HALF {
        findings.push(found.nothing_shows(on_whole, seen));
    }
}

impl Found<'_, '_> {
    fn given_view_hides(&self, seen: f64) -> Finding {
        let own = choose(&self.placed.scenery, &self.placed.patch, None);
        let remedy = if own.seen >= seen + WORTH_NAMING {
            format!(
                "write this above the first [section] instead, or leave the view out: {}; it shows {}{}",
                toml(own.from),
                percent(own.seen),
                left_out_words(
                    &self.placed.ids(&own.left_out.parts),
                    own.left_out.cut.is_some()
                ),
            )
        } else {
            SMALLER.to_owned()
        };
        let at = self.detail.record.view.unwrap_or_default();
        let hidden = self.hidden(at, &self.placed.left_out(self.sight));
        self.finding("view-hidden", "view", hidden, seen, "this view", remedy)
    }

    fn nothing_shows(&self, on_whole: f64, seen: f64) -> Finding {
        let hidden = self.hidden(self.chosen.whole.0, &LeftOut::default());
        let (without, cut) = (&self.sight.without, self.sight.cut.is_some());
        let remedy = if seen >= HALF {
            format!(
                "if that will do, write this above the first [section]: {}; its still shows {}{}",
                toml(self.sight.from),
                percent(seen),
                left_out_words(without, cut),
            )
        } else {
            SMALLER.to_owned()
        };
        let from = "the best view of the whole";
        self.finding("detail-hidden", "anchor", hidden, on_whole, from, remedy)
    }

    /// Parts that hide the detail, the one that hides most first, with how much.
    fn hidden(&self, from: ViewFrom, left_out: &LeftOut) -> String {
        let shares = self
            .placed
            .scenery
            .hidden_by(&self.placed.patch, from, left_out);
        let mut parts: Vec<(f64, &PartId)> = shares
            .into_iter()
            .zip(self.placed.body.parts.iter().map(|p| &p.id))
            .filter(|(share, _)| *share >= 0.005)
            .collect();
        parts.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        let own = &self.detail.record.part;
        let told: Vec<String> = parts
            .iter()
            .map(|(share, id)| {
                let itself = if *id == own { "its own part " } else { "" };
                format!("{itself}‘{id}’ hides {}", percent(*share))
            })
            .collect();
        told.join(", ")
    }

    fn finding(
        &self,
        rule: &'static str,
        key: &str,
        hidden: String,
        seen: f64,
        from: &str,
        remedy: String,
    ) -> Finding {
        let record = content_name(self.given.root, &self.detail.folder.join("record.toml"));
        let is = if seen < HIDDEN {
            "hidden"
        } else {
            "half hidden"
        };
        Finding {
            severity: Severity::Advice,
            rule,
            place: self.given.sources.place_of(&record, &[key]),
            what: format!(
                "on the {}, ‘{}’ is {is}: {from} shows {} of it; {hidden}",
                self.kind.word(),
                self.detail.id,
                percent(seen),
            ),
            remedy,
        }
    }
}

const SMALLER: &str = "no view shows much more; make ‘radius_mm’ smaller, move the anchor to where the detail shows, or tell it in two details";

fn left_out_words(without: &[PartId], cut: bool) -> String {
    let mut words = String::new();
    for id in without {
        words += &format!(", with ‘{id}’ taken away");
    }
    if cut {
        words += ", with its own part cut open in the picture";
    }
    words
}

fn toml(view: ViewFrom) -> String {
    format!(
        "view = {{ azimuth_deg = {:.1}, elevation_deg = {:.1} }}",
        view.azimuth_deg, view.elevation_deg
    )
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

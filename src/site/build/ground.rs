//! How each claim of an object is known: the page of evidence, and the ways to it and back.

use super::differs::amounts::with_uncertainty;
use super::frame::{Script, dir_word};
use super::{Site, Subject, detail, making};
use crate::paradata::{About, Claim, Group, Input, Known, Number, Said, claims};
use crate::record::{BodyKind, DetailId, Evidence, Lang, ObjectId, SourceId};
use crate::site::address::Page;
use crate::site::assets::ThemeFiles;
use crate::site::page::{
    ClaimGroup, ClaimRow, EvidencePage, Fact, GroundLink, KnownBy, SourceLink, SourceUse,
};
use crate::site::pictures::Pictures;
use crate::site::told::Grounds;
use crate::site::words::Words;
use crate::site::{Request, SiteError, figures};
use std::collections::BTreeMap;

/// The claims of every object, and the same in words.
pub(in crate::site) fn grounds(
    request: &Request<'_>,
    words: &BTreeMap<Lang, Words>,
    theme: &ThemeFiles,
    pictures: &Pictures,
) -> Result<BTreeMap<ObjectId, Grounds>, SiteError> {
    let languages = &request.catalogue.site.languages;
    let nothing = BTreeMap::new();
    let mut all = BTreeMap::new();
    for object in &request.catalogue.objects {
        let geometry = request.geometry.get(&object.id);
        let (Some(geometry), Some(first)) = (geometry, languages.first()) else {
            continue;
        };
        let claims = claims(object, geometry, first);
        let mut said = Said::new();
        for lang in languages {
            let site = Site::speaking(lang, request, words, theme, pictures, &nothing)?;
            let subject = site.subject(request, object)?;
            for claim in &claims {
                let in_words = subject.says(claim)?;
                let entry = said.entry(claim.id.clone()).or_default();
                entry.insert(lang.clone(), in_words);
            }
        }
        all.insert(object.id.clone(), Grounds { claims, said });
    }
    Ok(all)
}

/// The page of evidence.
pub(super) fn page(subject: &Subject<'_>) -> Result<EvidencePage, SiteError> {
    let words = subject.site.words;
    let page = Page::Evidence(subject.object.id.clone());
    let heading = words.get("evidence_page")?;
    let mut groups = Vec::new();
    for group in Group::ALL {
        let own = subject.claims().iter().filter(|c| c.about.group() == group);
        let rows: Vec<ClaimRow> = own
            .map(|claim| subject.row(&page, claim))
            .collect::<Result<_, _>>()?;
        if !rows.is_empty() {
            groups.push(ClaimGroup {
                id: group.word(),
                heading: words
                    .get(&format!("evidence_of_{}", group.word()))?
                    .to_owned(),
                rows,
            });
        }
    }
    Ok(EvidencePage {
        frame: subject.frame(
            &page,
            heading,
            words.get("evidence_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        groups,
        sources: subject.uses()?,
    })
}

impl Subject<'_> {
    pub(super) fn claims(&self) -> &[Claim] {
        let told = self.site.told.get(&self.object.id);
        told.map_or(&[], |told| &told.grounds.claims)
    }

    /// How something is known, with the way to its claim; `text` is what the page says of it. The
    /// way back leads to the one place of a page that is marked.
    pub(super) fn known(
        &self,
        page: &Page,
        claim: &str,
        text: Option<String>,
    ) -> Result<KnownBy, SiteError> {
        let there = self.claims().iter().find(|c| c.id == claim);
        let to = Page::Evidence(self.object.id.clone());
        let text = match text {
            Some(text) => text,
            None => self.site.words.get("how_known")?.to_owned(),
        };
        Ok(KnownBy {
            text,
            href: there.map(|_| {
                let way = self.site.address(page).to(&self.site.address(&to));
                format!("{way}#{claim}")
            }),
            id: there
                .filter(|c| {
                    self.said_on(c)
                        .is_some_and(|(on, marked)| marked && on == *page)
                })
                .map(|_| format!("said-{claim}")),
        })
    }

    /// The id of the claim about something.
    pub(super) fn claim_about(&self, about: &About) -> Option<&str> {
        let claim = self.claims().iter().find(|c| &c.about == about)?;
        Some(&claim.id)
    }

    /// The way to the claim about something; nothing where there is none.
    pub(super) fn known_about(
        &self,
        page: &Page,
        about: &About,
        text: Option<String>,
    ) -> Result<Option<KnownBy>, SiteError> {
        match self.claim_about(about) {
            Some(claim) => self.known(page, claim, text).map(Some),
            None => Ok(text.map(KnownBy::from)),
        }
    }

    /// Ways to the claims about these things, each named by what it is about.
    pub(super) fn grounds(
        &self,
        page: &Page,
        abouts: impl IntoIterator<Item = About>,
    ) -> Result<Vec<KnownBy>, SiteError> {
        let mut all = Vec::new();
        for about in abouts {
            if let Some(claim) = self.claims().iter().find(|c| c.about == about) {
                let text = self.says(claim)?[0].clone();
                all.push(self.known(page, &claim.id, Some(text))?);
            }
        }
        Ok(all)
    }

    /// On which page a claim is made, and whether its place there is marked.
    fn said_on(&self, claim: &Claim) -> Option<(Page, bool)> {
        let id = || self.object.id.clone();
        let differs = |marked| {
            let there = self.object.record.bodies.replica.is_some();
            there.then(|| (Page::Differs(id()), marked))
        };
        match &claim.about {
            About::Identification | About::Body(_) | About::Size(_) | About::Models(_) => {
                Some((Page::Object(id()), true))
            }
            About::Weighed(_) => Some((Page::Object(id()), true)),
            // A body that was weighed is not said to have another mass on that page.
            About::Mass(kind) => {
                let body = self.object.record.bodies.get(*kind);
                match body.is_some_and(|b| b.weighed_g.is_some()) {
                    true => differs(false),
                    false => Some((Page::Object(id()), true)),
                }
            }
            About::Material(_) => Some((Page::Object(id()), false)),
            About::Detail(detail) | About::Place(detail) => {
                Some((Page::Detail(id(), detail.clone()), true))
            }
            About::Step(_) => Some((Page::Making(id()), true)),
            About::Certificate(_) | About::Settled | About::Volume(_) | About::Standing(_) => {
                differs(false)
            }
            About::Caliper(..)
            | About::MassDifference
            | About::Assembly(_)
            | About::Alignment
            | About::Region(_)
            | About::Accepted(_)
            | About::Stated(_)
            | About::Layers(_)
            | About::Hours
            | About::Powder => differs(true),
        }
    }

    fn title_of(&self, id: &DetailId) -> Result<String, SiteError> {
        let detail = self.object.details.iter().find(|d| &d.id == id);
        match detail {
            Some(detail) => Ok(self.site.note(&detail.notes)?.title.clone()),
            None => Ok(id.to_string()),
        }
    }

    fn row(&self, page: &Page, claim: &Claim) -> Result<ClaimRow, SiteError> {
        let (site, words) = (self.site, self.site.words);
        let [term, value] = self.says(claim)?;
        let here = site.address(page);
        let (mut from, mut source) = (Vec::new(), None);
        let known = match &claim.known {
            Known::Unsaid => words.get("evidence_unsaid")?.to_owned(),
            Known::Stated(evidence) => {
                // The source stands beside it, in its own language and with its way.
                source = evidence.source.as_ref().and_then(|id| self.source(id));
                let alone = Evidence {
                    source: None,
                    ..evidence.clone()
                };
                self.site.evidence(&alone, self.object)?
            }
            Known::Computed {
                method,
                from: inputs,
            } => {
                for input in inputs {
                    from.push(self.input(input)?);
                }
                let how = words.get(&format!("reckoned_{}", method.word()))?;
                words.fill("evidence_computed", &[("how", how)])?
            }
        };
        let said_on = match self.said_on(claim) {
            Some((on, marked)) => {
                let mut href = here.to(&site.address(&on));
                if marked {
                    href = format!("{href}#said-{}", claim.id);
                }
                let text = match &on {
                    Page::Differs(_) => words.get("what_differs")?.to_owned(),
                    Page::Making(_) => words.get("how_it_was_made")?.to_owned(),
                    Page::Detail(_, id) => self.title_of(id)?,
                    _ => words.get("plate_and_story")?.to_owned(),
                };
                Some(GroundLink { text, href })
            }
            None => None,
        };
        Ok(ClaimRow {
            id: claim.id.clone(),
            term,
            value,
            known,
            source,
            from,
            said_on,
        })
    }

    /// A source as a row names it.
    fn source(&self, id: &SourceId) -> Option<SourceLink> {
        let source = self.object.record.sources.get(id)?;
        let own = self.site.lang;
        let other = source.lang.as_ref().filter(|lang| *lang != own);
        Some(SourceLink {
            id: id.to_string(),
            title: source.title.clone(),
            lang: other.map(ToString::to_string),
            dir: dir_word(other.unwrap_or(own)),
        })
    }

    /// What a computed claim rests on: a model, in words, or another claim of the page.
    fn input(&self, input: &Input) -> Result<GroundLink, SiteError> {
        let (site, words) = (self.site, self.site.words);
        match input {
            Input::Model(kind, part) => {
                let mut parts = self.object.record.bodies.parts(*kind).iter();
                let name = match parts.find(|p| &p.id == part) {
                    Some(part) => site.text(&part.name)?,
                    None => part.as_str(),
                };
                let key = match kind {
                    BodyKind::Original => "asset_model_original",
                    BodyKind::Replica => "asset_model_replica",
                };
                Ok(GroundLink {
                    text: words.fill(key, &[("part", name)])?,
                    href: String::new(),
                })
            }
            Input::Claim(id) => {
                let claim = self.claims().iter().find(|c| &c.id == id);
                let text = match claim {
                    Some(claim) => self.says(claim)?[0].clone(),
                    None => id.clone(),
                };
                Ok(GroundLink {
                    text,
                    href: claim.map(|_| format!("#{id}")).unwrap_or_default(),
                })
            }
        }
    }

    /// Every source, and the claims that rest on it.
    fn uses(&self) -> Result<Vec<SourceUse>, SiteError> {
        let own = self.site.lang;
        let mut all = Vec::new();
        for (id, source) in &self.object.record.sources {
            let mut claims = Vec::new();
            for claim in self.claims() {
                let rests =
                    matches!(&claim.known, Known::Stated(e) if e.source.as_ref() == Some(id));
                if rests {
                    claims.push(GroundLink {
                        text: self.says(claim)?[0].clone(),
                        href: format!("#{}", claim.id),
                    });
                }
            }
            let other = source.lang.as_ref().filter(|lang| *lang != own);
            all.push(SourceUse {
                id: id.to_string(),
                author: source.author.clone(),
                title: source.title.clone(),
                lang: other.map(ToString::to_string),
                dir: dir_word(other.unwrap_or(own)),
                date: source.date.clone(),
                held: source.held.clone(),
                claims,
            });
        }
        Ok(all)
    }

    /// A claim in words: of what, and what of it.
    pub(super) fn says(&self, claim: &Claim) -> Result<[String; 2], SiteError> {
        let (site, words, record) = (self.site, self.site.words, &self.object.record);
        let body = |kind: &BodyKind| words.get(body_key(*kind));
        let of = |kind: &BodyKind, key: &str| -> Result<String, SiteError> {
            Ok(format!("{}: {}", body(kind)?, words.get(key)?))
        };
        let numbers = || self.numbers(&claim.numbers);
        let page = Page::Evidence(self.object.id.clone());
        Ok(match &claim.about {
            About::Identification => [
                words.get("the_object")?.to_owned(),
                joined(&self.identification(&page)?),
            ],
            About::Body(kind) => {
                let Some(own) = record.bodies.get(*kind) else {
                    return Ok([body(kind)?.to_owned(), String::new()]);
                };
                let mut value =
                    format!("{}; {}", site.text(&own.location)?, site.text(&own.finish)?);
                if let Some(day) = own.dated {
                    value = format!("{value}; {}", figures::day(day, words)?);
                }
                [of(kind, "claim_body")?, value]
            }
            About::Material(id) => {
                let name = match record.materials.get(id) {
                    Some(material) => site.text(&material.name)?,
                    None => id.as_str(),
                };
                [name.to_owned(), numbers()?]
            }
            About::Weighed(kind) => [of(kind, "claim_weighed")?, numbers()?],
            About::Certificate(kind) => [of(kind, "claim_certificate")?, numbers()?],
            About::Caliper(kind, index) => {
                let own = record
                    .bodies
                    .get(*kind)
                    .and_then(|b| b.calipers.get(*index));
                let name = own.map(|c| site.text(&c.name)).transpose()?;
                let name = name.unwrap_or_default();
                [format!("{}: {name}", body(kind)?), numbers()?]
            }
            About::Size(kind) => [of(kind, "fact_size")?, numbers()?],
            About::Volume(kind) => [of(kind, "fact_volume")?, numbers()?],
            About::Mass(kind) => [of(kind, "claim_reckoned")?, numbers()?],
            About::Standing(kind) => [of(kind, "fact_standing")?, numbers()?],
            About::Assembly(kind) => [of(kind, "assembly_heading")?, numbers()?],
            About::Models(kind) => {
                let levels = self.pictures.models.get(kind);
                let levels = levels.map_or(&[][..], Vec::as_slice).iter();
                let levels: Vec<String> = levels
                    .map(|made| self.fidelity(made))
                    .collect::<Result<_, _>>()?;
                [of(kind, "claim_models")?, levels.join(" ")]
            }
            About::MassDifference => [words.get("claim_mass_difference")?.to_owned(), numbers()?],
            About::Alignment => [words.get("claim_alignment")?.to_owned(), numbers()?],
            About::Settled => [words.get("claim_settled")?.to_owned(), numbers()?],
            About::Region(id) => {
                let title = self.title_of(id)?;
                [
                    words.fill("claim_region", &[("title", &title)])?,
                    numbers()?,
                ]
            }
            About::Accepted(index) => {
                let own = record.collation.accepted.get(*index);
                let reason = own.map(|a| site.text(&a.reason)).transpose()?;
                let value = format!("{} {}", reason.unwrap_or_default(), numbers()?);
                [words.get("difference_accepted")?.to_owned(), value]
            }
            About::Stated(index) => {
                let Some(own) = record.differences.get(*index) else {
                    return Ok([String::new(), String::new()]);
                };
                let value = format!(
                    "{}: {}. {}: {}.",
                    words.get("body_original")?,
                    site.text(&own.original)?,
                    words.get("body_replica")?,
                    site.text(&own.replica)?
                );
                [site.text(&own.aspect)?.to_owned(), value]
            }
            About::Detail(id) => {
                let found = self.object.details.iter().find(|d| &d.id == id);
                let value = match found {
                    Some(own) => format!(
                        "{}; {}",
                        detail::kind_name(own.record.kind, words)?,
                        detail::bearing_sentence(&own.record.bearing, words)?
                    ),
                    None => String::new(),
                };
                [self.title_of(id)?, value]
            }
            About::Place(id) => {
                let title = self.title_of(id)?;
                [words.fill("claim_place", &[("title", &title)])?, numbers()?]
            }
            About::Step(id) => {
                let Some(step) = self.object.making.iter().find(|s| &s.id == id) else {
                    return Ok([id.to_string(), String::new()]);
                };
                let facts = making::step_facts(self, &page, step)?;
                let stated = &facts[..facts.len().saturating_sub(1)];
                [site.note(&step.notes)?.title.clone(), joined(stated)]
            }
            About::Layers(index) => {
                let layers = self.geometry.quantities.layers.get(*index);
                let mut parts = record.bodies.parts(BodyKind::Replica).iter();
                let part = layers.and_then(|l| parts.find(|p| p.id == l.part));
                let part = part
                    .map(|p| site.text(&p.name))
                    .transpose()?
                    .unwrap_or_default();
                [words.fill("claim_layers", &[("part", part)])?, numbers()?]
            }
            About::Hours => [words.get("hours_heading")?.to_owned(), numbers()?],
            About::Powder => [words.get("powder_heading")?.to_owned(), numbers()?],
        })
    }

    fn numbers(&self, numbers: &[Number]) -> Result<String, SiteError> {
        let words = self.site.words;
        let mut texts = Vec::new();
        for number in numbers {
            let value = match number.expanded {
                Some(expanded) => with_uncertainty(number.value, expanded, number.unit, words)?,
                None => plain(number, words)?,
            };
            let name = words.get(&format!("number_{}", number.name))?;
            texts.push(format!("{name} {value}"));
        }
        Ok(texts.join("; "))
    }
}

/// A number of which no uncertainty is known: as many decimals as tell something.
fn plain(number: &Number, words: &Words) -> Result<String, SiteError> {
    let size = number.value.abs();
    let decimals = match number.unit {
        "" | "µm" | "g" => 0,
        _ if size < 0.01 => 4,
        _ if size < 100.0 && size.fract() != 0.0 => 2,
        _ => usize::from(size.fract() != 0.0),
    };
    let value = figures::number(number.value, decimals, words)?;
    Ok(match number.unit {
        "" => value,
        "°" => format!("{value}°"),
        unit => format!("{value}\u{a0}{unit}"),
    })
}

fn body_key(kind: BodyKind) -> &'static str {
    match kind {
        BodyKind::Original => "body_original",
        BodyKind::Replica => "body_replica",
    }
}

/// Facts in one line.
fn joined(facts: &[Fact]) -> String {
    let all: Vec<String> = facts
        .iter()
        .map(|f| format!("{}: {}", f.term, f.value))
        .collect();
    all.join("; ")
}

impl Subject<'_> {
    /// What a record says of how something is known, with the way to the claim.
    pub(super) fn stated(
        &self,
        page: &Page,
        about: &About,
        evidence: &Evidence,
    ) -> Result<Option<KnownBy>, SiteError> {
        let text = self.site.evidence(evidence, self.object)?;
        self.known_about(page, about, Some(text))
    }
}

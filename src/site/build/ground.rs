//! How each claim of an object is known: the page of evidence, and the ways to it and back.

mod says;

use super::frame::{Script, dir_word};
use super::{Made, Site, Subject};
use crate::paradata::{About, Claim, Group, Input, Known, Said, claims};
use crate::record::{BodyKind, DetailId, Evidence, Lang, ObjectId, SourceId};
use crate::site::address::Page;
use crate::site::assets::ThemeFiles;
use crate::site::everywhere::Social;
use crate::site::page::{
    ClaimGroup, ClaimRow, EvidencePage, GroundLink, KnownBy, SourceLink, SourceUse,
};
use crate::site::pictures::Pictures;
use crate::site::told::Grounds;
use crate::site::words::Words;
use crate::site::{Request, SiteError};
use std::collections::BTreeMap;

/// The claims of every object, and the same in words.
pub(in crate::site) fn grounds(
    request: &Request<'_>,
    words: &BTreeMap<Lang, Words>,
    theme: &ThemeFiles,
    pictures: &Pictures,
) -> Result<BTreeMap<ObjectId, Grounds>, SiteError> {
    let languages = &request.catalogue.site.languages;
    let (social, nothing) = (Social::default(), BTreeMap::new());
    let made = Made {
        theme,
        pictures,
        social: &social,
        told: &nothing,
    };
    let mut all = BTreeMap::new();
    for object in &request.catalogue.objects {
        let geometry = request.geometry.get(&object.id);
        let (Some(geometry), Some(first)) = (geometry, languages.first()) else {
            continue;
        };
        let claims = claims(object, geometry, first);
        let mut said = Said::new();
        for lang in languages {
            let site = Site::speaking(lang, request, words, made)?;
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

//! What the pages of one object say, before it becomes pages: for those who keep it in another form.

use super::{Made, Site, Subject, detail, differs, making, object, raised, rights};
use crate::record::words::SpokenWords;
use crate::record::{BodyKind, Lang, ObjectId};
use crate::site::assets::{Assets, ThemeFiles};
use crate::site::everywhere::Social;
use crate::site::page::{
    DetailPage, DiffersPage, MakingPage, ObjectPage, RaisedDrawing, RightsPage,
};
use crate::site::pictures::Pictures;
use crate::site::told::Told;
use crate::site::words::Words;
use crate::site::{Request, SiteError};
use std::collections::BTreeMap;

/// One object, told in one language. Numbers and sentences are those of its pages.
pub(crate) struct Said {
    pub(crate) words: Words,
    pub(crate) spoken: SpokenWords,
    pub(crate) object: ObjectPage,
    /// In the order of the key.
    pub(crate) details: Vec<DetailPage>,
    pub(crate) differs: Option<DiffersPage>,
    pub(crate) making: Option<MakingPage>,
    pub(crate) rights: RightsPage,
    /// Drawings for fingers.
    pub(crate) raised: Vec<RaisedDrawing>,
}

/// The one object of the request, in every language.
pub(in crate::site) fn said(
    request: &Request<'_>,
    (words, theme, pictures): (&BTreeMap<Lang, Words>, &ThemeFiles, &Pictures),
    told: &BTreeMap<ObjectId, Told>,
    assets: &Assets,
) -> Result<BTreeMap<Lang, Said>, SiteError> {
    let social = Social::default();
    let made = Made {
        theme,
        pictures,
        social: &social,
        told,
    };
    let mut all = BTreeMap::new();
    for lang in &request.catalogue.site.languages {
        let site = Site::speaking(lang, request, words, made)?;
        let [record] = request.catalogue.objects.as_slice() else {
            return Err(SiteError::Picture("there is no such object".to_owned()));
        };
        let subject = site.subject(request, record)?;
        all.insert(lang.clone(), of(&subject, assets)?);
    }
    Ok(all)
}

fn of(subject: &Subject<'_>, assets: &Assets) -> Result<Said, SiteError> {
    let record = subject.object;
    let replica = record.record.bodies.get(BodyKind::Replica);
    Ok(Said {
        words: subject.site.words.clone(),
        spoken: subject.site.spoken.clone(),
        object: object::page(subject)?,
        details: (0..record.details.len())
            .map(|index| detail::page(subject, index))
            .collect::<Result<_, _>>()?,
        differs: replica.map(|_| differs::page(subject)).transpose()?,
        making: match record.making.is_empty() {
            true => None,
            false => Some(making::page(subject)?),
        },
        rights: rights::page(subject)?,
        raised: match subject.sheets().raised() {
            true => raised::page(subject, assets)?.drawings,
            false => Vec::new(),
        },
    })
}

//! The handout: plates and key on one sheet of A4, to be taken along.

use super::Subject;
use super::frame::Script;
use crate::record::BodyKind;
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::assets::Assets;
use crate::site::page::HandoutPage;

/// From so many details on, the key gives titles only: both sides of a sheet hold no more.
const LONG_KEY: usize = 25;

pub(super) fn page(subject: &Subject<'_>, assets: &Assets) -> Result<HandoutPage, SiteError> {
    let (site, object) = (subject.site, subject.object);
    let page = Page::Handout(object.id.clone());
    let shown = object.shown_body();
    let heading = match shown {
        BodyKind::Original => "body_original",
        BodyKind::Replica => "body_replica",
    };
    Ok(HandoutPage {
        frame: subject.frame(
            &page,
            site.words.get("handout")?,
            site.words.get("handout_description")?,
            Script::None,
        )?,
        object: subject.head(&page)?,
        standing: site.standing(object)?,
        heading: site.words.get(heading)?.to_owned(),
        plate: subject.front_plate(&page, shown)?,
        sides: subject.further_plates(&page, shown)?,
        key: subject.key(&page)?,
        long_key: object.details.len() >= LONG_KEY,
        code: super::paper::code(subject, &page, assets)?,
    })
}

//! Pages at old addresses, which lead on to where the thing is now.

use super::Site;
use crate::record::Object;
use crate::site::SiteError;
use crate::site::address::Page;
use crate::site::assets::Assets;
use crate::site::everywhere;
use crate::site::page::MovedPage;
use crate::site::render::Speaking;

/// The script of such a page: it keeps the place after the `#`.
static SCRIPT: &[u8] = include_bytes!("../../../themes/plate/viewer/moved.js");

/// An old address and where it leads.
#[derive(Debug, Clone)]
pub(crate) struct Moved {
    pub(crate) from: Page,
    pub(crate) to: Page,
}

/// Adds those of an object in one language, after its own pages.
pub(super) fn add(
    site: &Site<'_>,
    object: &Object,
    assets: &Assets,
    renderer: &Speaking,
) -> Result<(), SiteError> {
    let made = |page: &Page| assets.files().contains(&site.address(page).file());
    for moved in everywhere::stubs(object, made) {
        let script = assets.add("moved", "js", SCRIPT.to_vec());
        let html = renderer.page("moved.html", &page(site, &moved, &script)?)?;
        assets.files().put(&site.address(&moved.from).file(), html);
    }
    Ok(())
}

fn page(site: &Site<'_>, moved: &Moved, script: &str) -> Result<MovedPage, SiteError> {
    let words = site.words;
    let here = site.address(&moved.from);
    let object = moved.to.object().and_then(|id| site.catalogue.object(id));
    let object = object.ok_or_else(|| SiteError::Io("an old address leads nowhere".to_owned()))?;
    let title = match &moved.to {
        Page::Detail(_, id) => {
            let detail = object.details.iter().find(|d| &d.id == id);
            site.note(detail.map_or(&object.notes, |d| &d.notes))?
        }
        _ => site.note(&object.notes)?,
    };
    let (heading, description) = (words.get("moved_heading")?, words.get("moved_description")?);
    let mut frame = site.frame(&moved.from, heading, description)?;
    site.lead_on(&mut frame);
    frame.unlisted = true;
    // Its one address is that of the page to which it leads, and what it tells machines is told there.
    let there = site.frame(&moved.to, &title.title, &title.lead_text())?;
    frame.data = there.data;
    frame.web = there.web.map(|mut web| {
        web.alternates.clear();
        web
    });
    Ok(MovedPage {
        frame,
        to: here.to(&site.address(&moved.to)),
        title: title.title.clone(),
        script: here.to_file(script),
    })
}

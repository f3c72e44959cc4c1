//! What the head of a page says to those who are not reading it.

use super::social::Social;
use super::{absolute, feed};
use crate::record::{Catalogue, Lang};
use crate::site::SiteError;
use crate::site::address::Page;
use serde::Serialize;

/// Addresses of a page on the web, and its picture for those who pass it on.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Web {
    /// Its one address.
    pub(crate) canonical: String,
    /// The page in every language, and for readers of none of them.
    pub(crate) alternates: Vec<Alternate>,
    /// The feed.
    pub(crate) feed: Option<String>,
    /// `website` for the first page, else `article`.
    pub(crate) kind: &'static str,
    /// The picture.
    pub(crate) picture: Option<SocialPicture>,
}

#[derive(Debug, Clone, Serialize)]
pub(crate) struct Alternate {
    pub(crate) lang: String,
    pub(crate) href: String,
}

#[derive(Debug, Clone, Serialize)]
pub(crate) struct SocialPicture {
    pub(crate) href: String,
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) alt: String,
}

/// For a page of a site that is served. `alt` says what the picture shows.
pub(crate) fn web(
    catalogue: &Catalogue,
    social: &Social,
    page: &Page,
    lang: &Lang,
    alt: impl FnOnce() -> Result<String, SiteError>,
) -> Result<Web, SiteError> {
    let site = &catalogue.site;
    let mut alternates = Vec::new();
    if let Some(first) = site.languages.first().filter(|_| site.languages.len() > 1) {
        let of = |tag: String, lang: &Lang| Alternate {
            lang: tag,
            href: absolute(catalogue, page, lang),
        };
        alternates.extend(site.languages.iter().map(|l| of(l.to_string(), l)));
        alternates.push(of("x-default".to_owned(), first));
    }
    let picture = match social.of(page.object(), lang) {
        Some(path) => Some(SocialPicture {
            href: format!("{}{path}", site.address),
            width: super::social::SIZE_PX[0],
            height: super::social::SIZE_PX[1],
            alt: alt()?,
        }),
        None => None,
    };
    let feed =
        feed::any(catalogue).then(|| format!("{}{}", site.address, feed::file(catalogue, lang)));
    Ok(Web {
        canonical: absolute(catalogue, page, lang),
        alternates,
        feed,
        kind: if *page == Page::Home {
            "website"
        } else {
            "article"
        },
        picture,
    })
}

//! What each page says of itself: which page of which site, where in it, and of what it speaks.

use super::{CONTEXT, Speaks};
use crate::formats::Telling;
use crate::linked::core::DCTERMS;
use crate::linked::put;
use crate::record::{Catalogue, Lang};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// A page above this one, or this one.
pub(crate) struct Crumb {
    pub(crate) name: String,
    pub(crate) address: String,
}

/// A page of the site, in one language.
pub(crate) struct Paged<'a> {
    pub(crate) catalogue: &'a Catalogue,
    pub(crate) lang: &'a Lang,
    /// Its public address.
    pub(crate) address: String,
    pub(crate) name: String,
    pub(crate) description: String,
    /// From the home page to this one.
    pub(crate) way: Vec<Crumb>,
    /// Whether this is the first page, which tells the whole site.
    pub(crate) home: bool,
}

/// The data of a page; of an object's own page, all that is told of the object in this vocabulary.
pub(crate) fn for_page(page: &Paged<'_>, object: Option<(&Telling<'_>, bool)>) -> Value {
    let site = &page.catalogue.site;
    let site_id = format!("{}#site", site.address);
    let name = site.name.get(page.lang).unwrap_or_default();
    let mut own = json!({
        "@type": "WebPage", "@id": page.address, "url": page.address, "name": page.name,
        "inLanguage": page.lang, "isPartOf": { "@id": site_id },
    });
    if !page.description.is_empty() {
        put(
            &mut own,
            "description",
            Some(page.description.as_str().into()),
        );
    }
    let mut whole = json!({
        "@type": "WebSite", "@id": site_id, "url": site.address, "name": name,
        "publisher": { "@id": publisher_id(page.catalogue) },
    });
    let mut graph = Vec::new();
    if page.home {
        let about = site.introduction.get(page.lang).map(Into::into);
        put(&mut whole, "description", about);
        put(&mut whole, "inLanguage", Some(json!(site.languages)));
        let objects = page
            .catalogue
            .objects
            .iter()
            .map(|object| json!({ "@id": format!("{}{}/#original", site.address, object.id) }));
        put(&mut own, "about", Some(objects.collect()));
    } else if page.way.len() > 1 {
        let id = format!("{}#way", page.address);
        put(&mut own, "breadcrumb", Some(json!({ "@id": id })));
        let items = page.way.iter().enumerate().map(|(index, crumb)| {
            json!({
                "@type": "ListItem", "position": index + 1,
                "name": crumb.name, "item": { "@id": crumb.address },
            })
        });
        let items: Vec<Value> = items.collect();
        graph.push(json!({ "@type": "BreadcrumbList", "@id": id, "itemListElement": items }));
    }
    if let Some((telling, main)) = object {
        let langs = std::slice::from_ref(page.lang);
        let speaks = Speaks { telling, langs };
        let shown = telling.shown();
        let key = if main { "mainEntity" } else { "about" };
        put(
            &mut own,
            key,
            Some(json!({ "@id": speaks.thing_id(shown) })),
        );
        if main {
            if telling.served.plates.contains_key(&shown) {
                let still = json!({ "@id": speaks.still_id(shown) });
                put(&mut own, "primaryImageOfPage", Some(still));
            }
            graph.extend(speaks.things());
        }
    }
    let mut all = vec![own, whole, publisher(page.catalogue)];
    all.append(&mut graph);
    // Dublin Core beside schema.org, by a prefix that needs no document.
    json!({ "@context": [CONTEXT, { "dcterms": DCTERMS }], "@graph": all })
}

fn publisher_id(catalogue: &Catalogue) -> String {
    format!("{}#publisher", catalogue.site.address)
}

/// Who publishes.
pub(super) fn publisher(catalogue: &Catalogue) -> Value {
    json!({
        "@type": "Organization", "@id": publisher_id(catalogue),
        "name": catalogue.site.publisher, "url": catalogue.site.address,
    })
}

/// JSON as it may stand in a page: a block of data ends at the first `</script`, and `<!--` changes
/// how the rest is read (HTML Standard, 4.12.1.3), so no `<` is written as such.
pub(crate) fn in_script(value: &Value) -> String {
    let text = value.to_string();
    let mut out = String::with_capacity(text.len() + text.len() / 16);
    let mut rest = text.as_str();
    while let Some(at) = rest.find(['<', '>', '&', '\u{2028}', '\u{2029}']) {
        let (before, after) = rest.split_at(at);
        out.push_str(before);
        let mut signs = after.chars();
        if let Some(sign) = signs.next() {
            // Writing to a string cannot fail.
            let _ = write!(out, "\\u{:04x}", u32::from(sign));
        }
        rest = signs.as_str();
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::in_script;
    use serde_json::{Value, json};

    #[test]
    fn nothing_in_a_text_ends_the_block_of_data() {
        let value = json!({ "name": "</script><script>alert(1)</script><!-- & ]]> \u{2028}" });
        let text = in_script(&value);
        assert!(!text.contains(['<', '>', '&', '\u{2028}']), "{text}");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}

//! Tree → what is seen: the diplomatic reading with its signs.

use super::tree::Tree;
use crate::record::words::html::escape;

impl Tree {
    /// The signs as HTML: hidden from a screen reader, which hears `spoken` in their place. A new
    /// line of the inscription is a new line on the page.
    pub(in crate::record::words) fn diplomatic_html(
        &self,
        spoken: &str,
        spoken_lang: &str,
    ) -> String {
        let signs = escape(&self.to_signs())
            .replace("-/", "-<br>")
            .replace('/', "<br>");
        format!(
            "<span aria-hidden=\"true\">{signs}</span><span class=\"spoken\" lang=\"{}\">{}</span>",
            escape(spoken_lang),
            escape(spoken)
        )
    }
}

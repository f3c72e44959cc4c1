//! Page model → template → minified HTML.

use super::SiteError;
use super::earlier::Mark;
use super::theme::Theme;
use super::words::Words;
use serde::Serialize;
use tera::{Context, Tera};

/// The templates, parsed once.
pub(crate) struct Renderer {
    tera: Tera,
}

/// The templates with the interface words of one language: `words.what_differs`.
pub(crate) struct Speaking {
    tera: Tera,
    /// Digest of the words.
    words: Mark,
}

impl Renderer {
    /// Parses every template of the theme.
    pub(crate) fn new(theme: &Theme) -> Result<Self, SiteError> {
        let mut tera = Tera::default();
        tera.autoescape_on(vec![".html"]);
        let mut templates = Vec::new();
        for (name, bytes) in theme.folder("templates") {
            let text = std::str::from_utf8(bytes)
                .map_err(|e| SiteError::Theme(format!("templates/{name} is not UTF-8: {e}")))?;
            templates.push((name.to_owned(), text.to_owned()));
        }
        tera.add_raw_templates(templates)
            .map_err(|e| SiteError::Theme(chain(&e)))?;
        Ok(Self { tera })
    }

    /// For the pages of one language. There are hundreds of words, and thousands of pages: they are not handed
    /// over with each.
    pub(crate) fn speaking(&self, words: &Words) -> Result<Speaking, SiteError> {
        let mut tera = self.tera.clone();
        tera.global_context().insert("words", words.all());
        let all = serde_json::to_vec(words.all()).map_err(|e| SiteError::Theme(chain(&e)))?;
        Ok(Speaking {
            tera,
            words: *blake3::hash(&all).as_bytes(),
        })
    }
}

impl Speaking {
    /// The digest of what a page is rendered from, beside the theme.
    pub(crate) fn mark(&self, template: &str, model: &impl Serialize) -> Result<Mark, SiteError> {
        let mut all = self.words.to_vec();
        all.extend_from_slice(template.as_bytes());
        serde_json::to_writer(&mut all, model).map_err(|e| SiteError::Theme(chain(&e)))?;
        Ok(*blake3::hash(&all).as_bytes())
    }

    /// One page.
    pub(crate) fn page(
        &self,
        template: &str,
        model: &impl Serialize,
    ) -> Result<Vec<u8>, SiteError> {
        let context = Context::from_serialize(model).map_err(|e| SiteError::Theme(chain(&e)))?;
        let html = self
            .tera
            .render(template, &context)
            .map_err(|e| SiteError::Theme(chain(&e)))?;
        Ok(minify_html::minify(html.as_bytes(), &compliant()))
    }
}

/// Only what the HTML Standard allows: valid pages matter more than the last byte.
fn compliant() -> minify_html::Cfg {
    minify_html::Cfg {
        keep_closing_tags: true,
        keep_html_and_head_opening_tags: true,
        keep_input_type_text_attr: true,
        ..minify_html::Cfg::default()
    }
}

/// An error with all its causes: tera keeps the telling part in the source.
fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text = format!("{text}: {inner}");
        cause = inner.source();
    }
    text
}

//! Quotation marks as each language sets them (Unicode CLDR, delimiters; the Welsh, German, French,
//! Spanish, Italian, Dutch, Polish, Danish and Swedish rows from memory).

use crate::record::Lang;

/// Outer and inner marks of a language: open, close, open, close.
fn marks(lang: &Lang) -> [&'static str; 4] {
    match lang.primary() {
        "cy" => ["‘", "’", "“", "”"],
        "de" | "cs" | "sk" | "sl" => ["„", "“", "‚", "‘"],
        "fr" => ["«\u{202f}", "\u{202f}»", "“", "”"],
        "es" | "it" | "pt" => ["«", "»", "“", "”"],
        "nl" => ["‘", "’", "“", "”"],
        "pl" => ["„", "”", "«", "»"],
        "sv" | "fi" => ["”", "”", "’", "’"],
        "da" => ["“", "”", "‘", "’"],
        _ => ["“", "”", "‘", "’"],
    }
}

/// Turns the English curly quotes of a passage into the language's own. An apostrophe stays one:
/// a closing single mark is a quotation mark only when one is open and no letter follows.
#[derive(Debug)]
pub(super) struct Quotes {
    marks: [&'static str; 4],
    open_inner: usize,
}

impl Quotes {
    pub(super) fn of(lang: &Lang) -> Self {
        Self {
            marks: marks(lang),
            open_inner: 0,
        }
    }

    /// One run of text; state is kept from run to run.
    pub(super) fn set(&mut self, text: &str) -> String {
        let [open, close, open_inner, close_inner] = self.marks;
        let mut out = String::with_capacity(text.len());
        let mut chars = text.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '“' => out.push_str(open),
                '”' => out.push_str(close),
                '‘' => {
                    self.open_inner += 1;
                    out.push_str(open_inner);
                }
                '’' if self.open_inner > 0
                    && !chars.peek().is_some_and(|n| n.is_alphanumeric()) =>
                {
                    self.open_inner -= 1;
                    out.push_str(close_inner);
                }
                other => out.push(other),
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(lang: &str, text: &str) -> String {
        Quotes::of(&lang.parse().unwrap()).set(text)
    }

    #[test]
    fn each_language_has_its_own_and_apostrophes_stay() {
        assert_eq!(
            set("en", "“the keeper’s ‘own’ copy”"),
            "“the keeper’s ‘own’ copy”"
        );
        assert_eq!(set("cy", "“copi’r ceidwad”"), "‘copi’r ceidwad’");
        assert_eq!(set("de", "“die ‘alte’ Glocke”"), "„die ‚alte‘ Glocke“");
        assert_eq!(set("fr", "“l’original”"), "«\u{202f}l’original\u{202f}»");
    }
}

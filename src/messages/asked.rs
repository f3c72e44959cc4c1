//! Which language is wanted: by the system's locale, or by what a browser asks for.

use super::Messages;

/// The language of the system's messages, of those that there are: the first of `LC_ALL`, `LC_MESSAGES` and `LANG`
/// that is set and not empty decides (POSIX.1-2017, Base Definitions 8.2). English for the locales `C` and
/// `POSIX` and for all others.
pub fn by_locale(variable: impl Fn(&str) -> Option<String>) -> &'static str {
    let set = |name: &&str| variable(name).filter(|value| !value.is_empty());
    let value = ["LC_ALL", "LC_MESSAGES", "LANG"].iter().find_map(set);
    // language[_territory][.codeset][@modifier]
    let language = value
        .as_deref()
        .and_then(|v| v.split(['_', '.', '@']).next());
    language.and_then(known).unwrap_or("en")
}

/// The first language of an `Accept-Language` header that there are messages in (RFC 9110, 12.5.4): by weight, and among
/// equals in the order in which they stand. English when none is.
pub fn by_header(value: &str) -> &'static str {
    let wanted = value.split(',').filter_map(|part| {
        let (range, weight) = part.split_once(';').unwrap_or((part, "q=1"));
        let weight: f32 = weight.trim().strip_prefix("q=")?.trim().parse().ok()?;
        Some((known(range.trim().split('-').next()?)?, weight))
    });
    let best = wanted.reduce(|best, next| if next.1 > best.1 { next } else { best });
    best.filter(|(_, weight)| *weight > 0.0)
        .map_or("en", |(tag, _)| tag)
}

fn known(language: &str) -> Option<&'static str> {
    Messages::languages().find(|tag| tag.eq_ignore_ascii_case(language))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_variable_that_says_something_decides() {
        let of = |set: &[(&str, &str)]| {
            by_locale(|name| {
                let found = set.iter().find(|(known, _)| *known == name);
                found.map(|(_, value)| (*value).to_owned())
            })
        };
        assert_eq!(of(&[]), "en");
        assert_eq!(of(&[("LANG", "cy_GB.UTF-8")]), "cy");
        assert_eq!(
            of(&[("LC_ALL", ""), ("LC_MESSAGES", "cy"), ("LANG", "en")]),
            "cy"
        );
        assert_eq!(of(&[("LC_ALL", "C"), ("LANG", "cy_GB.UTF-8")]), "en");
        assert_eq!(of(&[("LC_ALL", "C.UTF-8"), ("LANG", "cy")]), "en");
        assert_eq!(of(&[("LANG", "CY@x")]), "cy");
        assert_eq!(of(&[("LANG", "cycle")]), "en");
    }

    /// Weights as in the examples of RFC 9110, 12.4.2 and 12.5.4.
    #[test]
    fn a_header_is_read_by_its_weights() {
        assert_eq!(by_header("cy"), "cy");
        assert_eq!(by_header("da, en-gb;q=0.8, cy;q=0.7"), "en");
        assert_eq!(by_header("da, en-gb;q=0.7, cy-GB;q=0.8"), "cy");
        assert_eq!(by_header("cy;q=0"), "en");
        assert_eq!(by_header("cy, en"), "cy");
        assert_eq!(by_header(""), "en");
        assert_eq!(by_header("*;q=x"), "en");
    }
}

//! Names of files in a bag: written into manifests and read from them, and which are refused.

use unicode_normalization::UnicodeNormalization;

/// Where the payload lies.
pub(crate) const PAYLOAD: &str = "data/";

/// A name as a manifest writes it: line feed, carriage return and percent sign are encoded, and
/// nothing else (RFC 8493, 2.1.3).
pub(crate) fn encoded(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for c in name.chars() {
        match c {
            '\n' => out.push_str("%0A"),
            '\r' => out.push_str("%0D"),
            '%' => out.push_str("%25"),
            c => out.push(c),
        }
    }
    out
}

/// The name that a manifest means. Other percent signs stay as they are: older programs do not
/// encode them.
pub(crate) fn decoded(written: &str) -> String {
    let mut out = String::with_capacity(written.len());
    let mut rest = written;
    while let Some((before, after)) = rest.split_once('%') {
        out.push_str(before);
        let code = after.get(..2).map(str::to_ascii_uppercase);
        let meant = match code.as_deref() {
            Some("0A") => Some('\n'),
            Some("0D") => Some('\r'),
            Some("25") => Some('%'),
            _ => None,
        };
        out.push(meant.unwrap_or('%'));
        rest = if meant.is_some() { &after[2..] } else { after };
    }
    out.push_str(rest);
    out
}

/// Why a name is refused, whatever it names: it could lead out of the bag on some system.
pub(crate) fn refused(name: &str) -> Option<&'static str> {
    let bytes = name.as_bytes();
    let drive = bytes.len() >= 2 && bytes[0].is_ascii_alphabetic() && bytes[1] == b':';
    if name.is_empty() {
        Some("is empty")
    } else if name.starts_with('/') {
        Some("begins at the root of a disk")
    } else if name.starts_with('~') {
        Some("begins with ‘~’, which some systems take for a home folder")
    } else if drive {
        Some("begins with the letter of a drive")
    } else if name.contains('\\') {
        Some("has a ‘\\’, which parts folders on some systems")
    } else if name.contains('\0') {
        Some("has a zero byte")
    } else if name.split('/').any(|step| step == "..") {
        Some("has a step ‘..’, which leads out of the bag")
    } else if name.split('/').any(|step| step.is_empty() || step == ".") {
        Some("has an empty step")
    } else {
        None
    }
}

/// The same for two names that some system cannot tell apart: case and Unicode normal form go.
pub(crate) fn folded(name: &str) -> String {
    name.nfc().flat_map(char::to_lowercase).nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names from RFC 8493, 2.1.3, as our notes of it have them.
    #[test]
    fn three_characters_are_encoded_and_no_others() {
        assert_eq!(encoded("data/50%\na b.txt"), "data/50%25%0Aa b.txt");
        assert_eq!(encoded("data/%0A.txt"), "data/%250A.txt");
        assert_eq!(encoded("data/é ö.txt"), "data/é ö.txt");
        for name in [
            "data/50%\na b.txt",
            "data/%0A.txt",
            "data/%",
            "data/%2",
            "data/a\r%zz%25",
        ] {
            assert_eq!(decoded(&encoded(name)), name);
        }
        assert_eq!(decoded("data/100%.txt"), "data/100%.txt");
        assert_eq!(decoded("data/%é"), "data/%é");
    }

    #[test]
    fn names_that_lead_out_are_refused() {
        for name in [
            "/etc/passwd",
            "data/../x",
            "~/x",
            "C:/x",
            "data\\x",
            "data//x",
            "data/./x",
            "",
            "data/x\0",
        ] {
            assert!(refused(name).is_some(), "{name:?}");
        }
        for name in ["data/a b.txt", "data/...", "data/~x", "data/50%\n.txt"] {
            assert_eq!(refused(name), None, "{name:?}");
        }
        assert_eq!(refused("data/a b/é.txt"), None);
    }

    #[test]
    fn case_and_normal_form_fold() {
        assert_eq!(folded("data/É.txt"), folded("data/e\u{301}.TXT"));
        assert_ne!(folded("data/a"), folded("data/b"));
    }
}

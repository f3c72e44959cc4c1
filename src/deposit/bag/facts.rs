//! `bagit.txt` and `bag-info.txt`.

use super::manifest::lines;

/// The whole of `bagit.txt` (RFC 8493, 2.1.1): 54 bytes.
pub(crate) const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
/// A line of `bag-info.txt` is folded before it is longer.
const LONGEST: usize = 79;

/// A version of the rules: major and minor.
pub(crate) type Version = (u32, u32);

/// What `bagit.txt` says, or what is wrong with it.
pub(crate) fn declared(bytes: &[u8]) -> Result<Version, String> {
    if bytes.starts_with(&[0xef, 0xbb, 0xbf]) {
        return Err("it begins with a byte-order mark, which is not allowed".to_owned());
    }
    let text = std::str::from_utf8(bytes).map_err(|_| "it is not UTF-8".to_owned())?;
    let mut all = lines(text);
    let (first, second) = (all.next().unwrap_or(""), all.next().unwrap_or(""));
    if all.next().is_some() {
        return Err("it has more than two lines".to_owned());
    }
    let version = first
        .strip_prefix("BagIt-Version:")
        .and_then(|rest| rest.trim().split_once('.'))
        .and_then(|(major, minor)| Some((major.parse().ok()?, minor.parse().ok()?)));
    let version = version.ok_or("its first line is not ‘BagIt-Version: M.N’")?;
    let encoding = second
        .strip_prefix("Tag-File-Character-Encoding:")
        .ok_or("its second line is not ‘Tag-File-Character-Encoding: UTF-8’")?;
    if !encoding.trim().eq_ignore_ascii_case("utf-8") {
        return Err(format!(
            "its tag files are said to be in {}; only UTF-8 can be read here",
            encoding.trim()
        ));
    }
    if !((0, 93)..=(1, 0)).contains(&version) {
        return Err(format!(
            "it is of version {}.{}; versions 0.93 to 1.0 can be read here",
            version.0, version.1
        ));
    }
    Ok(version)
}

/// `Label: value` lines, long ones folded onto lines that begin with blanks.
pub(crate) fn composed(facts: &[(&str, String)]) -> String {
    let mut out = String::new();
    for (label, value) in facts {
        let mut line = format!("{label}:");
        for word in value.split_whitespace() {
            if line.chars().count() + 1 + word.chars().count() > LONGEST && !line.ends_with(':') {
                out.push_str(&line);
                out.push('\n');
                line.clear();
            }
            line.push(' ');
            line.push_str(word);
        }
        out.push_str(&line);
        out.push('\n');
    }
    out
}

/// What `bag-info.txt` says, in its order; numbers of lines that are none.
pub(crate) fn parsed(text: &str) -> (Vec<(String, String)>, Vec<usize>) {
    let (mut facts, mut faults): (Vec<(String, String)>, Vec<usize>) = (Vec::new(), Vec::new());
    for (index, line) in lines(text).enumerate() {
        match (line.starts_with([' ', '\t']), line.split_once(':')) {
            (true, _) => match facts.last_mut() {
                Some((_, value)) => {
                    value.push(' ');
                    value.push_str(line.trim());
                }
                None => faults.push(index + 1),
            },
            (false, Some((label, value))) if !label.trim().is_empty() => {
                facts.push((label.trim().to_owned(), value.trim().to_owned()));
            }
            _ => faults.push(index + 1),
        }
    }
    (facts, faults)
}

/// The values of a label; labels are the same in any case.
pub(crate) fn of<'f>(
    facts: &'f [(String, String)],
    label: &'f str,
) -> impl Iterator<Item = &'f str> {
    facts
        .iter()
        .filter(move |(l, _)| l.eq_ignore_ascii_case(label))
        .map(|(_, value)| value.as_str())
}

/// `octets.files` (RFC 8493, 2.2.2).
pub(crate) fn oxum(text: &str) -> Option<(u64, u64)> {
    let (octets, files) = text.split_once('.')?;
    Some((octets.parse().ok()?, files.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::bag::digest::{Algorithm, sum_of};

    /// Length and digest computed by GNU coreutils.
    #[test]
    fn the_declaration_to_the_byte() {
        let sum = sum_of(DECLARATION.as_bytes(), &[Algorithm::Sha256]);
        assert_eq!(sum.bytes, 54);
        assert_eq!(
            sum.of(Algorithm::Sha256),
            Some("1712ecfb074bf29c4188ad3421032509159a09739fd604f8fe57038b4ddefcc9")
        );
        assert_eq!(declared(DECLARATION.as_bytes()), Ok((1, 0)));
        assert_eq!(
            declared(b"BagIt-Version: 0.97\r\nTag-File-Character-Encoding: utf-8\r\n"),
            Ok((0, 97))
        );
        for wrong in [
            &b"\xef\xbb\xbfBagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"[..],
            b"Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n",
            b"BagIt-Version: 1.0\n",
            b"BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n",
            b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-16\n",
            b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nx\n",
        ] {
            assert!(declared(wrong).is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn facts_fold_and_unfold() {
        let long = "word ".repeat(40);
        let text = composed(&[
            ("External-Description", long.clone()),
            ("Payload-Oxum", "6.1".into()),
        ]);
        assert!(text.lines().all(|l| l.chars().count() <= LONGEST), "{text}");
        let (facts, faults) = parsed(&text);
        assert!(faults.is_empty());
        assert_eq!(of(&facts, "external-description").next(), Some(long.trim()));
        assert_eq!(
            oxum(of(&facts, "Payload-Oxum").next().unwrap()),
            Some((6, 1))
        );
        assert_eq!(parsed(" x\nno label\n: y\n").1, [1, 2, 3]);
    }
}

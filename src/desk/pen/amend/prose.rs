//! Texts in the form in which they are written: in one line, in many, or in lines that are joined by
//! a backslash. Of a changed text the lines that say the same stay as they are.

use std::fmt::Write;

/// A text in double quotes.
pub(super) fn basic(text: &str) -> String {
    format!("\"{}\"", escaped(text, false))
}

/// A text of several lines in three double quotes.
pub(super) fn many_lines(text: &str) -> String {
    format!("\"\"\"\n{}\"\"\"", escaped(text, true))
}

/// A text in the form of another, which is given as it stands in its file.
pub(super) fn like(old: &str, text: &str) -> String {
    let literal = |quote: &str| {
        let plain = |c: char| c == '\t' || (quote.len() == 3 && c == '\n') || !c.is_control();
        text.chars().all(plain) && !text.contains(quote) && !text.ends_with('\'')
    };
    if let Some(body) = old.strip_prefix("'''") {
        if literal("'''") {
            let first = if body.starts_with('\n') || text.starts_with('\n') {
                "\n"
            } else {
                ""
            };
            return format!("'''{first}{text}'''");
        }
        return many_lines(text);
    }
    if let Some(body) = old
        .strip_prefix("\"\"\"")
        .and_then(|b| b.strip_suffix("\"\"\""))
    {
        return like_lines(body, text).unwrap_or_else(|| many_lines(text));
    }
    if old.starts_with('\'') && literal("'") {
        return format!("'{text}'");
    }
    if text.contains('\n') {
        many_lines(text)
    } else {
        basic(text)
    }
}

/// One line of a text as it stands in the file, its line end included, and what it says.
struct Line {
    raw: String,
    says: String,
}

/// A text of several lines, with those lines of the old one that it still has at its beginning and
/// at its end. None when the old lines cannot be told apart for certain.
fn like_lines(body: &str, text: &str) -> Option<String> {
    let (first, body) = match body.strip_prefix('\n') {
        Some(body) => ("\n", body),
        None => ("", body),
    };
    let lines: Vec<Line> = body
        .split_inclusive('\n')
        .map(line)
        .collect::<Option<_>>()?;
    let joined = lines.iter().any(|l| l.raw.ends_with("\\\n"));
    let mut rest = text;
    let mut kept = 0;
    for line in &lines {
        // The last line that ends without a line end belongs to the end.
        let Some(after) = rest
            .strip_prefix(&line.says)
            .filter(|_| line.raw.ends_with('\n'))
        else {
            break;
        };
        rest = after;
        kept += 1;
    }
    let mut from = lines.len();
    while from > kept {
        let line = &lines[from - 1];
        let Some(before) = rest.strip_suffix(line.says.as_str()) else {
            break;
        };
        // What has to be joined needs a line end before it, unless all of it was kept.
        if !joined && !before.is_empty() && !before.ends_with('\n') {
            break;
        }
        rest = before;
        from -= 1;
    }
    let mut out = format!("\"\"\"{first}");
    lines[..kept].iter().for_each(|l| out.push_str(&l.raw));
    let indent: String = lines
        .iter()
        .skip(1)
        .map(|l| indent(&l.raw))
        .next()
        .unwrap_or_default();
    if joined {
        for piece in sentences(rest) {
            let words = escaped_joined(piece);
            let _ = writeln!(out, "{indent}{words}\\");
        }
    } else {
        out.push_str(&escaped(rest, true));
    }
    lines[from..].iter().for_each(|l| out.push_str(&l.raw));
    out.push_str("\"\"\"");
    let read: toml_edit::Value = out.parse().ok()?;
    (read.as_str() == Some(text)).then_some(out)
}

fn line(raw: &str) -> Option<Line> {
    let (words, end) = match raw.strip_suffix('\n') {
        Some(words) => (words, "\n"),
        None => (raw, ""),
    };
    let slashes = words.len() - words.trim_end_matches('\\').len();
    let (words, end) = match words.strip_suffix('\\') {
        Some(words) if slashes % 2 == 1 => (words, ""),
        _ => (words, end),
    };
    // A joined line loses the spaces at its beginning; if it is not joined, the comparison of the
    // whole at the end tells.
    let quoted = format!("\"\"\"{}\"\"\"", words.trim_start_matches([' ', '\t']));
    let read: toml_edit::Value = quoted.parse().ok()?;
    Some(Line {
        raw: raw.to_owned(),
        says: format!("{}{end}", read.as_str()?),
    })
}

fn indent(raw: &str) -> String {
    raw.chars()
        .take_while(|c| matches!(c, ' ' | '\t'))
        .collect()
}

/// A text in pieces that end after a sentence or a line, with the spaces that follow.
fn sentences(text: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let (mut from, mut ended) = (0, false);
    let mut letters = text.char_indices().peekable();
    while let Some((at, c)) = letters.next() {
        let next = at + c.len_utf8();
        ended = match c {
            '.' | '?' | '!' | '…' | '\n' => true,
            '"' | '\'' | '’' | '”' | ')' | ']' | ' ' => ended,
            _ => false,
        };
        let spaces = matches!(letters.peek(), Some((_, ' ' | '\n')));
        if ended && matches!(c, ' ' | '\n') && !spaces {
            pieces.push(&text[from..next]);
            (from, ended) = (next, false);
        }
    }
    if from < text.len() {
        pieces.push(&text[from..]);
    }
    pieces
}

/// Escaped for a line that a backslash joins to the next: the first letter may be no bare space,
/// which would be lost, and line ends are spelled out.
fn escaped_joined(text: &str) -> String {
    let words = escaped(text, false);
    match words.strip_prefix(' ') {
        Some(rest) => format!("\\u0020{rest}"),
        None => words,
    }
}

/// Escaped for double quotes (TOML 1.0, "String").
fn escaped(text: &str, lines: bool) -> String {
    let mut out = String::new();
    let mut quotes = 0;
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let last = letters.peek().is_none();
        match c {
            '"' if lines && quotes < 2 && !last => {
                quotes += 1;
                out.push('"');
                continue;
            }
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' if lines => out.push('\n'),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
        quotes = 0;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(raw: &str) -> String {
        let value: toml_edit::Value = raw.parse().unwrap();
        value.as_str().unwrap().to_owned()
    }

    #[test]
    fn any_text_in_any_form_is_read_back() {
        // TOML 1.0, "String": what must be escaped, and what a backslash at the end of a line does.
        let forms = [
            "\"a\"",
            "'a'",
            "'''a'''",
            "'''\na'''",
            "\"\"\"a\"\"\"",
            "\"\"\"\nOne. \\\n  Two. \\\n  \"\"\"",
            "\"\"\"\na\nb\n\"\"\"",
            "\"\"\"\\\n a\"\"\"",
        ];
        let texts = [
            "",
            " ",
            "a",
            "a'b",
            "\"",
            "\"\"\"\"",
            "a\nb",
            "\n",
            "\n\n x",
            "  x  \n  y ",
            "\\",
            "a\\",
            "é\u{7f}\u{1}",
            "One. Two.",
            "One. Three. Four.",
            " One.  Two. ",
            "'''",
            "tab\there",
            "cr\rx",
            "a.\nb.\n",
            "\"x\" \"\"y\"\"\"",
        ];
        for form in forms {
            for text in texts {
                let raw = like(form, text);
                assert_eq!(read(&raw), text, "{form:?} → {raw:?}");
                // And from there to every other.
                for other in texts {
                    assert_eq!(read(&like(&raw, other)), other, "{raw:?}");
                }
            }
        }
    }

    #[test]
    fn one_changed_sentence_is_one_changed_line() {
        let old = "\"\"\"\nIt is old. \\\nIt is heavy. \\\nTouch it.\\\n\"\"\"";
        let new = like(old, "It is old. It is light. Touch it.");
        assert_eq!(
            new,
            "\"\"\"\nIt is old. \\\nIt is light. \\\nTouch it.\\\n\"\"\""
        );
        assert_eq!(like(&new, "It is old. It is heavy. Touch it."), old);
    }
}

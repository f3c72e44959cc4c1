//! How a shape is said to a keeper: what is wanted, and an example of it.

use super::shape::{Key, Shape};

/// What a shape wants, and how it is written.
pub(super) fn wanted(shape: &Shape) -> (String, &'static str) {
    let (what, example) = match shape {
        Shape::Text => ("text in quotes", "\"Brackwater Museum\""),
        Shape::Format => ("the number 1", "1"),
        Shape::Whole => ("a whole number, 0 or more", "3"),
        Shape::Number => ("a number", "12.5"),
        Shape::Flag => ("true or false", "true"),
        Shape::Day => ("a day without quotes", "2025-03-04"),
        Shape::Lang => ("a language tag in quotes", "\"en\""),
        Shape::Statement => (
            "an address in quotes",
            "\"https://creativecommons.org/licenses/by/4.0/\"",
        ),
        Shape::Choice(words) => {
            return (
                format!("one of: {}", words.join(", ")),
                "one of these words in quotes",
            );
        }
        Shape::Id | Shape::Mention(_) => ("an id in quotes", "\"bell-metal\""),
        Shape::Localised => (
            "text for each language",
            "{ en = \"bell\", cy = \"cloch\" }",
        ),
        Shape::FilesByLang => (
            "a file for each language",
            "{ en = \"talk.en.vtt\", cy = \"talk.cy.vtt\" }",
        ),
        Shape::Numbers(2) => ("two numbers, the lowest and the highest", "[8.6, 8.7]"),
        Shape::Numbers(count) => return (format!("{count} numbers"), "[0.0, 12.5, 40.0]"),
        Shape::Table(_) => (
            "a table of keys",
            "{ key = \"value\" }, or a section with its name in brackets",
        ),
        Shape::List(_) => ("a list", "[ … ]"),
        Shape::ById(_) => ("a table with an id for each entry", "[people.an-id]"),
        Shape::ByFile(_) => (
            "a table with a path for each entry",
            "[notes.\"mortar/cy.md\"]",
        ),
    };
    (what.to_owned(), example)
}

pub(super) fn example(key: &Key) -> String {
    match &key.shape {
        Shape::Table(_) => format!("the section ‘{}’", key.name),
        Shape::List(Shape::Table(_)) => format!("at least one section ‘[[{}]]’", key.name),
        Shape::ById(_) => format!("a section ‘[{}.an-id]’", key.name),
        Shape::ByFile(_) => format!("a section ‘[{}.\"folder/file.md\"]’", key.name),
        Shape::Choice(words) => format!(
            "‘{} = \"{}\"’, or another of: {}",
            key.name,
            words[0],
            words.join(", ")
        ),
        shape => format!("it, for example ‘{} = {}’", key.name, wanted(shape).1),
    }
}

pub(super) fn join(path: &str, step: &str) -> String {
    if path.is_empty() {
        step.to_owned()
    } else {
        format!("{path}.{step}")
    }
}

/// The key at the end of a path, without numbers in lists.
pub(super) fn last(path: &str) -> &str {
    path.rsplit('.')
        .find(|s| s.parse::<usize>().is_err())
        .unwrap_or(path)
}

//! Values of records changed: the difference is as small as can be.

use super::{Place, at, file, version};
use counterpart::desk::pen::{Change, Inside, Refusal, Step, Value, amended};
use std::path::Path;

fn change(text: &str, changes: &[Change]) -> String {
    amended(&file("a/record.toml"), text, changes).unwrap()
}

fn set(key: Vec<Step>, value: impl Into<Value>) -> Change {
    Change::Set {
        key,
        value: value.into(),
    }
}

/// The ways to all single values, as the `toml` crate reads them: another reader than the editor.
fn values(at: &toml::Value, way: &mut Vec<Step>, out: &mut Vec<(Vec<Step>, Value)>) {
    let mut below = |step: Step, value: &toml::Value| {
        way.push(step);
        values(value, way, out);
        way.pop();
    };
    match at {
        toml::Value::Table(table) => table
            .iter()
            .for_each(|(k, v)| below(Step::from(k.as_str()), v)),
        toml::Value::Array(list) => list
            .iter()
            .enumerate()
            .for_each(|(i, v)| below(Step::from(i), v)),
        toml::Value::String(s) => out.push((way.clone(), Value::Text(s.clone()))),
        toml::Value::Integer(i) => out.push((way.clone(), Value::Whole(*i))),
        toml::Value::Float(f) => out.push((way.clone(), Value::Number(*f))),
        toml::Value::Boolean(b) => out.push((way.clone(), Value::Truth(*b))),
        toml::Value::Datetime(d) => {
            out.push((way.clone(), Value::Day(d.to_string().parse().unwrap())))
        }
    }
}

fn other(value: &Value) -> Value {
    match value {
        Value::Text(text) => Value::Text(format!("{text} “More” words, \"quoted\".")),
        Value::Whole(whole) => Value::Whole(whole + 1),
        Value::Number(number) => Value::Number(number + 0.5),
        Value::Truth(truth) => Value::Truth(!truth),
        Value::Day(_) => Value::Day("1999-12-31".parse().unwrap()),
        other => panic!("{other:?} is no single value"),
    }
}

fn look_up<'v>(root: &'v toml::Value, way: &[Step]) -> &'v toml::Value {
    way.iter().fold(root, |at, step| match step {
        Step::Key(key) => &at[key.as_str()],
        Step::At(i) => &at[*i],
    })
}

#[test]
fn in_every_record_of_the_demonstration_one_value_is_one_line() {
    let mut count = 0;
    for entry in walkdir::WalkDir::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("content")) {
        let entry = entry.unwrap();
        if entry.path().extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let shown = entry.path().display();
        let text = std::fs::read_to_string(entry.path()).unwrap();
        let root: toml::Value = toml::from_str(&text).unwrap();
        let mut all = Vec::new();
        values(&root, &mut Vec::new(), &mut all);
        for (way, value) in all {
            count += 1;
            assert!(
                change(&text, &[set(way.clone(), value.clone())]) == text,
                "{shown} {way:?}: the same value changed something"
            );
            let new = other(&value);
            let changed = change(&text, &[set(way.clone(), new.clone())]);
            // It says what was asked for, and nothing else was changed.
            let mut read: toml::Value = toml::from_str(&changed).unwrap();
            let mut all = Vec::new();
            values(look_up(&read, &way), &mut Vec::new(), &mut all);
            assert_eq!(all, [(Vec::new(), new)], "{shown} {way:?}");
            let there = way.iter().fold(&mut read, |at, step| match step {
                Step::Key(key) => at.get_mut(key.as_str()).unwrap(),
                Step::At(i) => at.get_mut(*i).unwrap(),
            });
            *there = look_up(&root, &way).clone();
            assert_eq!(read, root, "{shown} {way:?}");
            // One line goes, and one comes; a text in sentences gains lines for those it gained.
            let (old, new): (Vec<&str>, Vec<&str>) =
                (text.split('\n').collect(), changed.split('\n').collect());
            let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
            let tail = old[head..]
                .iter()
                .rev()
                .zip(new[head..].iter().rev())
                .take_while(|(a, b)| a == b)
                .count();
            let (gone, come) = (old.len() - head - tail, new.len() - head - tail);
            assert!(
                gone <= 1 && come <= 2,
                "{shown} {way:?}: {gone} lines became {come}"
            );
            assert!(
                change(&changed, &[set(way.clone(), value)]) == text,
                "{shown} {way:?}: set back it is not the same"
            );
        }
    }
    println!("{count} values");
    assert!(count > 500);
}

const RECORD: &str = "\
# Head.
format = 1 # the only one
title = { en = \"Lip\", cy = 'Min' }   # two
numbers = [1, 2] # three

# A body.
[body]
weight_g = 12.50 # weighed
list = [
    \"a\", # first
    \"b\",
]

# Rights.
[[rights]]
id = \"one\" # the first

[[rights]]
id = \"two\"
";

#[test]
fn forms_and_comments_stay() {
    let key = |steps: &[&str]| steps.iter().map(|s| Step::from(*s)).collect::<Vec<_>>();
    let once = |change_: Change, old: &str, new: &str| {
        assert!(RECORD.contains(old));
        assert_eq!(change(RECORD, &[change_]), RECORD.replacen(old, new, 1));
    };
    once(
        set(key(&["body", "weight_g"]), Value::Number(13.0)),
        "12.50 #",
        "13.00 #",
    );
    once(
        set(key(&["body", "weight_g"]), Value::Number(13.125)),
        "12.50 #",
        "13.125 #",
    );
    once(
        set(key(&["body", "weight_g"]), Value::Whole(7)),
        "12.50 #",
        "7.00 #",
    );
    once(set(key(&["title", "cy"]), "Gwefus"), "'Min'", "'Gwefus'");
    once(
        set(key(&["title", "cy"]), "Gwe'fus"),
        "'Min'",
        "\"Gwe'fus\"",
    );
    once(
        set(key(&["title", "ga"]), "Liopa"),
        "'Min' }",
        "'Min', ga = \"Liopa\" }",
    );
    once(
        Change::Remove {
            key: key(&["title", "cy"]),
        },
        ", cy = 'Min' }",
        " }",
    );
    once(
        Change::Remove {
            key: key(&["title", "en"]),
        },
        " en = \"Lip\",",
        "",
    );
    once(
        Change::Append {
            key: key(&["numbers"]),
            table: Value::Whole(3),
        },
        "[1, 2]",
        "[1, 2, 3]",
    );
    once(
        Change::Append {
            key: key(&["body", "list"]),
            table: "c".into(),
        },
        "    \"b\",\n",
        "    \"b\",\n    \"c\",\n",
    );
    once(
        set(key(&["body", "solid"]), Value::Truth(true)),
        "]\n\n# Rights",
        "]\nsolid = true\n\n# Rights",
    );
    once(
        set(key(&["order"]), Value::Whole(3)),
        "# three\n",
        "# three\norder = 3\n",
    );
    let pair = |a: &str, b: Value| (a.to_owned(), b);
    let three = Value::Table(vec![
        pair("id", "three".into()),
        pair("name", Value::Table(vec![pair("en", "N".into())])),
    ]);
    let added = change(
        RECORD,
        &[Change::Append {
            key: key(&["rights"]),
            table: three.clone(),
        }],
    );
    assert_eq!(
        added,
        format!("{RECORD}\n[[rights]]\nid = \"three\"\nname = {{ en = \"N\" }}\n")
    );
    let added = change(
        RECORD,
        &[Change::Append {
            key: key(&["photographs"]),
            table: three,
        }],
    );
    assert_eq!(
        added,
        format!("{RECORD}\n[[photographs]]\nid = \"three\"\nname = {{ en = \"N\" }}\n")
    );
    let added = change(RECORD, &[set(key(&["materials", "lead", "name"]), "Lead")]);
    assert_eq!(
        added,
        format!("{RECORD}\n[materials.lead]\nname = \"Lead\"\n")
    );
    let mut way = key(&["rights"]);
    way.push(Step::At(1));
    assert_eq!(
        change(RECORD, &[Change::Remove { key: way.clone() }]),
        RECORD.replacen("\n[[rights]]\nid = \"two\"\n", "", 1)
    );
    way.push(Step::from("id"));
    once(set(way, "2"), "\"two\"", "\"2\"");
    // All changes of one call, in order.
    let both = [
        set(key(&["format"]), Value::Whole(2)),
        set(key(&["format"]), Value::Whole(1)),
    ];
    assert_eq!(change(RECORD, &both), RECORD);
}

#[test]
fn line_ends_and_the_mark_of_other_systems_stay() {
    let windows = format!("\u{feff}{}", RECORD.replace('\n', "\r\n"));
    let one = [set(vec!["format".into()], Value::Whole(2))];
    assert_eq!(
        change(&windows, &one),
        windows.replacen("format = 1", "format = 2", 1)
    );
    let mixed = RECORD.replacen('\n', "\r\n", 1);
    assert!(matches!(
        amended(&file("a/record.toml"), &mixed, &one),
        Err(Refusal::Failed { .. })
    ));
}

#[test]
fn what_cannot_be_set_is_refused_in_words() {
    let name: Inside = file("a/record.toml");
    let refused = |change: Change| match amended(&name, RECORD, &[change]) {
        Err(Refusal::NotSettable { key, why, .. }) => format!("{key}: {why}"),
        other => panic!("{other:?}"),
    };
    let key = |steps: &[&str]| steps.iter().map(|s| Step::from(*s)).collect::<Vec<_>>();
    assert_eq!(
        refused(set(key(&["format", "x"]), "y")),
        "format.x: key ‘x’ is wanted in a single value."
    );
    assert_eq!(
        refused(set(key(&["body", "weight_g"]), Value::Number(f64::NAN))),
        "body.weight_g: NaN is no number that can be measured."
    );
    assert_eq!(
        refused(Change::Remove {
            key: key(&["body", "x"])
        }),
        "body.x: there is no key ‘x’."
    );
    assert_eq!(
        refused(set(vec!["rights".into(), 5.into(), "id".into()], "y")),
        "rights[5].id: there is no place 5 (counted from 0)."
    );
    assert_eq!(refused(set(Vec::new(), "y")), ": the way to it is empty.");
    refused(Change::Append {
        key: key(&["format"]),
        table: "y".into(),
    });
    refused(set(key(&["body"]), "y"));
    let broken = "a = 1\n[b\n";
    match amended(&name, broken, &[]) {
        Err(Refusal::NotToml { line, .. }) => assert_eq!(line, 2),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_record_changed_meanwhile_is_a_clash_with_both_texts() {
    let place = Place::new();
    place.put("a/record.toml", "format = 1\nname = \"x\"\n");
    let pen = place.pen();
    let name = file("a/record.toml");
    let begun = version(&pen, "a/record.toml");
    let change = [set(vec!["name".into()], "y")];
    let second = pen.amend(&name, &begun, &change, "Name", at(0)).unwrap();
    assert_eq!(
        place.text("a/record.toml").unwrap(),
        "format = 1\nname = \"y\"\n"
    );
    place.put("a/record.toml", "format = 1\nname = \"z\"\n");
    let (yours, theirs) =
        super::is_clash(pen.amend(&name, &second, &[set(vec!["name".into()], "w")], "", at(0)));
    assert_eq!(yours, "format = 1\nname = \"w\"\n");
    assert_eq!(theirs.unwrap().text, "format = 1\nname = \"z\"\n");
}

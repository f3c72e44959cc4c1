//! Tables.

use super::{lang, refused, taken};
use counterpart::exchange::{Item, Titles, write_table};
use counterpart::record::Localised;

fn said(text: &str) -> Localised {
    Localised([(lang("en"), text.to_owned())].into())
}

/// RFC 4180, section 2: commas, line breaks and quotation marks stand in quotation marks, which are
/// doubled; rows end in CRLF.
#[test]
fn cells_are_quoted_as_rfc_4180_asks() {
    let item = Item {
        number: Some("1,5".into()),
        title: said("A \"mortar\""),
        words: said("One line\nand another"),
        ..Item::default()
    };
    let text = write_table(std::slice::from_ref(&item), &[lang("en")], Titles::Own).unwrap();
    assert_eq!(
        text,
        "number,title.en,words.en\r\n\"1,5\",\"A \"\"mortar\"\"\",\"One line\nand another\"\r\n"
    );
    assert_eq!(taken(&text).records[0].item, item);
}

/// OWASP, "CSV Injection": =, +, -, @, tab and carriage return begin a formula; the same signs in full
/// width do in some spreadsheets.
#[test]
fn no_cell_is_run_as_a_formula_and_all_come_back() {
    for start in [
        "=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠", "'", "''", "'=", "'+1",
    ] {
        let meant = format!("{start}cmd|'/C calc'!A0");
        let item = Item {
            number: Some(meant.trim().to_owned()),
            finish: said(&format!("{start}2+2")),
            ..Item::default()
        };
        let text = write_table(std::slice::from_ref(&item), &[lang("en")], Titles::Own).unwrap();
        let mut rows = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes());
        for cell in rows
            .records()
            .map(Result::unwrap)
            .skip(1)
            .flat_map(|r| r.iter().map(str::to_owned).collect::<Vec<_>>())
        {
            assert!(
                !cell.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']),
                "{cell:?}"
            );
        }
        let back = &taken(&text).records[0].item;
        assert_eq!(back.number, item.number, "{text:?}");
        // Blanks around a text mean nothing.
        let trimmed = format!("{start}2+2").trim().to_owned();
        assert_eq!(back.finish, said(&trimmed), "{text:?}");
    }
}

#[test]
fn separators_and_marks_are_told_apart() {
    for (text, how) in [
        ("number,title.en\nA,B\n", "commas"),
        ("number;title.en\r\nA;B\r\n", "semicolons"),
        ("\u{feff}number\ttitle.en\nA\tB\n", "tabs"),
        ("\"number\",\"title.en\"\nA,B", "commas"),
        ("number;\"title.en\"\n\"A\";\"B\"", "semicolons"),
    ] {
        let received = taken(text);
        assert!(received.how.contains(how), "{text:?} was {}", received.how);
        let item = &received.records[0].item;
        assert_eq!(
            (item.number.as_deref(), &item.title),
            (Some("A"), &said("B")),
            "{text:?}"
        );
    }
}

#[test]
fn faults_name_row_and_column() {
    let wrong = |text: &str| refused(text.as_bytes(), None);
    let ragged = wrong("number,title.en\nA,B\nC\n");
    assert!(
        ragged.contains("row 3 (line 3)") && ragged.contains("1 cells"),
        "{ragged}"
    );
    let day = wrong("number,scanned\nA,2024-02-31\nB,yesterday\n");
    assert!(
        day.contains("row 2 (line 2), column ‘scanned’") && day.contains("row 3"),
        "{day}"
    );
    let silent = wrong("number,title\nA,B\n");
    assert!(
        silent.contains("row 1, column 2") && silent.contains("title.en"),
        "{silent}"
    );
    let twice = wrong("number,Object number\nA,B\n");
    assert!(twice.contains("second column"), "{twice}");
    let open = wrong("number,title.en\nA,\"B\nC,D\n");
    assert!(open.contains("quotation mark"), "{open}");
    let none = wrong("foo,bar\n1,2\n");
    assert!(none.contains("No column is known"), "{none}");
    let id = wrong("object,number\nMy Jug,1\n");
    assert!(
        id.contains("column ‘object’") && id.contains("my-jug"),
        "{id}"
    );
    let permits = wrong(
        "rights.1.holder,rights.1.statement,rights.1.permits\nMuseum,https://creativecommons.org/licenses/by/4.0/,sell\n",
    );
    assert!(permits.contains("‘sell’"), "{permits}");
    let density = wrong("number,material.1.lowest_g_per_cm3\nA,NaN\n");
    assert!(density.contains("NaN"), "{density}");
}

#[test]
fn other_encodings_are_told_not_guessed() {
    let latin = refused(b"number,title.cy\nA,C\xf4t\n", None);
    assert!(
        latin.contains("line 2, character 4") && latin.contains("F4") && latin.contains("UTF-8"),
        "{latin}"
    );
    let wide: Vec<u8> = "number\nA\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    let marked = [&[0xff, 0xfe][..], &wide].concat();
    assert!(refused(&marked, None).contains("UTF-16"));
    assert!(refused(&wide, None).contains("zero bytes"));
    assert!(refused(b"", None).contains("empty"));
    assert!(refused(b"PK\x03\x04\x00\x00", None).contains("spreadsheet"));
}

/// Units of information of Spectrum (Collections Trust), from memory of version 5.
#[test]
fn spectrum_names_are_read_and_written() {
    let received = taken(
        "Object number;OBJECT NAME (en);Title.en;Object production date (en);Object production person.en;Current location.en;Owner.en;Material.en;Right holder;Number of objects\n7;jug;The jug;1700;Ann;Store;Museum;tin;Museum;3\n",
    );
    let record = &received.records[0];
    let item = &record.item;
    assert_eq!(item.number.as_deref(), Some("7"));
    for (texts, text) in [
        (&item.name, "jug"),
        (&item.title, "The jug"),
        (&item.date, "1700"),
        (&item.maker, "Ann"),
        (&item.location, "Store"),
        (&item.keeper, "Museum"),
        (&item.materials[0].name, "tin"),
    ] {
        assert_eq!(texts, &said(text));
    }
    // A holder without a known licence is for the keeper to judge; what is no column of ours is told.
    assert_eq!(item.unjudged, [("Museum".to_owned(), String::new())]);
    assert_eq!(
        record.left.0.keys().collect::<Vec<_>>(),
        ["Number of objects"]
    );
    let text = write_table(std::slice::from_ref(item), &[lang("en")], Titles::Spectrum).unwrap();
    assert!(
        text.starts_with("Object number,Title.en,Object name.en,Object production date.en,"),
        "{text}"
    );
    assert_eq!(taken(&text).records[0].item.materials, item.materials);
}

#[test]
fn a_row_is_kept_as_it_came() {
    // Every sign: separators, quotation marks that need not be, ends of rows.
    for end in ["\n", "\r\n"] {
        let [head, one, two] =
            ["number;colour", "\"1\";\"red; dark\"", "2;=1+1"].map(|r| format!("{r}{end}"));
        let received = taken(&format!("\u{feff}{head}{one}{end}{two}"));
        assert_eq!(received.records[0].received, format!("{head}{one}"));
        assert_eq!(
            received.records[1]
                .received
                .replace(&format!("{end}{end}"), end),
            format!("{head}{two}")
        );
    }
}

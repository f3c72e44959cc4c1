//! The small values of a record: ids, days, rights statements, permissions.

use counterpart::record::{
    Day, ObjectId, Quantity, QuantityKind, Rights, StatementUri, Use, suggest,
};

fn day(year: i16, month: i8, day: i8) -> Day {
    Day::new(year, month, day).expect("the calendar has this day")
}

#[test]
fn ids_are_names_every_file_system_takes() {
    let longest = "a".repeat(64);
    for good in ["a", "7", "hare-frieze", "01-scan", longest.as_str()] {
        assert!(good.parse::<ObjectId>().is_ok(), "{good}");
    }
    // The reserved names are those of Microsoft, "Naming Files, Paths, and Namespaces".
    let too_long = "a".repeat(65);
    let bad = [
        "",
        "A",
        "a b",
        "a_b",
        "-a",
        "a-",
        "a--b",
        "ŵ",
        "a/b",
        "..",
        "a.b",
        "con",
        "nul",
        "com1",
        "lpt9",
        "a\u{301}",
        "a\0",
        too_long.as_str(),
    ];
    for bad in bad {
        assert!(bad.parse::<ObjectId>().is_err(), "{bad:?}");
    }
}

/// Prefixes of the International System of Units (BIPM, *The International System of Units*, 9th
/// edition, table 7), and the hour of sixty minutes (table 8).
#[test]
fn quantities_are_reckoned_in_one_unit_each() {
    use QuantityKind::{LayerThickness, MachineTime, PowderUsed, ScrapMass};
    let reckoned = |is, value, unit: &str| {
        let (name, unit) = (Default::default(), unit.to_owned());
        let quantity = Quantity {
            name,
            value,
            unit,
            is,
        };
        quantity.reckoned()
    };
    for (kind, value, unit, wanted) in [
        (LayerThickness, 30.0, "\u{b5}m", 30.0),
        (LayerThickness, 30.0, "\u{3bc}m", 30.0),
        (LayerThickness, 0.03, "mm", 30.0),
        (MachineTime, 90.0, "min", 1.5),
        (MachineTime, 41.0, "h", 41.0),
        (PowderUsed, 1.5, "kg", 1500.0),
        (ScrapMass, 12.0, "g", 12.0),
    ] {
        assert_eq!(reckoned(Some(kind), value, unit), Some((kind, wanted)));
    }
    assert_eq!(reckoned(Some(LayerThickness), 30.0, "g"), None);
    assert_eq!(reckoned(None, 30.0, "\u{b5}m"), None);
}

#[test]
fn what_is_suggested_is_an_id() {
    assert_eq!(suggest("The Pad"), "the-pad");
    assert_eq!(suggest("Tŷ Gwyn!"), "ty-gwyn");
    assert_eq!(suggest("CON"), "con-1");
    let long = "ab ".repeat(80);
    for text in [
        "",
        "---",
        "…",
        "../../etc",
        "LPT1",
        "ﬁnial",
        "日本",
        long.as_str(),
        "a__b--c",
    ] {
        let id = suggest(text);
        assert!(id.parse::<ObjectId>().is_ok(), "{text:?} gave {id:?}");
    }
}

#[test]
fn statements_are_brought_to_their_canonical_address() {
    // rightsstatements.org: http and a closing slash; creativecommons.org: https and a slash.
    let pairs = [
        (
            "https://rightsstatements.org/vocab/InC/1.0",
            "http://rightsstatements.org/vocab/InC/1.0/",
        ),
        (
            "http://rightsstatements.org/page/NoC-US/1.0/",
            "http://rightsstatements.org/vocab/NoC-US/1.0/",
        ),
        (
            "http://creativecommons.org/licenses/by-nc-sa/4.0",
            "https://creativecommons.org/licenses/by-nc-sa/4.0/",
        ),
        (
            "https://creativecommons.org/publicdomain/zero/1.0/",
            "https://creativecommons.org/publicdomain/zero/1.0/",
        ),
    ];
    for (written, canonical) in pairs {
        let uri = StatementUri::try_from(written.to_owned()).expect(written);
        assert_eq!(uri.as_str(), canonical);
    }
    let codes = [
        "InC",
        "InC-OW-EU",
        "InC-EDU",
        "InC-NC",
        "InC-RUU",
        "NoC-CR",
        "NoC-NC",
        "NoC-OKLR",
        "NoC-US",
        "CNE",
        "UND",
        "NKC",
    ];
    for code in codes {
        assert!(
            StatementUri::try_from(format!("http://rightsstatements.org/vocab/{code}/1.0/"))
                .is_ok(),
            "{code}"
        );
    }
    for unknown in [
        "http://rightsstatements.org/vocab/inc/1.0/",
        "http://rightsstatements.org/vocab/XYZ/1.0/",
        "http://rightsstatements.org/vocab/InC/2.0/",
        "https://creativecommons.org/licenses/by-nd-sa/4.0/",
        "https://creativecommons.org/licenses/by/3.0/",
        "CC BY 4.0",
        "https://example.org/licenses/by/4.0/",
        "",
    ] {
        assert!(
            StatementUri::try_from(unknown.to_owned()).is_err(),
            "{unknown}"
        );
    }
}

#[test]
fn a_permission_holds_on_its_first_and_last_day_and_not_beside_them() {
    let rights: Rights = toml::from_str(
        "id = 'lent'\nholder = 'A lender'\nstatement = 'http://rightsstatements.org/vocab/InC/1.0/'\n\
         permits = ['display']\nfrom = 2024-02-29\nuntil = 2025-12-31",
    )
    .expect("the rights are well written");
    assert!(!rights.permits(Use::Display, day(2024, 2, 28)));
    assert!(rights.permits(Use::Display, day(2024, 2, 29)));
    assert!(rights.permits(Use::Display, day(2025, 12, 31)));
    assert!(!rights.permits(Use::Display, day(2026, 1, 1)));
    assert!(!rights.permits(Use::Download, day(2025, 1, 1)));
    let unbounded = Rights {
        from: None,
        until: None,
        ..rights
    };
    assert!(unbounded.permits(Use::Display, day(1, 1, 1)));
    assert!(unbounded.permits(Use::Display, day(9999, 12, 31)));
}

#[test]
fn days_follow_the_gregorian_calendar() {
    // Every fourth year, but of the full centuries only each fourth (bull Inter gravissimas, 1582).
    assert!(Day::new(2024, 2, 29).is_some());
    assert!(Day::new(2000, 2, 29).is_some());
    assert!(Day::new(1900, 2, 29).is_none());
    assert!(Day::new(2025, 4, 31).is_none());
    assert!(Day::new(2025, 13, 1).is_none());
    assert!(day(2024, 12, 31) < day(2025, 1, 1));
    let parsed: Day = "2025-03-04".parse().expect("a day");
    assert_eq!(parsed, day(2025, 3, 4));
    assert_eq!(parsed.to_string(), "2025-03-04");
    assert_eq!(parsed.parts(), (2025, 3, 4));
    for bad in ["", "4.3.2025", "2025-3", "2025-02-30", "yesterday"] {
        assert!(bad.parse::<Day>().is_err(), "{bad}");
    }
}

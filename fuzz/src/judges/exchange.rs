//! Records of others: LIDO when the file begins as XML does, else a table. What was read can be
//! written in both formats, and read again.

use counterpart::exchange::lido::{self, Publisher};
use counterpart::exchange::{Bounds, Item, Titles, coming, read, write_table};
use counterpart::record::Lang;

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    let bounds = Bounds {
        bytes: 1 << 16,
        records: 50,
        columns: 100,
        elements: 5_000,
        depth: 32,
    };
    let lang: Lang = "en".parse().expect("a language");
    let taken = match read(bytes, Some(&lang), &bounds) {
        Ok(received) => received.records,
        Err(faults) => {
            assert!(!faults.is_empty());
            return;
        }
    };
    let items: Vec<Item> = taken.iter().map(|t| t.item.clone()).collect();
    let by = Publisher {
        name: "Brackwater Museum",
        address: "https://brackwater.example/",
        languages: std::slice::from_ref(&lang),
    };
    if let Ok(xml) = lido::write(&items, &by) {
        let again = read(xml.as_bytes(), Some(&lang), &Bounds::USUAL);
        // A record without a name of its own has no address yet, and is not written.
        let none = items.iter().all(|item| item.object.is_none());
        assert!(none || again.is_ok(), "{again:?} of {xml}");
    }
    let _ = write_table(&items, &[lang], Titles::Spectrum).expect("a table in memory");
    let _ = coming(taken, "received", "xml");
}

//! Captions: read, as a transcript, and without their comments; what is given away has the same cues.

use counterpart::record::captions::{bare, read, turns};

/// Judges one input.
pub(crate) fn judge(text: &str) {
    let (captions, faults) = read(text);
    for fault in &faults {
        assert!(text.get(fault.span.clone()).is_some(), "{fault:?}");
        assert!(!fault.what.is_empty());
    }
    let _ = turns(&captions);
    let given = bare(text);
    if faults.is_empty() {
        let (again, _) = read(&given);
        let said = |c: &counterpart::record::captions::Captions| -> Vec<(u64, u64, String)> {
            c.cues
                .iter()
                .map(|c| (c.start_ms, c.end_ms, c.text()))
                .collect()
        };
        assert_eq!(said(&again), said(&captions), "{text:?} became {given:?}");
    }
}

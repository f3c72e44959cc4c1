//! A bag in one packed file.

use crate::place;
use counterpart::deposit::verify;
use counterpart::progress::Silence;

/// Judges one input.
pub(crate) fn judge(bytes: &[u8]) {
    let file = place::folder("packed").join("bag.zip");
    std::fs::write(&file, bytes).expect("a file");
    let verdict = verify(&file, &Silence).expect("a file can be looked at");
    assert!(!verdict.valid || verdict.complete);
}

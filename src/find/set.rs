//! Sets of document numbers as short texts.
//!
//! Two forms, whichever is shorter. Runs: numbers in base 36, each the gap to the next run since
//! the end of the last, with `+` and how many more follow without a gap: `{3, 4, 5, 9}` is
//! `3+2 3`. Bits: `!` and base64 of a bit for each document, the lowest first.

use std::fmt::Write as _;

/// The text of a set of numbers below `documents`.
///
/// The numbers come in their order, each once.
pub fn encode<'s>(set: impl IntoIterator<Item = &'s usize> + Clone, documents: usize) -> String {
    let runs = runs(set.clone());
    // Base64 has four characters for three bytes.
    let bits_length = 1 + documents.div_ceil(8).div_ceil(3) * 4;
    if runs.len() <= bits_length {
        return runs;
    }
    let mut bits = vec![0_u8; documents.div_ceil(8)];
    for number in set {
        bits[number / 8] |= 1 << (number % 8);
    }
    format!("!{}", base64::encode(bits))
}

fn runs<'s>(set: impl IntoIterator<Item = &'s usize>) -> String {
    let mut out = String::new();
    let mut numbers = set.into_iter().copied().peekable();
    let mut end = 0;
    while let Some(first) = numbers.next() {
        let mut last = first;
        while numbers.next_if_eq(&(last + 1)).is_some() {
            last += 1;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        // Writing to a text cannot fail.
        let _ = write!(out, "{}", base36(first - end));
        if last > first {
            let _ = write!(out, "+{}", base36(last - first));
        }
        end = last + 1;
    }
    out
}

fn base36(mut number: usize) -> String {
    let mut digits = Vec::new();
    loop {
        digits.push(b"0123456789abcdefghijklmnopqrstuvwxyz"[number % 36]);
        number /= 36;
        if number == 0 {
            break;
        }
    }
    digits.iter().rev().map(|d| char::from(*d)).collect()
}

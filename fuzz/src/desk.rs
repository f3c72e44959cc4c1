#![no_main]

mod content;
mod place;
#[path = "judges/desk.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| judged::judge(bytes));

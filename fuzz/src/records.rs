#![no_main]

mod content;
mod place;
#[path = "judges/records.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|text: &str| judged::judge(text));

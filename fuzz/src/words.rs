#![no_main]

#[path = "judges/words.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|text: &str| judged::judge(text));

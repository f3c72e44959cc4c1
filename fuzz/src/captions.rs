#![no_main]

#[path = "judges/captions.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|text: &str| judged::judge(text));

#![no_main]

#[path = "judges/media.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| judged::judge(bytes));

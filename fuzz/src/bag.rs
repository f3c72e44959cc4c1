#![no_main]

mod place;
#[path = "judges/bag.rs"]
mod judged;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| judged::judge(bytes));

#![no_main]

mod reading;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| reading::read(
    bytes,
    counterpart::mesh::Format::ThreeMf
));

#![no_main]

//! The model part of a 3MF file: wrapped in an archive, since random bytes rarely get past its
//! checksums.

mod reading;

use std::io::{Cursor, Write};
use zip::write::{SimpleFileOptions, ZipWriter};

libfuzzer_sys::fuzz_target!(|model: &[u8]| {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    archive
        .start_file("3D/3dmodel.model", stored)
        .expect("a name that is not there yet");
    archive.write_all(model).expect("written to memory");
    let archive = archive.finish().expect("written to memory").into_inner();
    reading::read(&archive, counterpart::mesh::Format::ThreeMf);
});

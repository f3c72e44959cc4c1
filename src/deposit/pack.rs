//! The bag as one file: a ZIP archive, stored and not compressed, one folder at its top.

use super::DepositError;
use super::place::no_room;
use crate::record::Day;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// From this length on a file has its length in 64 bits (ZIP64).
const LARGE: u64 = 0xffff_ffff;

/// Packs the folder `bag` under the name `top`. The same folder and day give the same bytes.
pub(super) fn pack(bag: &Path, top: &str, day: Day, to: &Path) -> Result<(), DepositError> {
    let failed = |e: io::Error| no_room("writing", to, e, 0);
    let file = File::create(to).map_err(failed)?;
    let mut zip = ZipWriter::new(BufWriter::with_capacity(1 << 20, file));
    let walk = walkdir::WalkDir::new(bag).min_depth(1).sort_by_file_name();
    for entry in walk {
        let entry = entry.map_err(|e| DepositError::io("reading", bag, &e.into()))?;
        if !entry.file_type().is_file() {
            continue;
        }
        let inside = entry.path().strip_prefix(bag).unwrap_or(entry.path());
        let name = inside.to_string_lossy().replace('\\', "/");
        let length = fs::metadata(entry.path())
            .map_err(|e| DepositError::io("reading", entry.path(), &e))?
            .len();
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Stored)
            .last_modified_time(dated(day))
            .unix_permissions(0o644)
            .large_file(length >= LARGE);
        zip.start_file(format!("{top}/{name}"), options)
            .map_err(|e| failed(e.into()))?;
        let mut source =
            File::open(entry.path()).map_err(|e| DepositError::io("reading", entry.path(), &e))?;
        io::copy(&mut source, &mut zip).map_err(failed)?;
    }
    let mut out = zip.finish().map_err(|e| failed(e.into()))?;
    out.flush().map_err(failed)?;
    let file = out.into_inner().map_err(|e| failed(e.into_error()))?;
    file.sync_all().map_err(failed)
}

/// The day of the bag; archives know no day before 1980.
fn dated(day: Day) -> DateTime {
    let (year, month, date) = day.parts();
    let parts = (u16::try_from(year), u8::try_from(month), u8::try_from(date));
    match parts {
        (Ok(year), Ok(month), Ok(date)) => {
            DateTime::from_date_and_time(year, month, date, 0, 0, 0).unwrap_or_default()
        }
        _ => DateTime::default(),
    }
}

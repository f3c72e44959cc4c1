//! Reading a file that another program may be writing just now: whole as it was or whole as it is, never
//! half of each.

use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, SystemTime};

/// A file that was touched so lately may still be in the middle of it. Clocks of file systems tick a few
/// milliseconds apart.
const QUIET: Duration = Duration::from_millis(20);
/// So often it is waited for.
const ROUNDS: u32 = 25;

/// The bytes of a file, or one more than `at_most` of them.
///
/// # Errors
/// A file that cannot be read, or that is written without end.
pub(crate) fn read(path: &Path, at_most: u64) -> io::Result<Vec<u8>> {
    for _ in 0..ROUNDS {
        let file = File::open(path)?;
        let before = file.metadata()?;
        let mut bytes = Vec::with_capacity(usize::try_from(before.len().min(at_most)).unwrap_or(0));
        (&file)
            .take(at_most.saturating_add(1))
            .read_to_end(&mut bytes)?;
        let after = file.metadata()?;
        let all = bytes.len() as u64 == after.len() || bytes.len() as u64 > at_most;
        if all && state(&before) == state(&after) && is_quiet(&after) {
            return Ok(bytes);
        }
        sleep(QUIET);
    }
    Err(io::Error::other(
        "another program is writing it; try again when that has ended",
    ))
}

fn state(found: &Metadata) -> (u64, Option<SystemTime>) {
    (found.len(), found.modified().ok())
}

/// A time to come, from a clock that was put back since, says nothing.
fn is_quiet(found: &Metadata) -> bool {
    let age = found.modified().ok().and_then(|t| t.elapsed().ok());
    age.is_none_or(|age| age > QUIET)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::sync::atomic::{AtomicBool, Ordering};

    #[test]
    fn no_more_is_read_than_is_allowed_and_one() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("a");
        fs::write(&path, "words").unwrap();
        assert_eq!(read(&path, 5).unwrap(), b"words");
        assert_eq!(read(&path, 3).unwrap(), b"word");
        assert!(read(&place.path().join("b"), 3).is_err());
    }

    #[test]
    fn half_a_file_is_never_read() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("a");
        let texts = ["one".repeat(4_000), "other".repeat(3_000)];
        fs::write(&path, &texts[0]).unwrap();
        let stop = AtomicBool::new(false);
        std::thread::scope(|scope| {
            scope.spawn(|| {
                while !stop.load(Ordering::Relaxed) {
                    for text in &texts {
                        fs::write(&path, text).unwrap();
                        sleep(Duration::from_millis(7));
                    }
                    sleep(Duration::from_millis(60));
                }
            });
            for _ in 0..8 {
                let found = read(&path, 1 << 20).unwrap();
                assert!(texts.iter().any(|t| t.as_bytes() == found));
            }
            stop.store(true, Ordering::Relaxed);
        });
    }
}

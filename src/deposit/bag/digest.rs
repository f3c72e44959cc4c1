//! Digests of files, all that are wanted in one reading.

use sha2::{Digest, Sha224, Sha256, Sha384, Sha512};
use std::io::{self, Read};

/// Bytes read at a time.
const PIECE: usize = 1 << 16;

/// An algorithm that manifests may name. MD5 and SHA-1, which older bags have, are not among them:
/// two files with the same digest can be made for either, so nothing could be said of a match.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Algorithm {
    /// SHA-224.
    Sha224,
    /// SHA-256.
    Sha256,
    /// SHA-384.
    Sha384,
    /// SHA-512.
    Sha512,
}

impl Algorithm {
    /// Those of a bag that this program writes.
    pub(crate) const WRITTEN: [Self; 2] = [Self::Sha256, Self::Sha512];

    /// Its name in the names of manifests: lower case, no hyphen (RFC 8493, 2.4).
    pub fn word(self) -> &'static str {
        match self {
            Self::Sha224 => "sha224",
            Self::Sha256 => "sha256",
            Self::Sha384 => "sha384",
            Self::Sha512 => "sha512",
        }
    }

    /// The algorithm of a manifest's name.
    pub(crate) fn named(word: &str) -> Option<Self> {
        [Self::Sha224, Self::Sha256, Self::Sha384, Self::Sha512]
            .into_iter()
            .find(|a| a.word() == word)
    }

    /// Hexadecimal digits of a digest.
    pub(crate) fn digits(self) -> usize {
        match self {
            Self::Sha224 => 56,
            Self::Sha256 => 64,
            Self::Sha384 => 96,
            Self::Sha512 => 128,
        }
    }
}

enum Running {
    Sha224(Sha224),
    Sha256(Sha256),
    Sha384(Sha384),
    Sha512(Sha512),
}

/// Several digests of one file, while it is read.
pub(crate) struct Digests {
    running: Vec<(Algorithm, Running)>,
    bytes: u64,
}

/// What one file came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sum {
    /// Its length.
    pub(crate) bytes: u64,
    /// By algorithm, lower-case hexadecimal digits.
    pub(crate) hex: Vec<(Algorithm, String)>,
}

impl Sum {
    pub(crate) fn of(&self, algorithm: Algorithm) -> Option<&str> {
        let found = self.hex.iter().find(|(a, _)| *a == algorithm)?;
        Some(&found.1)
    }
}

impl Digests {
    pub(crate) fn of(algorithms: &[Algorithm]) -> Self {
        let begin = |a: &Algorithm| match a {
            Algorithm::Sha224 => Running::Sha224(Sha224::new()),
            Algorithm::Sha256 => Running::Sha256(Sha256::new()),
            Algorithm::Sha384 => Running::Sha384(Sha384::new()),
            Algorithm::Sha512 => Running::Sha512(Sha512::new()),
        };
        Self {
            running: algorithms.iter().map(|a| (*a, begin(a))).collect(),
            bytes: 0,
        }
    }

    pub(crate) fn take(&mut self, piece: &[u8]) {
        self.bytes += piece.len() as u64;
        for (_, running) in &mut self.running {
            match running {
                Running::Sha224(d) => d.update(piece),
                Running::Sha256(d) => d.update(piece),
                Running::Sha384(d) => d.update(piece),
                Running::Sha512(d) => d.update(piece),
            }
        }
    }

    pub(crate) fn end(self) -> Sum {
        let hex = |running| match running {
            Running::Sha224(d) => digits(&d.finalize()),
            Running::Sha256(d) => digits(&d.finalize()),
            Running::Sha384(d) => digits(&d.finalize()),
            Running::Sha512(d) => digits(&d.finalize()),
        };
        Sum {
            bytes: self.bytes,
            hex: self.running.into_iter().map(|(a, r)| (a, hex(r))).collect(),
        }
    }
}

fn digits(digest: &[u8]) -> String {
    digest.iter().map(|b| format!("{b:02x}")).collect()
}

/// Reads to the end, handing every piece on as well.
pub(crate) fn sum(
    mut from: impl Read,
    algorithms: &[Algorithm],
    mut each: impl FnMut(&[u8]) -> io::Result<()>,
) -> io::Result<Sum> {
    let mut digests = Digests::of(algorithms);
    let mut piece = vec![0; PIECE];
    loop {
        match from.read(&mut piece) {
            Ok(0) => return Ok(digests.end()),
            Ok(n) => {
                digests.take(&piece[..n]);
                each(&piece[..n])?;
            }
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
}

/// Those of bytes at hand.
pub(crate) fn sum_of(bytes: &[u8], algorithms: &[Algorithm]) -> Sum {
    let mut digests = Digests::of(algorithms);
    digests.take(bytes);
    digests.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's own examples, as computed by GNU coreutils: `hello\n` and the empty file.
    #[test]
    fn known_digests() {
        let hello = sum_of(b"hello\n", &[Algorithm::Sha256]);
        assert_eq!(hello.bytes, 6);
        assert_eq!(
            hello.of(Algorithm::Sha256),
            Some("5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03")
        );
        let empty = sum_of(b"", &[Algorithm::Sha256, Algorithm::Sha512]);
        assert!(
            empty
                .of(Algorithm::Sha256)
                .unwrap()
                .starts_with("e3b0c44298fc1c14")
        );
        for (algorithm, hex) in &empty.hex {
            assert_eq!(hex.len(), algorithm.digits());
        }
    }
}

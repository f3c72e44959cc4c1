//! The numbers of a PLY file, one after another, as text or as bytes.

use super::damaged;
use super::header::Kind;
use crate::mesh::MeshError;

/// A run of numbers.
pub(super) trait Numbers {
    /// The next number.
    fn number(&mut self, kind: Kind) -> Result<f64, MeshError>;
    /// The next number in single precision.
    fn single(&mut self, kind: Kind) -> Result<f32, MeshError>;
    /// The next number, a count or an index.
    fn whole(&mut self, kind: Kind) -> Result<usize, MeshError>;
}

/// Numbers divided by white space.
pub(super) struct Ascii<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Lines of the header, so that a fault can name its line.
    before: usize,
}

impl<'a> Ascii<'a> {
    pub(super) fn new(bytes: &'a [u8], before: usize) -> Self {
        Self {
            bytes,
            at: 0,
            before,
        }
    }

    fn word(&mut self) -> Result<&'a [u8], MeshError> {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let blank = rest.iter().take_while(|b| b.is_ascii_whitespace()).count();
        let rest = &rest[blank..];
        let length = rest.iter().take_while(|b| !b.is_ascii_whitespace()).count();
        if length == 0 {
            return Err(damaged("it ends before all that it promises"));
        }
        self.at += blank + length;
        Ok(&rest[..length])
    }

    fn fault(&self, word: &[u8]) -> MeshError {
        let read = self.bytes.get(..self.at).unwrap_or_default();
        let line = self.before + 1 + read.iter().filter(|&&b| b == b'\n').count();
        let shown: String = String::from_utf8_lossy(word).chars().take(40).collect();
        damaged(format!(
            "line {line}: ‘{shown}’ is not the number that is due"
        ))
    }

    fn parse<T: std::str::FromStr>(&mut self) -> Result<T, MeshError> {
        let word = self.word()?;
        std::str::from_utf8(word)
            .ok()
            .and_then(|w| w.parse().ok())
            .ok_or_else(|| self.fault(word))
    }
}

impl Numbers for Ascii<'_> {
    fn number(&mut self, _: Kind) -> Result<f64, MeshError> {
        self.parse()
    }

    fn single(&mut self, _: Kind) -> Result<f32, MeshError> {
        self.parse()
    }

    fn whole(&mut self, _: Kind) -> Result<usize, MeshError> {
        self.parse()
    }
}

/// Numbers as bytes, the lowest first when `LITTLE`.
pub(super) struct Binary<'a, const LITTLE: bool> {
    bytes: &'a [u8],
}

impl<'a, const LITTLE: bool> Binary<'a, LITTLE> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self { bytes }
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], MeshError> {
        let Some((word, rest)) = self.bytes.split_first_chunk::<N>() else {
            return Err(damaged("it ends before all that it promises"));
        };
        self.bytes = rest;
        let mut word = *word;
        if !LITTLE {
            word.reverse();
        }
        Ok(word)
    }
}

impl<const LITTLE: bool> Numbers for Binary<'_, LITTLE> {
    fn number(&mut self, kind: Kind) -> Result<f64, MeshError> {
        Ok(match kind {
            Kind::I8 => i8::from_le_bytes(self.take()?).into(),
            Kind::U8 => u8::from_le_bytes(self.take()?).into(),
            Kind::I16 => i16::from_le_bytes(self.take()?).into(),
            Kind::U16 => u16::from_le_bytes(self.take()?).into(),
            Kind::I32 => i32::from_le_bytes(self.take()?).into(),
            Kind::U32 => u32::from_le_bytes(self.take()?).into(),
            Kind::F32 => f32::from_le_bytes(self.take()?).into(),
            Kind::F64 => f64::from_le_bytes(self.take()?),
        })
    }

    fn single(&mut self, kind: Kind) -> Result<f32, MeshError> {
        match kind {
            Kind::F32 => Ok(f32::from_le_bytes(self.take()?)),
            #[expect(
                clippy::cast_possible_truncation,
                reason = "meshes are in single precision"
            )]
            _ => Ok(self.number(kind)? as f32),
        }
    }

    fn whole(&mut self, kind: Kind) -> Result<usize, MeshError> {
        let negative = || damaged("a count or an index is negative");
        match kind {
            Kind::U8 => Ok(u8::from_le_bytes(self.take()?).into()),
            Kind::U16 => Ok(u16::from_le_bytes(self.take()?).into()),
            Kind::U32 => usize::try_from(u32::from_le_bytes(self.take()?)).map_err(|_| negative()),
            Kind::I8 => usize::try_from(i8::from_le_bytes(self.take()?)).map_err(|_| negative()),
            Kind::I16 => usize::try_from(i16::from_le_bytes(self.take()?)).map_err(|_| negative()),
            Kind::I32 => usize::try_from(i32::from_le_bytes(self.take()?)).map_err(|_| negative()),
            Kind::F32 | Kind::F64 => Err(damaged("an index is not a whole number")),
        }
    }
}

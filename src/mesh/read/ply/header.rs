//! The header of a PLY file: lines of text, whatever the body is.

use super::damaged;
use crate::mesh::MeshError;

/// Most lines of a header; a real one has some twenty.
const MOST_LINES: usize = 1000;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Ascii,
    Little,
    Big,
}

/// Type of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Kind {
    /// Both the names of 1994 and those with sizes, which later writers use.
    fn of(word: &str) -> Option<Self> {
        Some(match word {
            "char" | "int8" => Self::I8,
            "uchar" | "uint8" => Self::U8,
            "short" | "int16" => Self::I16,
            "ushort" | "uint16" => Self::U16,
            "int" | "int32" => Self::I32,
            "uint" | "uint32" => Self::U32,
            "float" | "float32" => Self::F32,
            "double" | "float64" => Self::F64,
            _ => return None,
        })
    }

    pub(super) fn bytes(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    One(Kind),
    List { count: Kind, item: Kind },
}

#[derive(Debug)]
pub(super) struct Property {
    pub(super) name: String,
    pub(super) shape: Shape,
}

impl Property {
    /// Bytes that one of these takes at least: a digit and a space in ASCII.
    pub(super) fn least_bytes(&self, header: &Header) -> usize {
        match (header.encoding, self.shape) {
            (Encoding::Ascii, _) => 2,
            (_, Shape::One(kind)) => kind.bytes(),
            (_, Shape::List { count, .. }) => count.bytes(),
        }
    }
}

#[derive(Debug)]
pub(super) struct Element {
    pub(super) name: String,
    pub(super) count: usize,
    pub(super) properties: Vec<Property>,
}

#[derive(Debug)]
pub(super) struct Header {
    pub(super) encoding: Encoding,
    pub(super) elements: Vec<Element>,
    /// Lines that the header takes.
    pub(super) lines: usize,
}

/// The header, and the bytes that follow it.
pub(super) fn read(bytes: &[u8]) -> Result<(Header, &[u8]), MeshError> {
    let mut rest = bytes;
    let mut encoding = None;
    let mut elements: Vec<Element> = Vec::new();
    for number in 1..=MOST_LINES {
        let (line, after) = line(rest).ok_or_else(|| damaged("its header has no end"))?;
        rest = after;
        let words: Vec<&str> = line.split_whitespace().collect();
        let fault = || {
            damaged(format!(
                "line {number} of its header, ‘{line}’, means nothing"
            ))
        };
        match words.as_slice() {
            ["ply"] if number == 1 => {}
            _ if number == 1 => {
                return Err(damaged("it does not begin with the word ‘ply’"));
            }
            ["format", kind, _] => {
                encoding = Some(match *kind {
                    "ascii" => Encoding::Ascii,
                    "binary_little_endian" => Encoding::Little,
                    "binary_big_endian" => Encoding::Big,
                    _ => return Err(fault()),
                });
            }
            ["element", name, count] => elements.push(Element {
                name: (*name).to_owned(),
                count: count.parse().map_err(|_| fault())?,
                properties: Vec::new(),
            }),
            ["property", words @ .., name] => {
                let kind = |word: &str| Kind::of(word).ok_or_else(fault);
                let shape = match words {
                    [one] => Shape::One(kind(one)?),
                    ["list", count, item] => {
                        let count = kind(count)?;
                        if matches!(count, Kind::F32 | Kind::F64) {
                            return Err(fault());
                        }
                        Shape::List {
                            count,
                            item: kind(item)?,
                        }
                    }
                    _ => return Err(fault()),
                };
                elements
                    .last_mut()
                    .ok_or_else(fault)?
                    .properties
                    .push(Property {
                        name: (*name).to_owned(),
                        shape,
                    });
            }
            ["end_header"] => {
                let encoding = encoding.ok_or_else(|| damaged("its header names no format"))?;
                let header = Header {
                    encoding,
                    elements,
                    lines: number,
                };
                return Ok((header, rest));
            }
            ["comment" | "obj_info", ..] | [] => {}
            _ => return Err(fault()),
        }
    }
    Err(damaged("its header has no end"))
}

/// One line without its ending (LF, CR or both), and what follows.
fn line(bytes: &[u8]) -> Option<(std::borrow::Cow<'_, str>, &[u8])> {
    let end = bytes.iter().position(|b| matches!(b, b'\n' | b'\r'))?;
    let after = match bytes.get(end..end + 2) {
        Some(b"\r\n") => end + 2,
        _ => end + 1,
    };
    let (line, rest) = (bytes.get(..end)?, bytes.get(after..)?);
    Some((String::from_utf8_lossy(line), rest))
}

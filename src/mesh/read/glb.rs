//! The container of a `.glb` file (glTF 2.0, section 4.4): a header and its chunks.

use super::gltf::damaged;
use crate::mesh::MeshError;

const JSON: u32 = 0x4E4F_534A;
const BIN: u32 = 0x004E_4942;

/// The JSON text and, if there is one, the binary part.
pub(super) fn chunks(bytes: &[u8]) -> Result<(&[u8], Option<&[u8]>), MeshError> {
    let number = |at: usize| {
        let word = bytes.get(at..)?.first_chunk::<4>()?;
        Some(u32::from_le_bytes(*word))
    };
    if number(4) != Some(2) {
        return Err(damaged("it is not of version 2"));
    }
    let length = number(8).and_then(|n| usize::try_from(n).ok());
    let whole = length
        .and_then(|n| bytes.get(..n))
        .ok_or_else(|| damaged("it is shorter than its header says"))?;
    let chunk = |at: usize| {
        let length = usize::try_from(number(at)?).ok()?;
        let start = at.checked_add(8)?;
        let end = start.checked_add(length)?;
        Some((number(at + 4)?, whole.get(start..end)?, end))
    };
    match chunk(12) {
        Some((JSON, text, end)) => {
            let binary = chunk(end).filter(|(kind, ..)| *kind == BIN);
            Ok((text, binary.map(|(_, data, _)| data)))
        }
        _ => Err(damaged("its first part is not JSON")),
    }
}

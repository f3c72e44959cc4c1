//! What both forms share: the container, the asset, unit and vertex normals.

use super::{GlbFacts, NamedMesh};
use crate::mesh::MeshError;
use crate::mesh::srgb_to_linear;
use glam::{DVec3, Vec3};
use serde_json::{Value, json};

/// Metres in a millimetre.
pub(super) const METRES: f32 = 0.001;

/// glTF's numbers for component types and buffer targets (section 5.1.3 and 5.11.5).
pub(super) const BYTE: u32 = 5120;
pub(super) const UNSIGNED_SHORT: u32 = 5123;
pub(super) const UNSIGNED_INT: u32 = 5125;
pub(super) const FLOAT: u32 = 5126;
pub(super) const ARRAY_BUFFER: u32 = 34962;
pub(super) const ELEMENT_ARRAY_BUFFER: u32 = 34963;

pub(super) fn asset(facts: &GlbFacts) -> Value {
    let mut asset = json!({ "version": "2.0", "generator": concat!("counterpart ", env!("CARGO_PKG_VERSION")) });
    if let Some(copyright) = &facts.copyright {
        asset["copyright"] = json!(copyright);
    }
    if facts.extras.is_object() {
        asset["extras"] = facts.extras.clone();
    }
    asset
}

/// A quiet, rough metal: what a part looks like in a viewer that knows nothing of it.
pub(super) fn material() -> Value {
    json!({ "name": "surface", "pbrMetallicRoughness": { "metallicFactor": 0.6, "roughnessFactor": 0.55 } })
}

/// JSON chunk and binary chunk, each padded to four bytes, behind the twelve-byte header.
pub(super) fn glb(document: &Value, binary: &[u8]) -> Result<Vec<u8>, MeshError> {
    packed(document.to_string().into_bytes(), binary)
}

fn packed(mut text: Vec<u8>, binary: &[u8]) -> Result<Vec<u8>, MeshError> {
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut binary = binary.to_vec();
    binary.resize(binary.len().next_multiple_of(4), 0);
    let length = u32::try_from(28 + text.len() + binary.len()).map_err(|_| too_large())?;
    let mut out = Vec::with_capacity(length as usize);
    let mut word = |value: u32| out.extend_from_slice(&value.to_le_bytes());
    word(0x4654_6C67);
    word(2);
    word(length);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "smaller than the whole, which fits"
    )]
    word(text.len() as u32);
    word(0x4E4F_534A);
    out.extend_from_slice(&text);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "smaller than the whole, which fits"
    )]
    out.extend_from_slice(&(binary.len() as u32).to_le_bytes());
    out.extend_from_slice(&0x004E_4942u32.to_le_bytes());
    out.extend_from_slice(&binary);
    Ok(out)
}

/// The length of the header of a file and of its first chunk.
const HEAD: usize = 20;

/// A file of ours with other words in the place of whole texts of its JSON.
///
/// # Errors
/// What is no such file, or has no such text.
pub(crate) fn glb_filled(file: &[u8], words: &[(&str, &str)]) -> Result<Vec<u8>, MeshError> {
    let other = || MeshError::new("this is no model as it is stored", "delete the store");
    let (head, rest) = file.split_first_chunk::<HEAD>().ok_or_else(other)?;
    let length = u32::from_le_bytes([head[12], head[13], head[14], head[15]]);
    let length = usize::try_from(length).map_err(|_| other())?;
    let (text, binary) = rest.split_at_checked(length).ok_or_else(other)?;
    let mut text = String::from_utf8(text.to_vec()).map_err(|_| other())?;
    for (blank, word) in words {
        let (blank, word) = (json!(blank).to_string(), json!(word).to_string());
        let at = text.find(&blank).ok_or_else(other)?;
        text.replace_range(at..at + blank.len(), &word);
    }
    // The chunk after it has a head of two words.
    let binary = binary.get(8..).ok_or_else(other)?;
    packed(text.trim_end().as_bytes().to_vec(), binary)
}

fn too_large() -> MeshError {
    MeshError::new(
        "the model is larger than the 4 GiB that a .glb file can be",
        "reduce it, or write it in parts",
    )
}

pub(super) fn refuse_empty(parts: &[NamedMesh<'_>]) -> Result<(), MeshError> {
    if parts.is_empty() {
        return Err(MeshError::new(
            "there is no part to write",
            "name at least one part",
        ));
    }
    Ok(())
}

/// Unit normals of the vertices: the mean of the adjacent triangles' normals, weighted by the
/// angle at the vertex (Thürmer and Wüthrich, "Computing vertex normals from polygonal facets",
/// Journal of Graphics Tools 3, 1998). Straight up where no triangle has an area.
pub(crate) fn vertex_normals(mesh: &crate::mesh::Mesh) -> Vec<Vec3> {
    let mut sums = vec![DVec3::ZERO; mesh.positions().len()];
    for (face, triangle) in (0u32..).zip(mesh.triangles()) {
        let corners = mesh.corners(face);
        let normal = (corners[1] - corners[0])
            .cross(corners[2] - corners[0])
            .normalize_or_zero();
        for k in 0..3 {
            let (here, next, last) = (corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]);
            let angle = (next - here).angle_between(last - here);
            if angle.is_finite() {
                sums[triangle[k] as usize] += normal * angle;
            }
        }
    }
    sums.into_iter()
        .map(|n| n.try_normalize().unwrap_or(DVec3::Y).as_vec3())
        .collect()
}

/// sRGB bytes as 16-bit linear light; the fourth channel is opacity and stays linear.
pub(super) fn linear_u16([r, g, b, a]: [u8; 4]) -> [u16; 4] {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 65535"
    )]
    let wide = |v: f32| (v * 65535.0).round() as u16;
    let colour = [r, g, b].map(|c| wide(srgb_to_linear(f32::from(c) / 255.0)));
    [colour[0], colour[1], colour[2], u16::from(a) * 257]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_filled_file_is_the_one_that_would_have_been_written() {
        let made = |word: &str| {
            let document = json!({ "asset": { "copyright": word, "version": "2.0" }, "n": 0.1 });
            glb(&document, &[1, 2, 3, 4, 5]).unwrap()
        };
        for word in ["", "The keeper", "ŵ “said” \"so\"\n", "{other}"] {
            let filled = glb_filled(&made("{blank}"), &[("{blank}", word)]).unwrap();
            assert_eq!(filled, made(word), "{word}");
        }
        assert!(glb_filled(&made("{blank}"), &[("{none}", "")]).is_err());
        assert!(glb_filled(&made("{blank}")[..19], &[("{blank}", "")]).is_err());
    }
}

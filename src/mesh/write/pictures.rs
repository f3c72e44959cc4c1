//! Pictures that lie over all parts of a compact file, and the material that uses them.

use super::container::material;
use serde_json::{Value, json};

/// JPEG files that share one sheet. JPEG, which every reader knows: of slopes a lossy WebP of the
/// same size is further off, since it keeps colour at half the resolution.
#[derive(Debug, Clone, Copy)]
pub struct Pictures<'a> {
    /// Unit normals, glTF's `normalTexture`.
    pub slopes: &'a [u8],
    /// Openness, glTF's `occlusionTexture`.
    pub shade: &'a [u8],
    /// Colour, glTF's `baseColorTexture`; then the vertices carry none.
    pub colour: Option<&'a [u8]>,
}

/// glTF's numbers for filters and wrapping (section 5.26): smaller copies blended, edges not
/// repeated.
const LINEAR: u32 = 9729;
const LINEAR_MIPMAP_LINEAR: u32 = 9987;
const CLAMP_TO_EDGE: u32 = 33071;

/// The material of the pictures, whose data lies in buffer views from `first` on, in this order:
/// slopes, shade, colour.
pub(super) fn described(pictures: &Pictures<'_>, first: usize, document: &mut Value) {
    let names = ["slopes", "shade", "colour"];
    let count = if pictures.colour.is_some() { 3 } else { 2 };
    document["images"] = (0..count)
        .map(|i| json!({ "name": names[i], "mimeType": "image/jpeg", "bufferView": first + i }))
        .collect();
    document["samplers"] = json!([{
        "magFilter": LINEAR, "minFilter": LINEAR_MIPMAP_LINEAR,
        "wrapS": CLAMP_TO_EDGE, "wrapT": CLAMP_TO_EDGE,
    }]);
    document["textures"] = (0..count)
        .map(|i| json!({ "name": names[i], "sampler": 0, "source": i }))
        .collect();
    let mut surface = material();
    surface["normalTexture"] = json!({ "index": 0 });
    surface["occlusionTexture"] = json!({ "index": 1 });
    if pictures.colour.is_some() {
        surface["pbrMetallicRoughness"]["baseColorTexture"] = json!({ "index": 2 });
    }
    document["materials"] = json!([surface]);
}

/// In the order of their buffer views.
pub(super) fn files<'a>(pictures: &Pictures<'a>) -> impl Iterator<Item = &'a [u8]> {
    [pictures.slopes, pictures.shade]
        .into_iter()
        .chain(pictures.colour)
}

//! Buffers and pictures of a glTF file: in the file, in a data URI, or beside it.

use super::gltf::damaged;
use crate::limits::Limits;
use crate::mesh::MeshError;
use gltf::buffer;
use gltf::image::Source;
use std::path::Path;

/// The bytes of every buffer, each at least as long as it says.
pub(super) fn buffers(
    document: &gltf::Document,
    mut blob: Option<Vec<u8>>,
    folder: Option<&Path>,
    limits: &Limits,
) -> Result<Vec<Vec<u8>>, MeshError> {
    let mut all = Vec::new();
    for buffer in document.buffers() {
        let bytes = match buffer.source() {
            buffer::Source::Bin => blob
                .take()
                .ok_or_else(|| damaged("its binary part is missing"))?,
            buffer::Source::Uri(uri) => from_uri(uri, folder, limits)?,
        };
        if bytes.len() < buffer.length() {
            return Err(damaged(&format!(
                "buffer {} should have {} bytes and has {}",
                buffer.index(),
                buffer.length(),
                bytes.len()
            )));
        }
        all.push(bytes);
    }
    Ok(all)
}

/// The bytes of a picture.
pub(super) fn picture(
    picture: &gltf::Image<'_>,
    buffers: &[Vec<u8>],
    folder: Option<&Path>,
    limits: &Limits,
) -> Result<Vec<u8>, MeshError> {
    match picture.source() {
        Source::View { view, .. } => {
            let buffer = buffers
                .get(view.buffer().index())
                .ok_or_else(|| damaged("a picture has no buffer"))?;
            let end = view.offset().checked_add(view.length());
            let range = end.and_then(|end| buffer.get(view.offset()..end));
            let bytes = range.ok_or_else(|| damaged("a picture lies outside its buffer"))?;
            Ok(bytes.to_vec())
        }
        Source::Uri { uri, .. } => from_uri(uri, folder, limits),
    }
}

fn from_uri(uri: &str, folder: Option<&Path>, limits: &Limits) -> Result<Vec<u8>, MeshError> {
    if let Some(data) = uri.strip_prefix("data:") {
        let (_, text) = data
            .split_once(";base64,")
            .ok_or_else(|| damaged("a data URI is not in base64"))?;
        return base64::decode(text).map_err(|_| damaged("a data URI is not in base64"));
    }
    let folder = folder.ok_or_else(|| super::outside(uri))?;
    super::bytes_of(&super::beside(uri, folder)?, limits)
}

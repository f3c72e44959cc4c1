//! Whatever the bytes, a reader gives a mesh or an error, in little memory.

use counterpart::limits::Limits;
use counterpart::mesh::{Format, measure, read_bytes};
use counterpart::record::{LengthUnit, UpAxis};

pub(crate) fn read(bytes: &[u8], format: Format) {
    let limits = Limits {
        model_bytes: 1 << 20,
        photograph_pixels: 1 << 16,
        triangles: 20_000,
        ..Limits::default()
    };
    let unit = match format {
        Format::Gltf => LengthUnit::Metre,
        _ => LengthUnit::Millimetre,
    };
    if let Ok(mesh) = read_bytes(bytes, format, None, unit, UpAxis::Y, &limits) {
        // What was accepted can be measured.
        assert!(measure(&mesh).is_some());
    }
}

//! What tells one mesh from another, in thirty-two bytes.
//!
//! The mesh is asked, not its file: the record says in which unit and which way up a file is to be
//! read, and files name others beside them.

use super::Mesh;
use super::laid::Laid;
use blake3::Hasher;

impl Mesh {
    /// BLAKE3 digest of all that the mesh consists of: its shape, and what lies over it.
    pub fn digest(&self) -> [u8; 32] {
        let mut all = Hasher::new();
        let floats = |v: [f32; 3]| v.map(f32::to_le_bytes).concat();
        told(
            &mut all,
            self.positions().iter().map(|p| floats(p.to_array())),
        );
        let order = |t: &[u32; 3]| t.map(u32::to_le_bytes).concat();
        told(&mut all, self.triangles().iter().map(order));
        told(&mut all, self.colours().unwrap_or_default());
        if let Some(texture) = &self.texture {
            pictures(&mut all, texture);
        }
        if let Some(slopes) = &self.slopes {
            pictures(&mut all, &slopes.laid);
            told(
                &mut all,
                slopes.frames.iter().map(|frame| {
                    let ends = [frame.hand, frame.scale].map(f32::to_le_bytes).concat();
                    let (normal, tangent) = (frame.normal.to_array(), frame.tangent.to_array());
                    [floats(normal), floats(tangent), ends].concat()
                }),
            );
        }
        *all.finalize().as_bytes()
    }
}

fn pictures(all: &mut Hasher, laid: &Laid) {
    let place = |p: &glam::Vec2| p.to_array().map(f32::to_le_bytes).concat();
    told(all, laid.places.iter().map(place));
    // One more than the number, and 0 for none.
    let number = |on: &Option<u16>| on.map_or(0, |n| u32::from(n) + 1).to_le_bytes();
    told(all, laid.on.iter().map(number));
    for picture in &laid.pictures {
        told(
            all,
            [picture.width(), picture.height()].map(u32::to_le_bytes),
        );
        told(all, [picture.as_raw()]);
    }
}

/// A list, closed by how many bytes it has, so that two lists never run into one another.
fn told<T: AsRef<[u8]>>(all: &mut Hasher, list: impl IntoIterator<Item = T>) {
    let mut bytes = Vec::new();
    for item in list {
        bytes.extend_from_slice(item.as_ref());
    }
    all.update(&bytes)
        .update(&(bytes.len() as u64).to_le_bytes());
}

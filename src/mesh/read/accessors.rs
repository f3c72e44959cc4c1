//! Typed numbers out of glTF's buffers (section 3.6.2), any component type, sparse or not.

use super::gltf::damaged;
use crate::mesh::MeshError;
use gltf::accessor::{Accessor, DataType, Dimensions};

/// All elements of an accessor as rows of `N` floats; normalised integers become −1..1 or 0..1
/// (section 3.11). Elements with fewer than `N` numbers are filled with `fill`.
pub(super) fn floats<const N: usize>(
    accessor: &Accessor<'_>,
    buffers: &[Vec<u8>],
    fill: f32,
) -> Result<Vec<[f32; N]>, MeshError> {
    let width = numbers(accessor.dimensions())?.min(N);
    let normalise = accessor.normalized();
    let mut out = vec![[fill; N]; 0];
    each(accessor, buffers, |element| {
        let mut row = [fill; N];
        for (k, slot) in row.iter_mut().take(width).enumerate() {
            *slot = number(element, k, accessor.data_type(), normalise);
        }
        out.push(row);
    })?;
    Ok(out)
}

/// All elements of a scalar accessor of unsigned integers.
pub(super) fn indices(accessor: &Accessor<'_>, buffers: &[Vec<u8>]) -> Result<Vec<u32>, MeshError> {
    let kind = accessor.data_type();
    if !matches!(kind, DataType::U8 | DataType::U16 | DataType::U32)
        || accessor.dimensions() != Dimensions::Scalar
    {
        return Err(damaged("its triangle indices are not unsigned integers"));
    }
    let mut out = Vec::new();
    each(accessor, buffers, |element| {
        out.push(unsigned(element, kind))
    })?;
    Ok(out)
}

fn numbers(dimensions: Dimensions) -> Result<usize, MeshError> {
    match dimensions {
        Dimensions::Scalar => Ok(1),
        Dimensions::Vec2 => Ok(2),
        Dimensions::Vec3 => Ok(3),
        Dimensions::Vec4 => Ok(4),
        _ => Err(damaged(
            "a matrix stands where positions or colours should be",
        )),
    }
}

/// Calls `take` with the bytes of each element, those of the sparse part in place of the others.
fn each(
    accessor: &Accessor<'_>,
    buffers: &[Vec<u8>],
    mut take: impl FnMut(&[u8]),
) -> Result<(), MeshError> {
    let size = accessor.size();
    let count = accessor.count();
    let dense = match accessor.view() {
        Some(view) => Some(Rows::of(&view, accessor.offset(), size, count, buffers)?),
        None if accessor.sparse().is_some() => None,
        None => return Err(damaged("an accessor has no data")),
    };
    let Some(sparse) = accessor.sparse() else {
        let rows = dense.ok_or_else(|| damaged("an accessor has no data"))?;
        for i in 0..count {
            take(rows.row(i));
        }
        return Ok(());
    };
    let which_size = match sparse.indices().index_type() {
        gltf::accessor::sparse::IndexType::U8 => (1, DataType::U8),
        gltf::accessor::sparse::IndexType::U16 => (2, DataType::U16),
        gltf::accessor::sparse::IndexType::U32 => (4, DataType::U32),
    };
    let which = Rows::of(
        &sparse.indices().view(),
        sparse.indices().offset(),
        which_size.0,
        sparse.count(),
        buffers,
    )?;
    let values = Rows::of(
        &sparse.values().view(),
        sparse.values().offset(),
        size,
        sparse.count(),
        buffers,
    )?;
    if dense.is_none() && count > values.bytes.len().saturating_add(1_000_000) {
        return Err(damaged(
            "an accessor claims far more elements than the file has bytes",
        ));
    }
    let zero = vec![0; size];
    let mut next = 0;
    for i in 0..count {
        let replaced =
            next < sparse.count() && unsigned(which.row(next), which_size.1) as usize == i;
        if replaced {
            take(values.row(next));
            next += 1;
        } else {
            take(dense.as_ref().map_or(zero.as_slice(), |rows| rows.row(i)));
        }
    }
    Ok(())
}

/// Equally spaced elements, checked to lie within their buffer.
struct Rows<'a> {
    bytes: &'a [u8],
    size: usize,
    stride: usize,
}

impl<'a> Rows<'a> {
    fn of(
        view: &gltf::buffer::View<'_>,
        offset: usize,
        size: usize,
        count: usize,
        buffers: &'a [Vec<u8>],
    ) -> Result<Self, MeshError> {
        let outside = || damaged("an accessor reaches beyond its buffer");
        let buffer = buffers.get(view.buffer().index()).ok_or_else(outside)?;
        let end = view
            .offset()
            .checked_add(view.length())
            .ok_or_else(outside)?;
        let whole = buffer.get(view.offset()..end).ok_or_else(outside)?;
        let bytes = whole.get(offset..).ok_or_else(outside)?;
        let stride = view.stride().unwrap_or(size).max(size);
        let needed = match count {
            0 => Some(0),
            _ => (count - 1)
                .checked_mul(stride)
                .and_then(|n| n.checked_add(size)),
        };
        if needed.is_none_or(|needed| needed > bytes.len()) {
            return Err(outside());
        }
        Ok(Self {
            bytes,
            size,
            stride,
        })
    }

    fn row(&self, index: usize) -> &'a [u8] {
        &self.bytes[index * self.stride..index * self.stride + self.size]
    }
}

fn number(element: &[u8], k: usize, kind: DataType, normalise: bool) -> f32 {
    let at = |size: usize| &element[k * size..(k + 1) * size];
    let ratio = |value: f32, most: f32| {
        if normalise {
            (value / most).max(-1.0)
        } else {
            value
        }
    };
    match kind {
        DataType::I8 => ratio(f32::from(i8::from_le_bytes([at(1)[0]])), 127.0),
        DataType::U8 => ratio(f32::from(at(1)[0]), 255.0),
        DataType::I16 => ratio(
            f32::from(i16::from_le_bytes([at(2)[0], at(2)[1]])),
            32_767.0,
        ),
        DataType::U16 => ratio(
            f32::from(u16::from_le_bytes([at(2)[0], at(2)[1]])),
            65_535.0,
        ),
        #[expect(
            clippy::cast_precision_loss,
            reason = "glTF does not use 32-bit integers for positions or colours"
        )]
        DataType::U32 => u32::from_le_bytes([at(4)[0], at(4)[1], at(4)[2], at(4)[3]]) as f32,
        DataType::F32 => f32::from_le_bytes([at(4)[0], at(4)[1], at(4)[2], at(4)[3]]),
    }
}

fn unsigned(element: &[u8], kind: DataType) -> u32 {
    match kind {
        DataType::U8 => u32::from(element[0]),
        DataType::U16 => u32::from(u16::from_le_bytes([element[0], element[1]])),
        _ => u32::from_le_bytes([element[0], element[1], element[2], element[3]]),
    }
}

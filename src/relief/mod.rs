//! Carries the relief that fewer triangles have lost: a reduced mesh is laid flat, and the slopes,
//! shade and colours of the full scan, and what was measured on it, are drawn on the sheet.
//!
//! Takes a reduced mesh and the scan with its tree; hands on the mesh with places on the sheet, and
//! the sheets. Ways of laying flat are those of this folder, since the libraries at hand either
//! need a C++ parser to build or do not link outside one system.

mod bake;
mod charts;
mod fill;
mod flat;
mod pack;
mod shade;
mod spread;
mod unwrap;

pub use bake::{Grain, Scan, Sheets, bake};
pub use shade::Shade;
pub use spread::{Spread, spread};
pub use unwrap::{Unwrapped, unwrap};

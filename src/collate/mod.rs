//! Original and replica side by side, as geometry.
//!
//! Takes an object's record and its model files; hands on [`ObjectGeometry`]: every part as a
//! mesh with its tree, every detail placed on the surface of both bodies, and what can be reckoned
//! from records and models together. A model that cannot
//! be read, or a detail that is not on its part's surface, is a finding; nothing is moved further
//! than [`SNAP_MM`] without a word.

mod bodies;
mod collation;
mod condition;
mod differences;
mod extents;
mod kept;
mod places;
mod quantities;
mod report;
mod sights;
mod uncertain;

pub use bodies::{BodyGeometry, ObjectGeometry, PartGeometry, read, read_again};
pub use collation::{
    Assembly, Bearings, Claim, Collation, Explained, Found, Group, Joint, LAID_MM, Laid,
    PartCollation, Reason, Standing, Without, shown_on,
};
pub use condition::{Condition, Flaw};
pub(crate) use condition::{LIKELY_MM, whole_json};
pub use differences::{Amount, Basis, Span, body_mass_g};
pub use extents::{Extent, Extents};
pub use kept::Kept;
pub use places::{OTHER_BODY_MM, Placed, SNAP_MM};
pub use quantities::{
    ADDS_UP, BodyMass, Layers, MassReason, NoMass, PartMass, Powder, Quantities, ScaleCause,
    ScaleCheck, Total, Weighing, Work, count_layers, quantities,
};
pub(crate) use report::json as comparison_json;
pub use report::{csv, plain, ply};
pub use sights::Sight;
pub use uncertain::{COVERAGE, Contribution, Estimate, How, Rounded};

//! What is claimed of an object, and on what ground: paradata, as the London Charter 2.1 asks for
//! (principle 4: what is known, by whom, from what, and how sure it is).
//!
//! Takes the records and the geometry of an object; hands on every [`Claim`], each with an id that
//! stays the same while the record names the same thing. Words are the site's: a claim is about
//! something, and has numbers. What the program reckoned says from what, by which method.

mod graph;
mod list;

pub use graph::{Digests, Said, graph};
pub use list::claims;

use crate::collate::Estimate;
use crate::record::{BodyKind, DetailId, Evidence, MaterialId, PartId, StepId};

/// One claim.
#[derive(Debug, Clone)]
pub struct Claim {
    /// Unique in its object, and fit for the end of an address.
    pub id: String,
    /// What is claimed.
    pub about: About,
    /// How it is known.
    pub known: Known,
    /// Its numbers; none where it is in words only.
    pub numbers: Vec<Number>,
}

/// What a claim says something of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    /// Number, name, date, place, maker, keeper.
    Identification,
    /// Where a body is, its surface, its day, what its parts are.
    Body(BodyKind),
    /// A material and its density.
    Material(MaterialId),
    /// A reading of the scale.
    Weighed(BodyKind),
    /// What the scanner's certificate says.
    Certificate(BodyKind),
    /// A reading of the callipers, by its place in the record.
    Caliper(BodyKind, usize),
    /// The box around a body.
    Size(BodyKind),
    /// What a body's surfaces enclose.
    Volume(BodyKind),
    /// Its mass, from volume and density.
    Mass(BodyKind),
    /// By how much the replica is heavier or lighter.
    MassDifference,
    /// How a body stands.
    Standing(BodyKind),
    /// How the parts of a body meet, and how thick their walls are.
    Assembly(BodyKind),
    /// How far the models that visitors load stray from the scan.
    Models(BodyKind),
    /// How the replica was laid on the original.
    Alignment,
    /// What was settled about the comparison: tolerance, thickness of the finish.
    Settled,
    /// A difference that was measured, and the detail that explains it.
    Region(DetailId),
    /// A difference that somebody answers for, by its place in the record.
    Accepted(usize),
    /// A difference that is stated, by its place in the record.
    Stated(usize),
    /// Kind and bearing of a detail, and what its note says.
    Detail(DetailId),
    /// Where a detail is.
    Place(DetailId),
    /// A step of the making with its quantities.
    Step(StepId),
    /// The layers of a part, by their place in what was reckoned.
    Layers(usize),
    /// All hours of work.
    Hours,
    /// Where the powder went.
    Powder,
}

/// In which part of the evidence a claim is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// What it is.
    Object,
    /// The bodies as they were measured and reckoned.
    Bodies,
    /// The details.
    Details,
    /// Original and replica.
    Differences,
    /// The making.
    Making,
}

impl Group {
    /// All of them, in order.
    pub const ALL: [Self; 5] = [
        Self::Object,
        Self::Bodies,
        Self::Details,
        Self::Differences,
        Self::Making,
    ];

    /// A stable word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Object => "object",
            Self::Bodies => "bodies",
            Self::Details => "details",
            Self::Differences => "differences",
            Self::Making => "making",
        }
    }
}

impl About {
    /// Where it is told.
    pub fn group(&self) -> Group {
        match self {
            Self::Identification | Self::Body(_) | Self::Material(_) => Group::Object,
            Self::Weighed(_)
            | Self::Certificate(_)
            | Self::Caliper(..)
            | Self::Size(_)
            | Self::Volume(_)
            | Self::Mass(_)
            | Self::Standing(_)
            | Self::Assembly(_)
            | Self::Models(_) => Group::Bodies,
            Self::Detail(_) | Self::Place(_) => Group::Details,
            Self::MassDifference
            | Self::Alignment
            | Self::Settled
            | Self::Region(_)
            | Self::Accepted(_)
            | Self::Stated(_) => Group::Differences,
            Self::Step(_) | Self::Layers(_) | Self::Hours | Self::Powder => Group::Making,
        }
    }
}

/// How a claim is known.
#[derive(Debug, Clone)]
pub enum Known {
    /// As the record says.
    Stated(Evidence),
    /// The record makes the claim, and does not say how it is known.
    Unsaid,
    /// This program reckoned it.
    Computed {
        /// How.
        method: Method,
        /// From what.
        from: Vec<Input>,
    },
}

/// What a computed claim rests on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// The model of a part, as it was received.
    Model(BodyKind, PartId),
    /// Another claim, by its id.
    Claim(String),
}

/// A number of a claim.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// Which: `height`, `mass`.
    pub name: &'static str,
    /// Its unit, as written after it; empty for a ratio or a count.
    pub unit: &'static str,
    /// In that unit.
    pub value: f64,
    /// Expanded uncertainty (k = 2); none where it is not known.
    pub expanded: Option<f64>,
}

impl Number {
    /// Without an uncertainty.
    pub fn plain(name: &'static str, unit: &'static str, value: f64) -> Self {
        Self {
            name,
            unit,
            value,
            expanded: None,
        }
    }

    /// With one, where there is one to go by.
    pub fn of(name: &'static str, unit: &'static str, of: &Estimate, factor: f64) -> Self {
        Self {
            name,
            unit,
            value: of.value * factor,
            expanded: Some(of.expanded() * factor).filter(|u| *u > 0.0),
        }
    }
}

/// How something was reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// The box around all parts, upright.
    Box,
    /// What closed surfaces enclose, by the divergence theorem.
    Enclosed,
    /// Volume times density.
    Density,
    /// Centre of mass over the planes of the convex hull.
    Hull,
    /// Nearest points and rays between surfaces.
    Surfaces,
    /// Two-sided distances between reduced model and scan.
    Reduced,
    /// Surfaces laid on one another from every turn.
    Aligned,
    /// Every point of either surface measured against the other.
    Compared,
    /// The nearest point of the scan to the keeper's own.
    Placed,
    /// Height over thickness, counted up.
    Layers,
    /// Statements of the steps, added up.
    Sum,
    /// One figure less the other.
    Less,
}

impl Method {
    /// A stable word for it, for keys of interface words and for programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Box => "box",
            Self::Enclosed => "enclosed",
            Self::Density => "density",
            Self::Hull => "hull",
            Self::Surfaces => "surfaces",
            Self::Reduced => "reduced",
            Self::Aligned => "aligned",
            Self::Compared => "compared",
            Self::Placed => "placed",
            Self::Layers => "layers",
            Self::Sum => "sum",
            Self::Less => "less",
        }
    }
}

//! Whether a thing stands, how it leans, and when it tips.
//!
//! Takes the points of a surface in millimetres, the centre of mass, the nominal upward axis and a
//! tolerance of contact; hands on [`Rest`]s: the planes on which it comes to stand.
//!
//! What is assumed: the thing is rigid and so is the floor, which is level; nothing slides; nobody
//! pushes; there is no soft mount, no wax, no pin and no earthquake. The centre of mass is as good
//! as what is known of the material within. All of this is an estimate: a mount-maker or a
//! conservator must judge what stands in a public space, and local rules come first.

mod hull;
mod rest;
mod support;

pub use hull::{Hull, hull};
pub use rest::{Rest, Settled, lean_without, rest, rests};
pub use support::Tip;

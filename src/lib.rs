//! counterpart: how a replica stands to its original, told truthfully.
//!
//! Data flows one way; no later stage reaches back.
//!
//! ```text
//! record/   what the keeper wrote            folder        → Catalogue + Findings
//! mesh/     triangles in millimetres         model file    → Mesh
//! space/    bounding-volume tree             Mesh          → Tree: closest point, rays
//! picture/  stills, photographs, codes       Mesh + Camera → Still
//! site/     page models → templates → files  Catalogue     → a folder to serve
//! ```
//!
//! The library never prints and never asks the time: folders, today's date, limits and a
//! listener for progress come in as arguments.

pub mod limits;
pub mod mesh;
pub mod picture;
pub mod progress;
pub mod record;
pub mod site;
pub mod space;
pub mod store;

//! The desk: a page on this machine alone, in which the keeper does the whole job while the files
//! stay plain text.
//!
//! Takes a content folder, the time and a listener; serves a page on the loopback until the process
//! ends. [`pen`] writes every byte below the content folder; [`live`] keeps the survey up to date while
//! files change; [`place`] takes places from the full scans; [`guard`] turns strangers away; [`server`]
//! is the door, and [`answers`] what stands behind each of its addresses. What was published is shown
//! by a server of its own, on another port ([`look`]): a site's scripts are none of the desk's business.

mod answers;
mod guard;
mod indoors;
mod live;
mod look;
mod model;
pub mod pen;
mod place;
mod publishing;
mod refused;
mod server;
mod told;
mod uploads;
mod watch;
mod ways;
mod words;

pub use indoors::Indoors;
pub use server::{DeskError, Heard, Setting, serve};

//! Deposits: what is in them, that they are the same twice, that nothing is lost when a run is killed or
//! the disk is full, that every damage is found, and that no bag can do harm.

mod bags;
mod content;
mod damage;
use crate::dice;
mod full;
mod hostile;
mod kept;
mod killed;
use crate::tree;

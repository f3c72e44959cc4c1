//! Deposits: what is in them, that they are the same twice, that nothing is lost when a run is killed or
//! the disk is full, that every damage is found, and that no bag can do harm.

mod bags;
mod content;
mod damage;
#[path = "../dice/mod.rs"]
mod dice;
mod full;
mod hostile;
mod kept;
mod killed;
#[path = "../shapes/mod.rs"]
mod shapes;
#[path = "../publish/tree.rs"]
#[allow(dead_code, reason = "not every test needs all of it")]
mod tree;

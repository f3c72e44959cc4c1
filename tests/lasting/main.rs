//! What outlives the site, and what must never leave it: deposits, documents in open formats, records of
//! others, addresses, the ground of claims, rights. One program, since each links the whole library.
#![cfg(unix)]

#[path = "../deposit/mod.rs"]
mod deposit;
#[path = "../dice/mod.rs"]
mod dice;
#[path = "../everywhere/mod.rs"]
mod everywhere;
#[path = "../exchange/mod.rs"]
mod exchange;
#[path = "../gate/mod.rs"]
mod gate;
#[path = "../linked/mod.rs"]
mod linked;
#[path = "../paradata/mod.rs"]
mod paradata;
#[path = "../shapes/mod.rs"]
mod shapes;
#[path = "../publish/tree.rs"]
mod tree;

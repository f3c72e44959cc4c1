//! Raking light against closed forms, against rays traced one by one, and on worn lettering.

#![allow(missing_docs, unreachable_pub)]

mod forms;
mod legible;

// The demonstration's lettering as its own program draws it: the truth about where strokes are.
#[path = "../../examples/shape_demo/lettering.rs"]
#[allow(dead_code, unused_imports)]
mod lettering;
#[path = "../../examples/shape_demo/maths.rs"]
#[allow(dead_code, unused_imports)]
mod maths;
#[path = "../../examples/shape_demo/relief.rs"]
#[allow(dead_code, unused_imports)]
mod relief;

//! Pictures made at build time: stills of models, sizes of photographs, codes.
//!
//! Takes meshes and cameras, with what was measured on them where a difference is to be shown, or
//! the bytes of a photograph; hands on encoded files in the sizes a page needs. The same input gives
//! the same bytes, whatever the number of threads.

mod bare;
mod camera;
mod code;
mod corners;
mod cutaway;
mod difference;
mod draw;
mod files;
mod foremost;
#[cfg(test)]
mod furnace;
mod hatch;
mod light;
mod photograph;
mod raking;
mod scene;
mod sky;
mod smooth;
mod still;

pub use bare::bare;
pub use camera::Camera;
pub use code::{CodeError, qr_svg};
pub use cutaway::{CUTAWAY_METHOD, CutOpen, cut_open};
pub use difference::{Compared, DIFFERENCE_METHOD, DifferenceScene, Seen};
pub use files::{PictureError, Sized, grey_png, jpeg, pack, still_files, unpack};
pub use light::KeyLight;
pub use photograph::{PHOTOGRAPH_METHOD, decode, derive};
pub use raking::{Lamp, RAKING_METHOD, Raked, RakedDetail, RakedPictures, Relief, Run, Side};
pub use scene::{Finish, Scene};
pub use still::{STILL_METHOD, still, still_lit};

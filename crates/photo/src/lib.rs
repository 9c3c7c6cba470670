//! Pictures as people bring them: recognised by content, turned upright, made smaller, rid of all
//! hidden data. Pure: bytes in, bytes out.
//!
//! * [`take_in`] makes of any JPEG, PNG or WebP file what a job keeps of it: a JPEG of at most
//!   [`SIDE_MAX`] and a small one of at most [`SMALL_SIDE_MAX`] pixels, its name, and when it was
//!   taken;
//! * [`PhotoError`] says why something is not taken, with a sentence for whoever brought it.
//!
//! Hidden data (place, owner, camera, an old preview) is gone because only pixels go on: the
//! picture is drawn anew, nothing of the file is copied. `docs/decisions/0010-photos.md` says why.

mod error;
mod hidden;
mod kind;
mod limits;
mod pixels;
mod take_in;
mod whole;

pub use error::PhotoError;
pub use hidden::Taken;
pub use limits::{BYTES_MAX, PIXELS_MAX, SIDE_MAX, SMALL_SIDE_MAX};
pub use take_in::{Photo, name_of, take_in};

//! Why a picture is not taken.

use std::fmt;

use crate::limits::{BYTES_MAX, PIXELS_MAX};

/// Says why a file is not taken as a picture.
///
/// Its text is a sentence that says what is wrong and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PhotoError {
    /// There is nothing in it.
    Empty,
    /// The file is larger than [`BYTES_MAX`].
    TooManyBytes,
    /// It is a HEIC picture, which cannot be read here.
    Heic,
    /// It is something else that is known by its first bytes, and cannot be read here.
    Other {
        /// What it is, as "a GIF picture", "a film".
        what: &'static str,
    },
    /// It is no picture, as far as its first bytes say.
    NotAPicture,
    /// It has more pixels than are unpacked here.
    TooManyPixels {
        /// Its width \[pixels\].
        width: u32,
        /// Its height \[pixels\].
        height: u32,
    },
    /// It ends before the picture does.
    CutOff,
    /// It begins as a picture and cannot be read as one.
    Damaged,
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("The file is empty; choose the picture again."),
            Self::TooManyBytes => write!(
                f,
                "The file is larger than {} MB; bring a smaller copy.",
                BYTES_MAX / (1024 * 1024)
            ),
            Self::Heic => f.write_str(
                "This is a HEIC picture, which cannot be read here. The phone can be set to take \
                 JPEG (camera settings: formats, \"most compatible\"), or share a JPEG copy of it.",
            ),
            Self::Other { what } => {
                write!(f, "This is {what}; bring a JPEG, PNG or WebP picture.")
            }
            Self::NotAPicture => {
                f.write_str("This is not a picture; bring a JPEG, PNG or WebP file.")
            }
            Self::TooManyPixels { width, height } => write!(
                f,
                "The picture is {width} x {height} pixels, more than {} million; bring a smaller \
                 copy.",
                PIXELS_MAX / 1_000_000
            ),
            Self::CutOff => f.write_str(
                "The file ends before the picture does; it did not come over whole. Bring it \
                 again.",
            ),
            Self::Damaged => {
                f.write_str("The picture is damaged and cannot be read; take it again if you can.")
            }
        }
    }
}

impl std::error::Error for PhotoError {}

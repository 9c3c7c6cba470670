//! What a job keeps of a picture.

use sha2::{Digest, Sha256};

use crate::error::PhotoError;
use crate::hidden::Taken;
use crate::kind::{Kind, kind_of};
use crate::limits::{BYTES_MAX, QUALITY, SIDE_MAX, SMALL_QUALITY, SMALL_SIDE_MAX};
use crate::pixels::{fit, jpeg, unpack, upright};
use crate::whole::is_whole;

/// Holds a picture as a job keeps it.
#[derive(Clone, PartialEq, Eq)]
pub struct Photo {
    /// Its name: the SHA-256 of `image` in 64 hexadecimal digits. Equal pictures have one name.
    pub name: String,
    /// The picture as a JPEG file, upright, its longer side at most [`SIDE_MAX`].
    pub image: Vec<u8>,
    /// A small copy as a JPEG file, its longer side at most [`SMALL_SIDE_MAX`].
    pub small: Vec<u8>,
    /// The width of `image` \[pixels\].
    pub width: u32,
    /// The height of `image` \[pixels\].
    pub height: u32,
    /// When it was taken, where the file says so.
    pub taken: Option<Taken>,
}

impl std::fmt::Debug for Photo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Photo {} ({} x {})", self.name, self.width, self.height)
    }
}

/// Takes a picture in: looks what it is, and makes of it what a job keeps.
///
/// Slow: about a tenth of a second for 12 megapixels.
///
/// # Errors
/// Says why it is not taken; see [`PhotoError`].
pub fn take_in(bytes: &[u8]) -> Result<Photo, PhotoError> {
    if bytes.len() > BYTES_MAX {
        return Err(PhotoError::TooManyBytes);
    }
    let kind = kind_of(bytes)?;
    if kind == Kind::Jpeg && !is_whole(bytes) {
        return Err(PhotoError::CutOff);
    }
    let unpacked = unpack(kind, bytes)?;
    // Made smaller first: turning a twentieth of the pixels is quicker.
    let picture = upright(fit(unpacked.pixels, SIDE_MAX)?, unpacked.turn);
    let image = jpeg(&picture, QUALITY)?;
    let (width, height) = picture.dimensions();
    let small = jpeg(&fit(picture, SMALL_SIDE_MAX)?, SMALL_QUALITY)?;
    Ok(Photo { name: name_of(&image), image, small, width, height, taken: unpacked.taken })
}

/// Gives the name of a kept picture by its content: SHA-256 (FIPS 180-4) in hexadecimal digits.
pub fn name_of(image: &[u8]) -> String {
    let mut name = String::with_capacity(64);
    for byte in Sha256::digest(image) {
        for half in [byte >> 4, byte & 15] {
            name.push(char::from_digit(u32::from(half), 16).unwrap_or('0'));
        }
    }
    name
}

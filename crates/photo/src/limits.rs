//! Every limit of pictures in one place.

/// The largest file that is looked at \[bytes\].
pub const BYTES_MAX: usize = 40 * 1024 * 1024;
/// The largest picture that is unpacked \[pixels\].
pub const PIXELS_MAX: u64 = 60_000_000;
/// The largest picture once it is unpacked \[bytes\]: four bytes for each pixel.
pub(crate) const UNPACKED_BYTES_MAX: u64 = PIXELS_MAX * 4;
/// The longer side of a kept picture \[pixels\]; smaller ones are not made larger.
pub const SIDE_MAX: u32 = 1600;
/// The longer side of its small copy \[pixels\].
pub const SMALL_SIDE_MAX: u32 = 320;
/// How well a kept picture is written: 1 to 100.
pub(crate) const QUALITY: u8 = 84;
/// How well its small copy is written.
pub(crate) const SMALL_QUALITY: u8 = 78;
/// The largest hidden data that is read for time and turn \[bytes\].
pub(crate) const HIDDEN_BYTES_MAX: usize = 1024 * 1024;

//! From a file to upright pixels, smaller ones, and a new file.

use std::io::Cursor;

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use image::codecs::jpeg::JpegDecoder;
use image::codecs::png::PngDecoder;
use image::codecs::webp::WebPDecoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, Limits, RgbImage};
use jpeg_encoder::{ColorType, Encoder};

use crate::error::PhotoError;
use crate::hidden::{self, Taken};
use crate::kind::Kind;
use crate::limits::{PIXELS_MAX, UNPACKED_BYTES_MAX};

/// A picture as it stands in its file, not turned yet.
pub(crate) struct Unpacked {
    pub(crate) pixels: RgbImage,
    pub(crate) turn: Orientation,
    pub(crate) taken: Option<Taken>,
}

/// Unpacks a file after its size was judged.
///
/// # Errors
/// Says that it is too large or cannot be read.
pub(crate) fn unpack(kind: Kind, bytes: &[u8]) -> Result<Unpacked, PhotoError> {
    let source = Cursor::new(bytes);
    let mut limits = Limits::default();
    limits.max_alloc = Some(UNPACKED_BYTES_MAX * 2);
    match kind {
        Kind::Jpeg => decode(JpegDecoder::new(source).map_err(why)?),
        Kind::Png => decode(PngDecoder::with_limits(source, limits).map_err(why)?),
        Kind::Webp => decode(WebPDecoder::new(source).map_err(why)?),
    }
}

fn decode(mut decoder: impl ImageDecoder) -> Result<Unpacked, PhotoError> {
    let (width, height) = decoder.dimensions();
    if width == 0 || height == 0 {
        return Err(PhotoError::Damaged);
    }
    let pixels = u64::from(width) * u64::from(height);
    if pixels > PIXELS_MAX || decoder.total_bytes() > UNPACKED_BYTES_MAX {
        return Err(PhotoError::TooManyPixels { width, height });
    }
    // Hidden data that cannot be read is left out; the picture counts.
    let (taken, turn) = hidden::read(decoder.exif_metadata().unwrap_or(None));
    let pixels = DynamicImage::from_decoder(decoder).map_err(why)?.into_rgb8();
    Ok(Unpacked { pixels, turn, taken })
}

fn why(error: ImageError) -> PhotoError {
    match error {
        ImageError::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
            PhotoError::CutOff
        }
        _ => PhotoError::Damaged,
    }
}

/// Makes a picture smaller so that its longer side is at most `side`; a smaller one stays.
///
/// # Errors
/// Fails only where the library does.
pub(crate) fn fit(pixels: RgbImage, side: u32) -> Result<RgbImage, PhotoError> {
    let (width, height) = pixels.dimensions();
    let longer = width.max(height);
    if longer <= side {
        return Ok(pixels);
    }
    let scaled = |length: u32| {
        let exact = u64::from(length) * u64::from(side) + u64::from(longer) / 2;
        u32::try_from(exact / u64::from(longer)).unwrap_or(side).max(1)
    };
    let (new_width, new_height) = (scaled(width), scaled(height));
    let source = ImageRef::new(width, height, pixels.as_raw(), PixelType::U8x3)
        .map_err(|_| PhotoError::Damaged)?;
    let mut target = Image::new(new_width, new_height, PixelType::U8x3);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom));
    Resizer::new().resize(&source, &mut target, &options).map_err(|_| PhotoError::Damaged)?;
    RgbImage::from_raw(new_width, new_height, target.into_vec()).ok_or(PhotoError::Damaged)
}

/// Turns a picture upright.
pub(crate) fn upright(pixels: RgbImage, turn: Orientation) -> RgbImage {
    let mut picture = DynamicImage::ImageRgb8(pixels);
    picture.apply_orientation(turn);
    picture.into_rgb8()
}

/// Writes pixels as a new JPEG file that has nothing but the picture.
///
/// # Errors
/// Fails only where the library does.
pub(crate) fn jpeg(pixels: &RgbImage, quality: u8) -> Result<Vec<u8>, PhotoError> {
    let side = |length: u32| u16::try_from(length).map_err(|_| PhotoError::Damaged);
    let (width, height) = (side(pixels.width())?, side(pixels.height())?);
    let mut file = Vec::new();
    Encoder::new(&mut file, quality)
        .encode(pixels.as_raw(), width, height, ColorType::Rgb)
        .map_err(|_| PhotoError::Damaged)?;
    Ok(file)
}

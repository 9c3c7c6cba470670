//! What a file is, by its first bytes alone: neither its name nor what the sender says counts.

use crate::error::PhotoError;

/// A kind of picture that is read here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Jpeg,
    Png,
    Webp,
}

/// The brands of files of ISO/IEC 14496-12 that hold HEIC pictures (ISO/IEC 23008-12).
const HEIC_BRANDS: [&[u8]; 8] =
    [b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"];

/// Recognises a file.
///
/// # Errors
/// Says what it is instead, where that is known.
pub(crate) fn kind_of(bytes: &[u8]) -> Result<Kind, PhotoError> {
    let starts = |start: &[u8]| bytes.starts_with(start);
    let at = |from: usize, part: &[u8]| bytes.get(from..).is_some_and(|b| b.starts_with(part));
    let other = |what| Err(PhotoError::Other { what });
    if bytes.is_empty() {
        Err(PhotoError::Empty)
    } else if starts(&[0xff, 0xd8, 0xff]) {
        Ok(Kind::Jpeg)
    } else if starts(b"\x89PNG\r\n\x1a\n") {
        Ok(Kind::Png)
    } else if starts(b"RIFF") && at(8, b"WEBP") {
        Ok(Kind::Webp)
    } else if at(4, b"ftyp") {
        let brand = bytes.get(8..12).unwrap_or_default();
        let others = bytes.get(16..64.min(bytes.len())).unwrap_or_default().chunks(4);
        if brand == b"avif" || brand == b"avis" {
            return other("an AVIF picture");
        }
        let mut brands = std::iter::once(brand).chain(others);
        let is_heic = brands.any(|brand| HEIC_BRANDS.contains(&brand));
        if is_heic { Err(PhotoError::Heic) } else { other("a film") }
    } else if starts(b"GIF8") {
        other("a GIF picture")
    } else if starts(b"II*\0") || starts(b"MM\0*") {
        other("a TIFF or raw picture")
    } else if starts(b"BM") {
        other("a BMP picture")
    } else if starts(&[0xff, 0x0a]) || starts(b"\0\0\0\x0cJXL ") {
        other("a JPEG XL picture")
    } else if starts(b"%PDF-") {
        other("a PDF document")
    } else if starts(b"\x1a\x45\xdf\xa3") {
        other("a film")
    } else {
        Err(PhotoError::NotAPicture)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture is what its bytes say; a HEIC one has a word of its own.
    #[test]
    fn recognised_by_content() {
        let of = |bytes: &[u8]| kind_of(bytes);
        assert_eq!(of(b"\xff\xd8\xff\xe0"), Ok(Kind::Jpeg));
        assert_eq!(of(b"\x89PNG\r\n\x1a\n"), Ok(Kind::Png));
        assert_eq!(of(b"RIFF\0\0\0\0WEBPVP8 "), Ok(Kind::Webp));
        assert_eq!(of(b""), Err(PhotoError::Empty));
        assert_eq!(of(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"), Err(PhotoError::Heic));
        assert_eq!(of(b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic"), Err(PhotoError::Heic));
        assert_eq!(of(b"\0\0\0\x18ftypavif"), Err(PhotoError::Other { what: "an AVIF picture" }));
        assert_eq!(
            of(b"\0\0\0\x18ftypisom\0\0\0\0isomavc1"),
            Err(PhotoError::Other { what: "a film" })
        );
        assert_eq!(of(b"GIF89a"), Err(PhotoError::Other { what: "a GIF picture" }));
        for noise in [&b"<svg xmlns='x'/>"[..], b"\xff\xd8", b"RIFF", b"hello", b"PK\x03\x04"] {
            assert_eq!(of(noise), Err(PhotoError::NotAPicture));
        }
        assert!(PhotoError::Heic.to_string().contains("set to take JPEG"));
    }
}

//! Whether a JPEG file has come over whole: decoders fill what is missing with grey, and a picture
//! that is half grey would be kept for good.

/// Walks the markers of a JPEG file (ITU-T T.81, annex B) to the end of its picture. What stands
/// after that end is of no interest here: phones put films and maps there.
pub(crate) fn is_whole(bytes: &[u8]) -> bool {
    let mut at = 2;
    loop {
        // A marker is FF and a byte that is neither 00 nor FF; any number of FF may stand before.
        while bytes.get(at) == Some(&0xff) && bytes.get(at + 1) == Some(&0xff) {
            at += 1;
        }
        let (Some(&0xff), Some(&marker)) = (bytes.get(at), bytes.get(at + 1)) else {
            return false;
        };
        at += 2;
        match marker {
            0xd9 => return true,
            0x01 | 0xd0..=0xd8 => continue,
            _ => {}
        }
        let Some(length) = bytes.get(at..at + 2) else { return false };
        at += usize::from(u16::from_be_bytes([length[0], length[1]]));
        if marker == 0xda {
            match end_of_scan(bytes, at) {
                Some(end) => at = end,
                None => return false,
            }
        }
    }
}

/// The place of the next marker that is no part of the scan.
fn end_of_scan(bytes: &[u8], from: usize) -> Option<usize> {
    let scan = bytes.get(from..)?;
    let is_marker = |pair: &[u8]| pair[0] == 0xff && !matches!(pair[1], 0x00 | 0xff | 0xd0..=0xd7);
    scan.windows(2).position(is_marker).map(|end| from + end)
}

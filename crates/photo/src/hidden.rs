//! The two things that are read from a picture's hidden data (EXIF, JEITA CP-3451) before it is
//! left behind: when it was taken, and how the camera was turned.

use exif::{DateTime, Exif, In, Reader, Tag, Value};
use image::metadata::Orientation;

use crate::limits::HIDDEN_BYTES_MAX;

/// When a picture was taken, by the camera's own clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The camera's date and time, read as if it were UTC \[ms since 1970\].
    pub local_ms: i64,
    /// How far the camera's clock was ahead of UTC \[minutes\], where the picture says so.
    pub minutes_east: Option<i32>,
}

impl Taken {
    /// Gives the time \[ms since 1970, UTC\]; `usual_minutes_east` is how far the clock was ahead
    /// of UTC where the picture does not say it.
    pub fn at_ms(&self, usual_minutes_east: i32) -> i64 {
        let minutes = self.minutes_east.unwrap_or(usual_minutes_east);
        self.local_ms.saturating_sub(i64::from(minutes) * 60_000)
    }
}

/// Reads time and turn. What cannot be read is left out: a picture without is a picture too.
pub(crate) fn read(chunk: Option<Vec<u8>>) -> (Option<Taken>, Orientation) {
    let upright = Orientation::NoTransforms;
    let Some(chunk) = chunk.filter(|chunk| chunk.len() <= HIDDEN_BYTES_MAX) else {
        return (None, upright);
    };
    // Some cameras leave the JPEG segment's own mark before the data.
    let chunk = match chunk.strip_prefix(b"Exif\0\0") {
        Some(rest) => rest.to_vec(),
        None => chunk,
    };
    let Ok(exif) = Reader::new().read_raw(chunk) else { return (None, upright) };
    let turn = exif.get_field(Tag::Orientation, In::PRIMARY);
    let turn = turn.and_then(|field| field.value.get_uint(0));
    let turn = turn.and_then(|turn| u8::try_from(turn).ok()).and_then(Orientation::from_exif);
    (taken(&exif), turn.unwrap_or(upright))
}

/// The time of the shot; else that of scanning, else that of the file.
fn taken(exif: &Exif) -> Option<Taken> {
    let of = |time, fraction, offset| {
        let mut at = DateTime::from_ascii(ascii(exif, time)?).ok()?;
        if let Some(text) = ascii(exif, fraction) {
            // A fraction or an offset that is no number is as good as none.
            let _ = at.parse_subsec(text);
        }
        if let Some(text) = ascii(exif, offset) {
            let _ = at.parse_offset(text);
        }
        Some(Taken {
            local_ms: milliseconds(&at)?,
            minutes_east: at.offset.map(i32::from).filter(|m| (-14 * 60..=14 * 60).contains(m)),
        })
    };
    of(Tag::DateTimeOriginal, Tag::SubSecTimeOriginal, Tag::OffsetTimeOriginal)
        .or_else(|| of(Tag::DateTimeDigitized, Tag::SubSecTimeDigitized, Tag::OffsetTimeDigitized))
        .or_else(|| of(Tag::DateTime, Tag::SubSecTime, Tag::OffsetTime))
}

fn ascii(exif: &Exif, tag: Tag) -> Option<&[u8]> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => lines.first().map(Vec::as_slice),
        _ => None,
    }
}

/// Milliseconds since 1970 of a date and time that can be; a clock that was never set gives none.
fn milliseconds(at: &DateTime) -> Option<i64> {
    let (year, month, day) = (i64::from(at.year), i64::from(at.month), i64::from(at.day));
    let time = (i64::from(at.hour), i64::from(at.minute), i64::from(at.second));
    let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days_of_month = match month {
        2 => 28 + i64::from(is_leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    let is_date = (1990..=2199).contains(&year)
        && (1..=12).contains(&month)
        && (1..=days_of_month).contains(&day);
    if !is_date || time.0 > 23 || time.1 > 59 || time.2 > 60 {
        return None;
    }
    // Days from the first of March of year 0, where leap days come last.
    let (y, m) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let days = 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - 719_468;
    let seconds = days * 86_400 + time.0 * 3600 + time.1 * 60 + time.2;
    Some(seconds * 1000 + i64::from(at.nanosecond.unwrap_or(0) / 1_000_000))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(text: &str) -> Option<i64> {
        milliseconds(&DateTime::from_ascii(text.as_bytes()).expect("a date"))
    }

    /// Days checked by hand: 1970 begins at 0, 2000-02-29 is day 11016, 2026-11-25 is day 20782.
    #[test]
    fn dates() {
        assert_eq!(ms("2000:02:29 00:00:00"), Some(11_016 * 86_400_000));
        assert_eq!(ms("2026:11:25 01:02:03"), Some(20_782 * 86_400_000 + 3_723_000));
        for never in [
            "2001:02:29 00:00:00",
            "2100:02:29 00:00:00",
            "2026:13:01 00:00:00",
            "2026:00:01 00:00:00",
            "2026:04:31 00:00:00",
            "2026:04:30 24:00:00",
            "0000:00:00 00:00:00",
            "1980:01:01 00:00:00",
        ] {
            assert_eq!(ms(never), None, "{never}");
        }
    }
}

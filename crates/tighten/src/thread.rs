//! Screw threads of ISO metric and inch profile: their diameters and areas.

use std::f64::consts::PI;

use crate::cursor::Cursor;
use crate::number;
use crate::trouble::{Trouble, TroubleKind, shown};

/// A screw thread with the 60° profile of ISO 68-1; inch threads (UN) have the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Nominal diameter d \[mm\].
    pub d_mm: f64,
    /// Pitch P \[mm\].
    pub pitch_mm: f64,
    /// Whether it was written in inches.
    pub is_inch: bool,
}

/// Coarse pitches by nominal diameter \[mm\] (ISO 261:1998, the first choice series and M7, M14,
/// M18, M22, M27, M33).
const COARSE: [(f64, f64); 21] = [
    (1.6, 0.35),
    (2.0, 0.4),
    (2.5, 0.45),
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
];
const INCH_MM: f64 = 25.4;

impl Thread {
    /// Reads "M8", "M8x1", "M10×1,25", "3/4-16 UNF".
    ///
    /// # Errors
    /// Says what is not understood, or that the pitch is missing or larger than the thread can
    /// have.
    ///
    /// ```
    /// use lastbolt_tighten::Thread;
    /// assert_eq!(Thread::read("M8").unwrap().pitch_mm, 1.25);
    /// assert_eq!(Thread::read("M8 x 1").unwrap().pitch_mm, 1.0);
    /// assert!((Thread::read("3/4-16 UNF").unwrap().d_mm - 19.05).abs() < 1e-9);
    /// assert!(Thread::read("M8x6").is_err() && Thread::read("M41").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Thread, Trouble> {
        let mut cursor = Cursor::new(text.trim());
        let metric = cursor.take(|c| matches!(c, 'M' | 'm')).is_some();
        cursor.skip_blanks();
        let thread = if metric { metric_thread(&mut cursor) } else { inch_thread(&mut cursor) };
        // What stands behind is the screw's length ("M12x1.5x60") or the tolerance ("-6g").
        let behind = cursor.rest().trim_start();
        let ends = behind.is_empty() || behind.starts_with(['x', '×', '-', ' ', 'U', 'u']);
        let thread = thread.filter(|_| ends).ok_or_else(|| {
            Trouble::new(
                TroubleKind::NotUnderstood,
                "thread",
                format!("\"{}\" is not understood as a thread.", shown(text)),
                "Write diameter and pitch: M8x1.25, or inches: 3/4-16.",
            )
        })?;
        thread.check(text)
    }

    fn check(self, text: &str) -> Result<Thread, Trouble> {
        let wrong = |message: String| {
            let help = "Write diameter and pitch as on the screw: M8x1.25.";
            Err(Trouble::new(TroubleKind::OutOfRange, "thread", message, help))
        };
        if self.pitch_mm == 0.0 {
            return wrong(format!("The pitch of \"{}\" is missing and no usual one.", shown(text)));
        }
        if !(1.0..=200.0).contains(&self.d_mm) || self.pitch_mm < 0.1 {
            return wrong(format!("\"{}\" is no size of a screw.", shown(text)));
        }
        if self.pitch_mm > self.d_mm / 3.0 {
            return wrong(format!(
                "The pitch of \"{}\" is too large for its diameter.",
                shown(text)
            ));
        }
        Ok(self)
    }

    /// Tells whether the pitch is the coarse one of its diameter.
    pub fn is_coarse(&self) -> bool {
        coarse(self.d_mm).is_some_and(|pitch| (pitch - self.pitch_mm).abs() < 1e-9)
    }

    /// Gives the pitch diameter d2 \[mm\]: d − 0.649519 P (ISO 724:1993).
    ///
    /// ```
    /// use lastbolt_tighten::Thread;
    /// let m8 = Thread::read("M8").unwrap();
    /// assert!((m8.d2_mm() - 7.188).abs() < 5e-4); // ISO 724 has 7.188
    /// ```
    pub fn d2_mm(&self) -> f64 {
        self.d_mm - 3.0_f64.sqrt() * 3.0 / 8.0 * self.pitch_mm
    }

    /// Gives the minor diameter of the screw d3 \[mm\]: d − 1.226869 P (ISO 724:1993 with a rounded
    /// root, H/6).
    pub fn d3_mm(&self) -> f64 {
        self.d_mm - 17.0 * 3.0_f64.sqrt() / 24.0 * self.pitch_mm
    }

    /// Gives the minor diameter of the nut D1 \[mm\]: d − 1.082532 P (ISO 724:1993).
    pub fn minor_nut_mm(&self) -> f64 {
        self.d_mm - 5.0 * 3.0_f64.sqrt() / 8.0 * self.pitch_mm
    }

    /// Gives the diameter of the stress area dS \[mm\]: (d2 + d3) / 2.
    pub fn ds_mm(&self) -> f64 {
        (self.d2_mm() + self.d3_mm()) / 2.0
    }

    /// Gives the stress area As \[mm²\]: π/4 · ((d2 + d3)/2)² (ISO 898-1:2013, 9.1.6.1).
    ///
    /// ```
    /// use lastbolt_tighten::Thread;
    /// // ISO 898-1:2013, table 4: M10 58.0 mm².
    /// assert!((Thread::read("M10").unwrap().stress_area_mm2() - 58.0).abs() < 0.05);
    /// ```
    pub fn stress_area_mm2(&self) -> f64 {
        PI / 4.0 * self.ds_mm().powi(2)
    }

    /// Gives the lead angle at the pitch diameter \[degrees\]: arctan(P / (π d2)).
    pub fn lead_angle_deg(&self) -> f64 {
        (self.pitch_mm / (PI * self.d2_mm())).atan().to_degrees()
    }
}

fn coarse(d_mm: f64) -> Option<f64> {
    COARSE.iter().find(|(d, _)| (d - d_mm).abs() < 1e-9).map(|(_, pitch)| *pitch)
}

/// Reads "8x1"; a pitch that is missing and not known is 0.
fn metric_thread(cursor: &mut Cursor<'_>) -> Option<Thread> {
    let d_mm = number::scan(cursor)?.ok()?.value.to_f64();
    let mut ahead = cursor.clone();
    ahead.skip_blanks();
    let sign = ahead.take(|c| matches!(c, 'x' | 'X' | '×' | '*'));
    ahead.skip_blanks();
    let given = sign.and_then(|_| number::scan(&mut ahead)).and_then(Result::ok);
    let given = given.map(|number| number.value.to_f64());
    // "M12x55" is a length: no pitch is that large.
    let is_pitch = |pitch: &f64| *pitch <= 8.0 || coarse(d_mm).is_none();
    let pitch_mm = match given.filter(is_pitch) {
        Some(pitch) => {
            *cursor = ahead;
            pitch
        }
        None => coarse(d_mm).unwrap_or(0.0),
    };
    Some(Thread { d_mm, pitch_mm, is_inch: false })
}

/// Reads "3/4-16"; threads on an inch behind the hyphen.
fn inch_thread(cursor: &mut Cursor<'_>) -> Option<Thread> {
    let d = number::scan(cursor)?.ok()?.value.to_f64();
    cursor.take_word(&["in", "\""]);
    cursor.skip_blanks();
    cursor.take(|c| matches!(c, '-' | '–'))?;
    let per_inch = number::scan(cursor)?.ok()?.value.to_f64();
    (per_inch > 0.0).then(|| Thread {
        d_mm: d * INCH_MM,
        pitch_mm: INCH_MM / per_inch,
        is_inch: true,
    })
}

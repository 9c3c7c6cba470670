//! What classes of screws hold.

use crate::trouble::{Trouble, TroubleKind, shown};

/// The least strengths of a class of screws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// Its name: "8.8".
    pub class: &'static str,
    /// Least tensile strength Rm \[MPa\].
    pub rm_mpa: f64,
    /// Least 0.2 % proof strength Rp0.2, or yield ReL \[MPa\].
    pub rp02_mpa: f64,
    /// Stress under proof load Sp \[MPa\]; none where the standard gives none.
    pub sp_mpa: Option<f64>,
    /// Where it is from.
    pub source: &'static str,
    /// It stands here from memory and has to be shown as such.
    pub from_memory: bool,
}

const ISO_898: &str = "ISO 898-1:2013, table 3";
const ISO_3506: &str = "ISO 3506-1:2009, table 3";

/// Class, largest diameter \[mm\], Rm, Rp0.2, Sp, seen in a source.
type Row = (&'static str, f64, f64, f64, Option<f64>, &'static str, bool);
const ROWS: [Row; 14] = [
    ("8.8", 16.0, 800.0, 640.0, Some(580.0), ISO_898, true),
    ("8.8", 39.0, 830.0, 660.0, Some(600.0), ISO_898, true),
    ("10.9", 39.0, 1040.0, 940.0, Some(830.0), ISO_898, true),
    ("12.9", 39.0, 1220.0, 1100.0, Some(970.0), ISO_898, true),
    ("A-50", 39.0, 500.0, 210.0, None, ISO_3506, true),
    ("A-70", 39.0, 700.0, 450.0, None, ISO_3506, true),
    ("A-80", 39.0, 800.0, 600.0, None, ISO_3506, true),
    ("4.6", 39.0, 400.0, 240.0, Some(225.0), ISO_898, false),
    ("4.8", 39.0, 420.0, 340.0, Some(310.0), ISO_898, false),
    ("5.6", 39.0, 500.0, 300.0, Some(280.0), ISO_898, false),
    ("5.8", 39.0, 520.0, 420.0, Some(380.0), ISO_898, false),
    ("6.8", 39.0, 600.0, 480.0, Some(440.0), ISO_898, false),
    ("9.8", 16.0, 900.0, 720.0, Some(650.0), ISO_898, false),
    ("3.6", 39.0, 330.0, 190.0, Some(180.0), "ISO 898-1:1999, table 3", false),
];

/// Gives the least strengths of a class for a diameter \[mm\].
///
/// 8.8 (to 16 mm), 10.9, 12.9 and the stainless classes were seen in printed tables; 8.8 above 16
/// mm has its Rp0.2 seen, Rm and Sp from memory; the others are from memory and marked so.
///
/// # Errors
/// Says that the class is not known, or not for such a diameter.
///
/// ```
/// use lastbolt_tighten::strength;
/// assert_eq!(strength("8.8", 8.0).unwrap().sp_mpa, Some(580.0)); // ISO 898-1:2013, table 3
/// assert_eq!(strength("8,8", 18.0).unwrap().rp02_mpa, 660.0);
/// assert!(strength("5.6", 8.0).unwrap().from_memory);
/// assert!(strength("8.9", 8.0).is_err());
/// ```
pub fn strength(class: &str, d_mm: f64) -> Result<Strength, Trouble> {
    let plain = plain(class);
    let mut of_class = ROWS.iter().filter(|row| row.0 == plain).peekable();
    if of_class.peek().is_none() {
        return Err(Trouble::new(
            TroubleKind::Unknown,
            "class",
            format!("\"{}\" is not known as a class of screws.", shown(class)),
            "Known are 3.6 to 12.9 as on the head (8.8, 10.9, 12.9) and A2-50, A2-70, A4-80.",
        ));
    }
    match of_class.find(|row| d_mm <= row.1) {
        Some(&(class, to, rm_mpa, rp02_mpa, sp_mpa, source, seen)) => Ok(Strength {
            class,
            rm_mpa,
            rp02_mpa,
            sp_mpa,
            source,
            from_memory: !seen || (class == "8.8" && to > 16.0),
        }),
        None => Err(Trouble::new(
            TroubleKind::OutOfRange,
            "thread",
            format!("The standard has no class {} of that diameter.", shown(class)),
            "Look at the head of the screw again.",
        )),
    }
}

/// "8,8" is 8.8; "A2-70" and "A4-70" have the strength of A-70.
fn plain(class: &str) -> String {
    let text = class.trim().to_uppercase().replace(',', ".").replace(' ', "");
    match text.strip_prefix('A') {
        Some(rest) => {
            let grade =
                rest.trim_start_matches(|c: char| c.is_ascii_digit()).trim_start_matches('-');
            format!("A-{grade}")
        }
        None => text,
    }
}

//! Whether a value can be right: never a specification. The maker's value wins, always; what is
//! computed here finds a wrong decimal sign or unit, and asks.

use crate::exact::Exact;
use crate::figures::figure;
use crate::strength::{Strength, strength};
use crate::strip::strip_force_internal_n;
use crate::thread::Thread;
use crate::torque::Torque;
use crate::trouble::{Trouble, TroubleKind};
use crate::unit::TorqueUnit;
use crate::vdi2230::{HeadShape, check_friction, positive, preload_from_torque_n, use_of_yield};

/// What has to stand beside every figure of this room.
pub const MAKER_WINS: &str =
    "Computed to find a wrong digit or unit. The maker's value always wins.";

/// Above this use of the yield strength, even at the highest friction, it is asked \[share\].
const MOST_USE: f64 = 1.0;
/// Below this use of the yield strength, even at the lowest friction, it is asked \[share\]: a
/// tenth of a usual value lies below, values for covers and plastic mostly above (common practice).
const LEAST_USE: f64 = 0.15;
/// What else it may be has to be able to use the screw so much \[share\].
const USUAL_USE: (f64, f64) = (0.3, 1.0);
/// The strongest usual class, where the class is not known.
const STRONGEST: &str = "12.9";
/// A usual class, where the class is not known.
const USUAL: &str = "8.8";

/// A screw, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw<'a> {
    /// Its thread.
    pub thread: Thread,
    /// The class on its head.
    pub class: Option<&'a str>,
    /// The least and the largest friction; none: class B of VDI 2230, 0.08 to 0.16.
    pub friction: Option<(f64, f64)>,
    /// The middle of the ring under the head \[mm\]; none: a hexagon head.
    pub dkm_mm: Option<f64>,
}

/// What a torque does to a screw, as a band by friction.
#[derive(Clone, Debug, PartialEq)]
pub struct Preload {
    /// Preload at the largest and at the least friction \[N\].
    pub preload_n: (f64, f64),
    /// The friction that was taken.
    pub friction: (f64, f64),
    /// Share of the proof load of ISO 898-1, if the class has one.
    pub of_proof: Option<(f64, f64)>,
    /// Use of Rp0.2, pulling and turning together.
    pub of_yield: Option<(f64, f64)>,
    /// What was taken from tables, for "why".
    pub assumed: Vec<String>,
    /// Something in it stands from memory and has to be shown as such.
    pub from_memory: bool,
}

/// Computes the preload of a torque \[N·m\], with friction as a band (VDI 2230, the formula pair).
///
/// # Errors
/// Says which field is wrong: `T`, `friction`, `class`, `thread`, `DKm`.
///
/// ```
/// use lastbolt_tighten::{Screw, Thread, preload_band};
/// // VDI 2230 table A1: M8, 8.8, friction 0.12: 24.6 N·m and 18.6 kN lie inside of the band.
/// let thread = Thread::read("M8").unwrap();
/// let screw = Screw { thread, class: Some("8.8"), friction: None, dkm_mm: None };
/// let band = preload_band(24.6, &screw).unwrap();
/// assert!(band.preload_n.0 < 18_600.0 && 18_600.0 < band.preload_n.1);
/// ```
pub fn preload_band(torque_nm: f64, screw: &Screw<'_>) -> Result<Preload, Trouble> {
    let mut assumed = Vec::new();
    let friction = friction_of(screw, &mut assumed)?;
    let dkm = dkm_of(screw, &mut assumed)?;
    let at = |mu: f64| preload_from_torque_n(&screw.thread, torque_nm, mu, mu, dkm);
    let preload_n = (at(friction.1)?, at(friction.0)?);
    let strength = screw.class.map(|class| strength(class, screw.thread.d_mm)).transpose()?;
    let mut band = Preload {
        preload_n,
        friction,
        of_proof: None,
        of_yield: None,
        assumed,
        from_memory: false,
    };
    if let Some(strength) = strength {
        of_strength(&mut band, screw, &strength)?;
    }
    Ok(band)
}

fn of_strength(band: &mut Preload, screw: &Screw<'_>, strength: &Strength) -> Result<(), Trouble> {
    let rp02 = strength.rp02_mpa;
    let used = |mu: f64, force: f64| use_of_yield(&screw.thread, mu, rp02, force);
    let (least, most) = band.preload_n;
    band.of_yield = Some((used(band.friction.1, least)?, used(band.friction.0, most)?));
    if let Some(sp) = strength.sp_mpa {
        let proof = screw.thread.stress_area_mm2() * sp;
        band.of_proof = Some((least / proof, most / proof));
    }
    let memory = if strength.from_memory { ", from memory" } else { "" };
    band.assumed.push(format!("class {}: {}{memory}", strength.class, strength.source));
    band.from_memory |= strength.from_memory;
    Ok(())
}

fn friction_of(screw: &Screw<'_>, assumed: &mut Vec<String>) -> Result<(f64, f64), Trouble> {
    if let Some((low, high)) = screw.friction {
        check_friction("friction", low)?;
        check_friction("friction", high)?;
        return Ok((low.min(high), low.max(high)));
    }
    let class = figure("friction_class_range", "friction", &["B"])?;
    assumed.push(format!("friction {} (class B, {})", class.figure, class.source));
    let ends = class.figure.split_once("..");
    let read = |text: &str| text.parse::<f64>().ok();
    let band = ends.and_then(|(low, high)| read(low).zip(read(high)));
    band.ok_or_else(|| {
        Trouble::new(TroubleKind::Missing, "friction", "The friction is not known.", "Give a band.")
    })
}

fn dkm_of(screw: &Screw<'_>, assumed: &mut Vec<String>) -> Result<f64, Trouble> {
    if let Some(given) = screw.dkm_mm {
        return positive("DKm", given);
    }
    assumed.push("a hexagon head (ISO 4014) on a hole of medium fit (ISO 273)".to_owned());
    HeadShape::Hexagon.dkm_mm(&screw.thread)
}

/// Asks where a torque cannot be right for its screw, even with the widest friction; none where it
/// can.
///
/// A no to this question is never needed: whoever answers that the maker's value holds is right.
///
/// # Errors
/// As [`preload_band`].
///
/// ```
/// use lastbolt_tighten::{Screw, Thread, doubtful, read_torque};
/// let thread = Thread::read("M8").unwrap();
/// let screw = Screw { thread, class: Some("8.8"), friction: None, dkm_mm: None };
/// let ask = |text: &str| doubtful(&read_torque(text).unwrap(), &screw).unwrap();
/// assert_eq!(ask("25 N·m"), None);
/// assert!(ask("250 N·m").unwrap().help.contains("25 N·m"));
/// assert!(ask("25 kgf·m").unwrap().help.contains("25 N·m"));
/// ```
pub fn doubtful(torque: &Torque, screw: &Screw<'_>) -> Result<Option<Trouble>, Trouble> {
    let Some((low, high)) = torque.range_in(TorqueUnit::NewtonMetre) else { return Ok(None) };
    let used = |class: &str, nm: f64| -> Result<(f64, f64), Trouble> {
        let band = preload_band(nm, &Screw { class: Some(class), ..*screw })?;
        Ok(band.of_yield.unwrap_or((0.0, 0.0)))
    };
    let strong = screw.class.unwrap_or(STRONGEST);
    let usual = screw.class.unwrap_or(USUAL);
    let (least_of_high, _) = used(strong, high.to_f64())?;
    let (_, most_of_low) = used(usual, low.to_f64())?;
    let class = screw.class.map_or_else(String::new, |class| format!(" {class}"));
    let name = format!("M{}{class}", screw.thread.d_mm);
    let message = if least_of_high > MOST_USE {
        let times = least_of_high;
        format!(
            "{} uses {name} to {times:.1} times its yield strength, whatever the friction.",
            torque.text
        )
    } else if most_of_low < LEAST_USE {
        let percent = most_of_low * 100.0;
        format!("{} uses {name} to {percent:.0} % of its yield strength at most.", torque.text)
    } else {
        return Ok(None);
    };
    let others = others(torque, |nm| {
        let (least, most) = used(usual, nm).unwrap_or((0.0, 0.0));
        most >= USUAL_USE.0 && least <= USUAL_USE.1
    });
    let help = match others.is_empty() {
        true => "Is number, unit and thread as in the source? If so, the maker's value holds."
            .to_owned(),
        false => format!(
            "Was {} meant? Look into the source; if it says {}, the maker's value holds.",
            others.join(" or "),
            torque.text
        ),
    };
    Ok(Some(Trouble::new(TroubleKind::Contradiction, "torque", message, help)))
}

/// What else it may have been: the decimal sign one place off, or another unit behind the same
/// number.
fn others(torque: &Torque, fits: impl Fn(f64) -> bool) -> Vec<String> {
    let Some(entry) = torque.entry_for(TorqueUnit::NewtonMetre) else { return Vec::new() };
    let aim = entry.aim();
    let mut found = Vec::new();
    let mut keep = |value: Option<Exact>, unit: TorqueUnit| {
        let nm = value.and_then(|value| value.times(unit.in_newton_metres()));
        if let (Some(value), Some(nm)) = (value, nm)
            && fits(nm.to_f64())
        {
            found.push(format!("{} {}", value.short(4), unit.symbol()));
        }
    };
    keep(aim.over(Exact::whole(10)), entry.unit);
    keep(aim.times(Exact::whole(10)), entry.unit);
    let units = [
        TorqueUnit::NewtonMetre,
        TorqueUnit::PoundForceFoot,
        TorqueUnit::PoundForceInch,
        TorqueUnit::KilogramForceMetre,
        TorqueUnit::KilogramForceCentimetre,
    ];
    for unit in units.into_iter().filter(|unit| *unit != entry.unit) {
        keep(Some(aim), unit);
    }
    found
}

/// What a thread in softer material stands, beside a preload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stripping {
    /// At this force the internal thread strips \[N\], by basic dimensions; a real one is some
    /// percent weaker.
    pub force_n: f64,
    /// The preload's share of it.
    pub share: f64,
}

/// Compares a preload \[N\] to what a tapped thread stands: length of engagement \[mm\], Rm of the
/// material \[MPa\], shear strength 0.6 Rm by custom (FED-STD-H28, basic dimensions).
///
/// # Errors
/// Says which field is wrong: `Le`, `Rm`, `preload`.
pub fn stripping(
    thread: &Thread,
    le_mm: f64,
    rm_mpa: f64,
    preload_n: f64,
) -> Result<Stripping, Trouble> {
    let tau = 0.6 * positive("Rm", rm_mpa)?;
    let force_n = strip_force_internal_n(thread, le_mm, tau)?;
    Ok(Stripping { force_n, share: positive("preload", preload_n)? / force_n })
}

/// Says in words what other friction does at the same torque; nothing is ever changed by it.
///
/// # Errors
/// Says which field is wrong.
///
/// ```
/// use lastbolt_tighten::{Screw, Thread, friction_explained};
/// let thread = Thread::read("M8").unwrap();
/// let screw = Screw { thread, class: None, friction: None, dkm_mm: None };
/// let text = friction_explained(&screw, 0.14, 0.10).unwrap();
/// assert!(text.starts_with("With friction 0.1 instead of 0.14 the same torque pulls 33 % more."));
/// ```
pub fn friction_explained(screw: &Screw<'_>, usual: f64, now: f64) -> Result<String, Trouble> {
    let dkm = dkm_of(screw, &mut Vec::new())?;
    let at = |mu: f64| preload_from_torque_n(&screw.thread, 1.0, mu, mu, dkm);
    let percent = (at(now)? / at(usual)? - 1.0) * 100.0;
    let more = if percent >= 0.0 { "more" } else { "less" };
    Ok(format!(
        "With friction {now} instead of {usual} the same torque pulls {:.0} % {more}. Oil, \
        grease, locking compound \
         and coatings change friction; the maker's value is for the state that the maker names. It \
         is not changed here: look up for which state it holds.",
        percent.abs()
    ))
}

//! The formula pair of VDI 2230: preload at a share of the yield strength, and the torque for a
//! preload.

use std::f64::consts::PI;

use crate::thread::Thread;
use crate::trouble::{Trouble, TroubleKind, shown};

/// The least and the largest coefficient of friction that is believed.
const FRICTION: (f64, f64) = (0.02, 0.8);

/// Checks a coefficient of friction.
///
/// # Errors
/// Says that it is nothing, below nothing, or no friction of a screw.
pub fn check_friction(field: &str, mu: f64) -> Result<f64, Trouble> {
    let wrong = |kind, message: String| {
        let help = "Friction of screws is between 0.04 and 0.4; 0.08 to 0.16 is usual.";
        Err(Trouble::new(kind, field, message, help))
    };
    if mu == 0.0 {
        return wrong(TroubleKind::Zero, "No screw is without friction.".to_owned());
    }
    if mu < 0.0 {
        return wrong(
            TroubleKind::Negative,
            "A coefficient of friction is not below nothing.".to_owned(),
        );
    }
    if !(FRICTION.0..=FRICTION.1).contains(&mu) {
        let message = format!("{mu} is no coefficient of friction of a screw.");
        return wrong(TroubleKind::OutOfRange, message);
    }
    Ok(mu)
}

/// Preload at which the screw, turning, is used to the share ν of Rp0.2 \[N\].
///
/// F_M = A_S · ν · Rp0.2 / √(1 + 3 · (3/2 · d2/dS · (P / (π d2) + 1.155 μ_G))²)
///
/// d2, dS, P \[mm\], A_S \[mm²\], Rp0.2 \[MPa\], μ_G friction in the thread. Range: 0.02 ≤ μ_G ≤
/// 0.8, 0 < ν ≤ 1, shank not reduced. Source: VDI 2230 part 1 (2003 and 2015), equation for F_M zul
/// with dS as the decisive diameter; table A1 is computed from it with ν = 0.9.
///
/// # Errors
/// Says which field is wrong: `mu_thread`, `Rp02`, `nu`.
///
/// ```
/// use lastbolt_tighten::{Thread, assembly_preload_n};
/// // VDI 2230:2015, worked example: M12, 8.8, friction 0.14: 41.9 kN. Matches within 0.3 %.
/// let m12 = Thread::read("M12").unwrap();
/// let preload = assembly_preload_n(&m12, 0.14, 640.0, 0.9).unwrap();
/// assert!((preload / 1000.0 / 41.9 - 1.0).abs() < 0.003);
/// ```
pub fn assembly_preload_n(
    thread: &Thread,
    mu_thread: f64,
    rp02_mpa: f64,
    nu: f64,
) -> Result<f64, Trouble> {
    check_friction("mu_thread", mu_thread)?;
    positive("Rp02", rp02_mpa)?;
    positive("nu", nu)?;
    if nu > 1.0 {
        let message = format!("A use of {nu} is more than the whole yield strength.");
        let help = "Write a share between 0 and 1; the tables have 0.9.";
        return Err(Trouble::new(TroubleKind::OutOfRange, "nu", message, help));
    }
    Ok(thread.stress_area_mm2() * nu * rp02_mpa / twist(thread, mu_thread))
}

/// How many times larger the stress is than by pulling alone.
fn twist(thread: &Thread, mu_thread: f64) -> f64 {
    let d2 = thread.d2_mm();
    let turning = 1.5 * d2 / thread.ds_mm() * (thread.pitch_mm / (PI * d2) + 1.155 * mu_thread);
    (1.0 + 3.0 * turning * turning).sqrt()
}

/// Gives how far the screw is used, of Rp0.2, when it has been tightened to a preload: the inverse
/// of [`assembly_preload_n`].
///
/// # Errors
/// As there.
pub fn use_of_yield(
    thread: &Thread,
    mu_thread: f64,
    rp02_mpa: f64,
    preload_n: f64,
) -> Result<f64, Trouble> {
    let whole = assembly_preload_n(thread, mu_thread, rp02_mpa, 1.0)?;
    Ok(preload_n / whole)
}

/// Torque for a preload \[N·m\].
///
/// M_A = F · (0.16 P + 0.58 d2 μ_G + D_Km/2 · μ_K) / 1000
///
/// F \[N\], P, d2, D_Km \[mm\] (D_Km: middle of the rubbing ring under the head, see
/// [`HeadShape`]), μ_G friction in the thread, μ_K under the head. Range: 0.02 ≤ μ ≤ 0.8. Source:
/// VDI 2230 part 1 (2003 and 2015).
///
/// # Errors
/// Says which field is wrong: `mu_thread`, `mu_head`, `FM_kN`, `DKm`.
///
/// ```
/// use lastbolt_tighten::{HeadShape, Thread, tightening_torque_nm};
/// // VDI 2230 (2001) values, M8x1, 8.8, friction 0.10: 20.7 kN and 22.8 N·m. Matches.
/// let (m8, head) = (Thread::read("M8x1").unwrap(), HeadShape::Hexagon);
/// let dkm = head.dkm_mm(&m8).unwrap();
/// let torque = tightening_torque_nm(&m8, 20_700.0, 0.10, 0.10, dkm).unwrap();
/// assert!((torque - 22.8).abs() < 0.05);
/// ```
pub fn tightening_torque_nm(
    thread: &Thread,
    preload_n: f64,
    mu_thread: f64,
    mu_head: f64,
    dkm_mm: f64,
) -> Result<f64, Trouble> {
    positive("FM_kN", preload_n)?;
    Ok(preload_n * torque_arm_mm(thread, mu_thread, mu_head, dkm_mm)? / 1000.0)
}

/// Preload from a torque \[N\]: the inverse of [`tightening_torque_nm`].
///
/// # Errors
/// As there.
pub fn preload_from_torque_n(
    thread: &Thread,
    torque_nm: f64,
    mu_thread: f64,
    mu_head: f64,
    dkm_mm: f64,
) -> Result<f64, Trouble> {
    positive("T", torque_nm)?;
    Ok(1000.0 * torque_nm / torque_arm_mm(thread, mu_thread, mu_head, dkm_mm)?)
}

fn torque_arm_mm(
    thread: &Thread,
    mu_thread: f64,
    mu_head: f64,
    dkm_mm: f64,
) -> Result<f64, Trouble> {
    check_friction("mu_thread", mu_thread)?;
    check_friction("mu_head", mu_head)?;
    positive("DKm", dkm_mm)?;
    Ok(0.16 * thread.pitch_mm + 0.58 * thread.d2_mm() * mu_thread + dkm_mm / 2.0 * mu_head)
}

/// Checks that a number is above nothing and finite.
pub(crate) fn positive(field: &str, value: f64) -> Result<f64, Trouble> {
    if value.is_finite() && value > 0.0 {
        return Ok(value);
    }
    let kind = if value < 0.0 {
        TroubleKind::Negative
    } else if value == 0.0 {
        TroubleKind::Zero
    } else {
        TroubleKind::OutOfRange
    };
    let message = format!("{field} is {value}; it has to be above nothing.");
    Err(Trouble::new(kind, field, message, "Look whether a sign or a digit is wrong."))
}

/// The head or nut that turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeadShape {
    /// A hexagon head or nut, hole of medium fit.
    Hexagon,
}

/// d \[mm\], least bearing diameter dw (ISO 4014:2011, product grade A; M22: size 34), hole dh (ISO
/// 273:1979, medium). They were checked by computing the printed torques of VDI 2230 tables from
/// them.
const HEXAGON: [(f64, f64, f64); 11] = [
    (4.0, 5.88, 4.5),
    (5.0, 6.88, 5.5),
    (6.0, 8.88, 6.6),
    (8.0, 11.63, 9.0),
    (10.0, 14.63, 11.0),
    (12.0, 16.63, 13.5),
    (14.0, 19.64, 15.5),
    (16.0, 22.49, 17.5),
    (18.0, 25.34, 20.0),
    (20.0, 28.19, 22.0),
    (22.0, 31.71, 24.0),
];
const HEXAGON_24: (f64, f64, f64) = (24.0, 33.61, 26.0);

impl HeadShape {
    /// Reads "hex", "hexagon", "hex_washer".
    ///
    /// # Errors
    /// Says that it is not known.
    pub fn read(text: &str) -> Result<HeadShape, Trouble> {
        match text.trim().to_lowercase().as_str() {
            "hex" | "hexagon" | "hex_washer" | "hexagon head" | "hex head" => {
                Ok(HeadShape::Hexagon)
            }
            _ => Err(Trouble::new(
                TroubleKind::Unknown,
                "head",
                format!("\"{}\" is not known as a head.", shown(text)),
                "Write hex, or give DKm in millimetres: the middle of the ring under the head.",
            )),
        }
    }

    /// Gives the middle diameter of the ring that rubs \[mm\]: (dw + dh) / 2.
    ///
    /// # Errors
    /// Says that the size is not in the table.
    pub fn dkm_mm(self, thread: &Thread) -> Result<f64, Trouble> {
        let mut rows = HEXAGON.iter().chain(std::iter::once(&HEXAGON_24));
        match rows.find(|(d, ..)| (d - thread.d_mm).abs() < 1e-9) {
            Some((_, dw, dh)) => Ok((dw + dh) / 2.0),
            None => Err(Trouble::new(
                TroubleKind::OutOfRange,
                "thread",
                "Hexagon heads of this size are not in the table (M4 to M24).",
                "Give DKm in millimetres: the middle of the ring under the head.",
            )),
        }
    }
}

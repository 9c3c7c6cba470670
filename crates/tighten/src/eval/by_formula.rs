//! Quantities that are computed: each reads its inputs and calls one formula.

use std::f64::consts::PI;

use crate::eval::Answer;
use crate::eval::measure::Measure::{Angle, Area, Force, Give, Length, Stress, Torque};
use crate::eval::measure::leading;
use crate::eval::registry::{Call, Raw};
use crate::exact::Exact;
use crate::scan_torque::read_torque;
use crate::setting::{adapter_angle_error, lever_factor};
use crate::short_form::{PowerScrew, long_form_torque, short_form_torque};
use crate::strength::{Strength, strength};
use crate::strip;
use crate::thread::Thread;
use crate::trouble::{Trouble, TroubleKind, shown};
use crate::unit::TorqueUnit;
use crate::vdi2230::{self, HeadShape, positive};

type Found = Result<Raw, Trouble>;

/// What was taken from a table since the row does not say it.
#[derive(Default)]
struct Assumed {
    texts: Vec<String>,
    from_memory: bool,
}

impl Assumed {
    fn raw(self, number: f64) -> Raw {
        Raw { assumed: self.texts, from_memory: self.from_memory, ..Raw::from(number) }
    }

    fn of_class(&mut self, what: &str, value: f64, strength: &Strength) {
        let memory = if strength.from_memory { ", from memory" } else { "" };
        let (class, source) = (strength.class, strength.source);
        self.texts.push(format!("{what} = {value} MPa of class {class}: {source}{memory}"));
        self.from_memory |= strength.from_memory;
    }
}

fn class_of(call: &Call<'_>, thread: &Thread, instead_of: &str) -> Result<Strength, Trouble> {
    let class = call.inputs.text_of("class").ok_or_else(|| call.inputs.missing(instead_of))?;
    strength(class, thread.d_mm)
}

/// The strength that is named, else that of the class.
fn stress(
    call: &Call<'_>,
    name: &str,
    thread: &Thread,
    assumed: &mut Assumed,
    of: fn(&Strength) -> Option<f64>,
) -> Result<f64, Trouble> {
    if let Some(said) = call.inputs.measured(name, Stress, "MPa")? {
        // The class is read even then: one that does not exist is wrong.
        if call.inputs.text_of("class").is_some() {
            class_of(call, thread, name)?;
        }
        return positive(name, said);
    }
    let strength = class_of(call, thread, name)?;
    let value = of(&strength).ok_or_else(|| call.inputs.missing(name))?;
    assumed.of_class(name, value, &strength);
    Ok(value)
}

fn use_of_strength(call: &Call<'_>, assumed: &mut Assumed) -> Result<f64, Trouble> {
    if let Some(nu) = call.inputs.number("nu")? {
        return Ok(nu);
    }
    assumed.texts.push("nu = 0.9, as in the tables of VDI 2230".to_owned());
    Ok(0.9)
}

/// Friction in the thread.
fn mu_thread(call: &Call<'_>) -> Result<f64, Trouble> {
    friction(call, "mu_thread")
}

fn friction(call: &Call<'_>, own: &str) -> Result<f64, Trouble> {
    for name in [own, "mu_total", "mu"] {
        if let Some(mu) = call.inputs.number(name)? {
            return vdi2230::check_friction(name, mu);
        }
    }
    Err(call.inputs.missing("mu_total"))
}

fn preload_of_yield(
    call: &Call<'_>,
    thread: &Thread,
    assumed: &mut Assumed,
) -> Result<f64, Trouble> {
    let rp02 = stress(call, "Rp02", thread, assumed, |strength| Some(strength.rp02_mpa))?;
    let nu = use_of_strength(call, assumed)?;
    vdi2230::assembly_preload_n(thread, mu_thread(call)?, rp02, nu)
}

pub(super) fn assembly_preload(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let mut assumed = Assumed::default();
    let preload = preload_of_yield(call, &thread, &mut assumed)?;
    Ok(assumed.raw(preload))
}

/// The middle diameter of the ring under the head \[mm\].
fn dkm(call: &Call<'_>, thread: &Thread) -> Result<f64, Trouble> {
    if let Some(hole) = call.inputs.text_of("hole")
        && !hole.to_lowercase().contains("medium")
    {
        return Err(Trouble::new(
            TroubleKind::Unknown,
            "hole",
            format!("Only holes of medium fit are known, not \"{}\".", shown(hole)),
            "Give DKm in millimetres instead of head and hole.",
        ));
    }
    let name = call.inputs.text_of("DKm");
    match name {
        Some(text) if text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == '-') => {
            positive("DKm", call.inputs.need_measured("DKm", Length, "mm")?)
        }
        Some(text) => in_field("DKm", HeadShape::read(text))?.dkm_mm(thread),
        None => match call.inputs.measured("DKm", Length, "mm")? {
            Some(given) => positive("DKm", given),
            None => HeadShape::read(call.inputs.need("head")?)?.dkm_mm(thread),
        },
    }
}

fn in_field<T>(field: &str, read: Result<T, Trouble>) -> Result<T, Trouble> {
    read.map_err(|trouble| Trouble { field: field.to_owned(), ..trouble })
}

pub(super) fn tightening_torque(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let mut assumed = Assumed::default();
    let (in_thread, under_head) = (mu_thread(call)?, friction(call, "mu_head")?);
    let preload = match call.inputs.measured("FM", Force, "kN")? {
        Some(given) => given,
        None => preload_of_yield(call, &thread, &mut assumed)?,
    };
    let dkm = dkm(call, &thread)?;
    let torque = vdi2230::tightening_torque_nm(&thread, preload, in_thread, under_head, dkm);
    // The rows speak of the preload as FM_kN.
    Ok(assumed.raw(torque?))
}

pub(super) fn preload_from_torque(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let torque = call.inputs.need_measured("T", Torque, "N.m")?;
    let (in_thread, under_head) = (mu_thread(call)?, friction(call, "mu_head")?);
    let dkm = dkm(call, &thread)?;
    Ok(vdi2230::preload_from_torque_n(&thread, torque, in_thread, under_head, dkm)?.into())
}

/// F_min = F_max / α_A (VDI 2230): what is left at least, by the scatter of the way of tightening.
pub(super) fn min_preload(call: &Call<'_>) -> Found {
    let most = positive("FM_max_kN", call.inputs.need_measured("FM_max", Force, "kN")?)?;
    let factor = call.inputs.need_number("alpha_A")?;
    if factor < 1.0 {
        let message = format!("alpha_A is {factor}; the most preload is never below the least.");
        let help = "It is between 1 and about 4.";
        return Err(Trouble::new(TroubleKind::OutOfRange, "alpha_A", message, help));
    }
    Ok((most / factor).into())
}

pub(super) fn stress_area(call: &Call<'_>) -> Found {
    Ok(call.inputs.thread()?.stress_area_mm2().into())
}

pub(super) fn pitch_diameter(call: &Call<'_>) -> Found {
    Ok(call.inputs.thread()?.d2_mm().into())
}

pub(super) fn minor_bolt(call: &Call<'_>) -> Found {
    Ok(call.inputs.thread()?.d3_mm().into())
}

pub(super) fn minor_nut(call: &Call<'_>) -> Found {
    Ok(call.inputs.thread()?.minor_nut_mm().into())
}

pub(super) fn lead_angle(call: &Call<'_>) -> Found {
    Ok(call.inputs.thread()?.lead_angle_deg().into())
}

/// The stress area as ISO 898-1 prints it and computes its loads from: three figures.
fn printed_area(thread: &Thread) -> f64 {
    let area = thread.stress_area_mm2();
    let scale = 10_f64.powf(2.0 - area.log10().floor());
    (area * scale).round() / scale
}

/// F_p = As · Sp, As as printed.
pub(super) fn proof_load(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let mut assumed = Assumed::default();
    let sp = stress(call, "Sp", &thread, &mut assumed, |strength| strength.sp_mpa)?;
    Ok(assumed.raw(printed_area(&thread) * sp))
}

/// F_m = As · Rm, As as printed.
pub(super) fn ultimate_load(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let mut assumed = Assumed::default();
    let rm = stress(call, "Rm_min", &thread, &mut assumed, |strength| Some(strength.rm_mpa))?;
    Ok(assumed.raw(printed_area(&thread) * rm))
}

/// F = share · As · Sp.
pub(super) fn share_of_proof(call: &Call<'_>) -> Found {
    let mut assumed = Assumed::default();
    let given = call.inputs.measured("As", Area, "mm2")?;
    let thread = call.inputs.thread();
    let area = match (given, &thread) {
        (Some(area), _) => positive("As", area)?,
        (None, Ok(thread)) => thread.stress_area_mm2(),
        (None, Err(trouble)) => return Err(trouble.clone()),
    };
    let sp = match (call.inputs.measured("Sp", Stress, "MPa")?, &thread) {
        (Some(sp), _) => positive("Sp", sp)?,
        (None, Ok(thread)) => stress(call, "Sp", thread, &mut assumed, |strength| strength.sp_mpa)?,
        (None, Err(_)) => return Err(call.inputs.missing("Sp")),
    };
    let share = match call.inputs.number("fraction")? {
        Some(share) => positive("fraction", share)?,
        None => {
            assumed.texts.push("fraction = 0.7, as the name says".to_owned());
            0.7
        }
    };
    Ok(assumed.raw(share * area * sp))
}

pub(super) fn short_form(call: &Call<'_>) -> Found {
    let d_mm = match call.inputs.measured("d", Length, "mm")? {
        Some(d) => d,
        None => call.inputs.thread().map_err(|_| call.inputs.missing("d_mm"))?.d_mm,
    };
    let force_n = call.inputs.need_measured("F", Force, "N")?;
    let torque = short_form_torque(call.inputs.need_number("K")?, d_mm, force_n)?;
    Ok((torque / 1000.0).into())
}

pub(super) fn long_form(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    // Bare lengths are in the thread's own unit.
    let unit = if thread.is_inch { "in" } else { "mm" };
    let dm = call.inputs.need_measured("dm", Length, unit)?;
    let collar = call.inputs.need("collar")?;
    let collar_radius = match leading("collar", collar)? {
        (times, rest) if rest.eq_ignore_ascii_case("d") => times * thread.d_mm,
        _ => call.inputs.need_measured("collar", Length, unit)?,
    };
    let screw = PowerScrew {
        preload: call.inputs.need_measured("F", Force, "N")?,
        dm,
        lead: thread.pitch_mm,
        f: call.inputs.need_number("f")?,
        fc: call.inputs.need_number("fc")?,
        collar_radius,
    };
    Ok((long_form_torque(&screw)? / 1000.0).into())
}

/// An input as an exact number, if it is a plain decimal.
fn exact(value: f64) -> Result<Exact, Trouble> {
    Exact::near(value).ok_or_else(|| {
        let message = format!("{value} is too large to be worked with.");
        Trouble::new(TroubleKind::OutOfRange, "inputs", message, "Look whether it is right.")
    })
}

fn factor(call: &Call<'_>) -> Result<f64, Trouble> {
    let length = call.inputs.need_measured("L", Length, "mm")?;
    let adapter = call.inputs.need_measured("E", Length, "mm")?;
    let degrees = call.inputs.need_measured("angle", Angle, "deg")?;
    Ok(lever_factor(exact(length)?, exact(adapter)?, degrees)?.to_f64())
}

/// The torque of an input, in N·m.
fn torque_of(call: &Call<'_>, name: &str) -> Result<f64, Trouble> {
    positive(name, call.inputs.need_measured(name, Torque, "N.m")?)
}

pub(super) fn wrench_setting(call: &Call<'_>) -> Found {
    Ok((torque_of(call, "T")? / factor(call)?).into())
}

pub(super) fn applied_torque(call: &Call<'_>) -> Found {
    let set = torque_of(call, "set")?;
    let Some(first) = call.inputs.measured("L1", Length, "mm")? else {
        return Ok((set * factor(call)?).into());
    };
    let whole = positive("L2", call.inputs.need_measured("L2", Length, "mm")?)?;
    Ok((set * whole / positive("L1", first)?).into())
}

pub(super) fn adapter_error(call: &Call<'_>) -> Found {
    let (length, adapter) = match call.inputs.number("E/L")? {
        Some(ratio) => (1.0, ratio),
        None => match call.inputs.measured("E", Length, "mm")? {
            Some(adapter) => (call.inputs.need_measured("L", Length, "mm")?, adapter),
            None => return Err(call.inputs.missing("E/L")),
        },
    };
    let degrees = call.inputs.need_measured("angle", Angle, "deg")?;
    let error = adapter_angle_error(exact(length)?, exact(adapter)?, 90.0, degrees)?;
    Ok((error / 100.0).into())
}

/// A torque into the unit that is wanted, exactly.
pub(super) fn unit(call: &Call<'_>) -> Found {
    let text = match call.inputs.unnamed().first() {
        Some(text) => text,
        None => call.inputs.need("T")?,
    };
    let torque = in_field("inputs", read_torque(text))?;
    if let Some(question) = torque.question() {
        return Err(Trouble { field: "inputs".to_owned(), ..question });
    }
    let value = torque.aim_in(TorqueUnit::NewtonMetre);
    let value = value.ok_or_else(|| call.inputs.missing("inputs"))?;
    Ok(value.to_f64().into())
}

/// The shear strength: tau in MPa, or "0.6*Rm".
fn tau(call: &Call<'_>, rm: f64, assumed: &mut Assumed) -> Result<f64, Trouble> {
    let Some(text) = call.inputs.text_of("tau") else {
        assumed.texts.push("tau = 0.6 Rm, by custom".to_owned());
        return Ok(0.6 * rm);
    };
    let (number, rest) = leading("tau", text)?;
    let word = rest.trim_start_matches(['*', '·', ' ']).to_lowercase();
    if word.starts_with("rm") {
        return positive("tau", number * rm);
    }
    positive("tau", call.inputs.need_measured("tau", Stress, "MPa")?)
}

/// Only basic dimensions are known here.
fn only_basic(call: &Call<'_>) {
    // "basic dims" and the thread stand without a name.
    call.inputs.unnamed();
}

pub(super) fn min_engagement(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    only_basic(call);
    let mut assumed = Assumed::default();
    let rm_tapped = call.inputs.need_measured("Rm_tapped", Stress, "MPa")?;
    let tau = tau(call, positive("Rm_tapped", rm_tapped)?, &mut assumed)?;
    let rm_bolt = call.inputs.need_measured("Rm_bolt", Stress, "MPa")?;
    let factor = call.inputs.number("SF")?.unwrap_or_else(|| {
        assumed.texts.push("SF = 1".to_owned());
        1.0
    });
    let length = strip::min_engagement_tapped_mm(&thread, rm_bolt, tau, factor)?;
    Ok(assumed.raw(length))
}

pub(super) fn strip_force(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    let mut assumed = Assumed::default();
    let rm = positive("Rm", call.inputs.need_measured("Rm", Stress, "MPa")?)?;
    let tau = tau(call, rm, &mut assumed)?;
    let length = call.inputs.need_measured("Le", Length, "mm")?;
    Ok(assumed.raw(strip::strip_force_internal_n(&thread, length, tau)?))
}

pub(super) fn h28_engagement(call: &Call<'_>) -> Found {
    let thread = call.inputs.thread()?;
    only_basic(call);
    let area = call.inputs.measured("At", Area, "mm2")?;
    let area = area.unwrap_or_else(|| thread.stress_area_mm2());
    Ok(strip::h28_min_engagement_mm(&thread, area)?.into())
}

pub(super) fn angle_preload(call: &Call<'_>) -> Found {
    let pitch = match call.inputs.measured("P", Length, "mm")? {
        Some(pitch) => pitch,
        None => call.inputs.thread().map_err(|_| call.inputs.missing("P"))?.pitch_mm,
    };
    let degrees = call.inputs.need_measured("angle", Angle, "deg")?;
    let give = call.inputs.need_measured("dS+dP", Give, "mm/N")?;
    Ok(strip::angle_preload_n(pitch, degrees, give)?.into())
}

fn radius(call: &Call<'_>) -> Result<f64, Trouble> {
    let plain = call.inputs.measured("hole r", Length, "mm")?;
    let radius = match plain {
        Some(radius) => radius,
        None => call.inputs.need_measured("r", Length, "mm")?,
    };
    positive("r", radius)
}

/// The ring of the holes' width: 2 π R · 2 r.
pub(super) fn annulus(call: &Call<'_>) -> Found {
    call.inputs.unnamed();
    let circle = positive("R", call.inputs.need_measured("R", Length, "mm")?)?;
    Ok((2.0 * PI * circle * 2.0 * radius(call)?).into())
}

/// The holes: n π r².
pub(super) fn holes(call: &Call<'_>) -> Found {
    let count = positive("n", call.inputs.need_number("n")?)?;
    Ok((count * PI * radius(call)?.powi(2)).into())
}

/// What is left of the ring: (annulus - holes) / annulus.
fn ligament_ratio(call: &Call<'_>) -> Result<f64, Trouble> {
    call.inputs.unnamed();
    let annulus = match call.inputs.measured("annulus", Area, "mm2")? {
        Some(annulus) => annulus,
        None => call.other("bolt_circle_annulus_area", "annulus")?,
    };
    let holes = match call.inputs.measured("holes", Area, "mm2")? {
        Some(holes) => holes,
        None => call.other("bolt_hole_area_total", "holes")?,
    };
    let ratio = 1.0 - holes / positive("annulus", annulus)?;
    if ratio <= 0.0 {
        let message = "The holes are larger than the ring they stand in.";
        let help = "Look whether R, r and n are right.";
        return Err(Trouble::new(TroubleKind::Contradiction, "holes", message, help));
    }
    Ok(ratio)
}

pub(super) fn ligament(call: &Call<'_>) -> Found {
    Ok(ligament_ratio(call)?.into())
}

/// The modulus of a solid ring that is as stiff as the one with holes: E · ratio.
pub(super) fn reduced_modulus(call: &Call<'_>) -> Found {
    let modulus = positive("E", call.inputs.need_measured("E", Stress, "MPa")?)?;
    let ratio = match call.inputs.number("ratio")? {
        Some(ratio) => positive("ratio", ratio)?,
        None => call.other("ligament_ratio", "ratio")?,
    };
    Ok((modulus * ratio).into())
}

/// E / t.
pub(super) fn gasket(call: &Call<'_>) -> Found {
    let modulus = positive("E", call.inputs.need_measured("E", Stress, "MPa")?)?;
    let thickness = positive("t", call.inputs.need_measured("t", Length, "mm")?)?;
    let raw = Raw::from(modulus / thickness);
    debug_assert!(matches!(raw.answer, Answer::Number(_)));
    Ok(raw)
}

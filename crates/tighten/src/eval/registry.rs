//! Which quantities there are, and what each is computed from.

use crate::eval::inputs::Inputs;
use crate::eval::measure::{self, Measure};
use crate::eval::{Answer, Computed, How, Row, by_formula as f, by_model as m, by_table as t};
use crate::trouble::{Trouble, TroubleKind, shown};
use crate::unit::TorqueUnit;

/// A quantity that can be asked for.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    /// Its name.
    pub name: &'static str,
    /// Its inputs; in brackets what may be left out.
    pub inputs: &'static str,
    /// Its usual unit.
    pub unit: &'static str,
    /// Source and edition.
    pub source: &'static str,
    measure: Measure,
    how: How,
    compute: fn(&Call<'_>) -> Result<Raw, Trouble>,
}

/// One row that is being computed.
pub(super) struct Call<'a> {
    pub(super) inputs: Inputs<'a>,
    pub(super) quantity: &'static Quantity,
    rows: &'a [Row<'a>],
    number: usize,
    depth: usize,
}

/// An answer in the base unit of its measure.
pub(super) struct Raw {
    pub(super) answer: Answer,
    pub(super) assumed: Vec<String>,
    pub(super) from_memory: bool,
    /// Instead of the quantity's own.
    pub(super) source: Option<String>,
    /// Instead of the one that is wanted: a table's own unit.
    pub(super) unit: Option<String>,
}

impl From<f64> for Raw {
    fn from(number: f64) -> Raw {
        Raw {
            answer: Answer::Number(number),
            assumed: Vec::new(),
            from_memory: false,
            source: None,
            unit: None,
        }
    }
}

const VDI: &str = "VDI 2230 part 1 (2003, 2015)";
const ISO_898: &str = "ISO 898-1:2013";
const ISO_724: &str = "ISO 724:1993";
const H28: &str = "FED-STD-H28 (1969)";
const STATICS: &str = "statics of the lever";
const SHIGLEY: &str = "Shigley, Mechanical Engineering Design";
const CIRCLE: &str = "geometry of the bolt circle";
const MODEL: &str = "linear spring model, docs/methods.md";
const TABLE: &str = "a published table";

macro_rules! quantities {
    ($($name:literal, $inputs:literal, $unit:literal, $source:expr, $measure:ident, $how:ident,
       $compute:path;)*) => {
        &[$(Quantity {
            name: $name, inputs: $inputs, unit: $unit, source: $source,
            measure: Measure::$measure, how: How::$how, compute: $compute,
        }),*]
    };
}

/// Every quantity that can be asked for.
pub const QUANTITIES: &[Quantity] = quantities! {
    "assembly_preload_FM", "thread; mu_total or mu_thread; Rp02 or class; [nu=0.9]", "kN", VDI,
    Force,
        Formula, f::assembly_preload;
    "tightening_torque_MA", "thread; mu_total, or mu_thread and mu_head; FM, or Rp02 or class and \
        [nu=0.9]; head or DKm; [hole]", "N.m", VDI, Torque, Formula, f::tightening_torque;
    "preload_from_torque", "thread; T; mu_total, or mu_thread and mu_head; head or DKm", "kN", VDI,
        Force, Formula, f::preload_from_torque;
    "min_preload_after_scatter", "FM_max; alpha_A", "kN", VDI, Force, Formula, f::min_preload;
    "stress_area_As", "thread", "mm2", ISO_898, Area, Formula, f::stress_area;
    "d2_pitch_dia", "thread", "mm", ISO_724, Length, Formula, f::pitch_diameter;
    "d3_minor_bolt", "thread", "mm", ISO_724, Length, Formula, f::minor_bolt;
    "D1_minor_nut", "thread", "mm", ISO_724, Length, Formula, f::minor_nut;
    "lead_angle", "thread", "deg", ISO_724, Angle, Formula, f::lead_angle;
    "proof_load", "thread; Sp or class", "N", ISO_898, Force, Formula, f::proof_load;
    "min_ultimate_tensile_load", "thread; Rm_min or class", "N", ISO_898, Force, Formula,
        f::ultimate_load;
    "preload_70pct_proof", "thread or As; Sp or class; [fraction=0.7]", "kN",
        "a share of the proof load; common practice", Force, Formula, f::share_of_proof;
    "short_form_torque", "K; d; F", "N.m", SHIGLEY, Torque, Formula, f::short_form;
    "long_form_torque", "thread; F; dm; f; fc; collar", "N.m", SHIGLEY, Torque, Formula,
    f::long_form;
    "wrench_setting", "T; L; E; angle", "N.m", STATICS, Torque, Formula, f::wrench_setting;
    "applied_torque", "set; L, E and angle, or L1 and L2 (to the screw)", "N.m", STATICS, Torque,
        Formula, f::applied_torque;
    "adapter_angle_error_if_set_for_90", "E/L, or E and L; angle", "%", STATICS, Plain, Formula,
        f::adapter_error;
    "unit", "a torque: 1 lbf.ft", "N.m", "exact constants: CGPM 1901, yard and pound 1959", Torque,
        Formula, f::unit;
    "min_engagement_tapped", "thread; Rm_bolt; Rm_tapped; [tau=0.6*Rm]; [SF=1]", "mm", H28, Length,
        Formula, f::min_engagement;
    "strip_force_internal", "thread; Le; Rm; [tau=0.6*Rm]", "kN", H28, Force, Formula,
    f::strip_force;
    "h28_min_engagement_equal_material", "thread; [At]", "mm", H28, Length, Formula,
    f::h28_engagement;
    "angle_tightening_preload", "P or thread; angle; dS+dP", "kN", VDI, Force, Formula,
        f::angle_preload;
    "bolt_circle_annulus_area", "R; r", "mm2", CIRCLE, Area, Formula, f::annulus;
    "bolt_hole_area_total", "n; r", "mm2", CIRCLE, Area, Formula, f::holes;
    "ligament_ratio", "[annulus and holes]; else those two rows", "-", CIRCLE, Plain, Formula,
        f::ligament;
    "reduced_modulus", "E; [ratio]; else the row ligament_ratio", "MPa", CIRCLE, Stress, Formula,
        f::reduced_modulus;
    "gasket_normal_stiffness", "E; t", "GPa/mm", "E / t", Stiffness, Formula, f::gasket;
    "friction_class_range", "class", "-", TABLE, Plain, Table, t::by_class;
    "preload_scatter_band", "method", "+-%", TABLE, Plain, Table, t::by_method;
    "preload_scatter", "method", "+-%", TABLE, Plain, Table, t::by_method;
    "preload_scatter_range_all_methods", "the edition, as printed", "+-%", TABLE, Plain, Table,
        t::by_text;
    "min_engagement_rule", "material; bolt", "x d", TABLE, Plain, Table, t::engagement;
    "pcc1_table1_target_torque", "bolt_in; prestress_ksi; coating", "lbf.ft", TABLE, Torque, Table,
        t::pcc1;
    "ei_two_bolts_first_after_second", "kb; c11; c12; T", "kN", MODEL, Force, Formula, m::elastic;
    "ei_three_in_row_123", "kb; c; rho; T; [order]", "kN", MODEL, Force, Formula, m::elastic;
    "ei_three_in_row_213", "kb; c; rho; T; [order]", "kN", MODEL, Force, Formula, m::elastic;
    "ei_ring8_star_pass1", "kb; c; rho; T; [order]", "kN", MODEL, Force, Formula, m::elastic;
    "ei_ring8_star_range_by_pass", "kb; c; rho; T; [order]; or same", "%", MODEL, Plain,
        Formula, m::elastic;
    "ei_ring8_clockwise_range_by_pass", "kb; c; rho; T; [order]; or same", "%", MODEL,
        Plain, Formula, m::elastic;
    "ei_ring8_compensated_initial_star", "kb; c; rho; T; or those of another row", "kN",
        MODEL, Force, Formula, m::compensated;
    "cross_sequence", "n", "order", "published cross patterns; ASME PCC-1, legacy", Plain, Table,
        t::cross_sequence;
    "pass_fractions", "the practice, as printed", "%", TABLE, Plain, Table, t::by_text;
    "elastic_interaction_loss", "the test, as printed", "%", TABLE, Plain, Table, t::by_text;
};

/// Other layouts of the model: four_in_row, ring12 and the like.
const LAYOUTS: &[Quantity] = quantities! {
    "ei_LAYOUT_ORDER", "kb; c; rho; T; [order]; or same", "kN", MODEL, Force, Formula, m::elastic;
    "ei_LAYOUT_range_by_pass", "kb; c; rho; T; [order]; or same", "%", MODEL, Plain, Formula,
        m::elastic;
};

/// How far rows may point at rows.
const DEPTH_MAX: usize = 4;

/// Computes one row.
pub(super) fn compute(rows: &[Row<'_>], number: usize) -> Result<Computed, Trouble> {
    let call = call(rows, number, 0)?;
    let raw = (call.quantity.compute)(&call)?;
    finish(&call, raw, rows[number].unit)
}

fn call<'a>(rows: &'a [Row<'a>], number: usize, depth: usize) -> Result<Call<'a>, Trouble> {
    let row = &rows[number];
    let name = row.quantity.trim();
    let exact = QUANTITIES.iter().find(|quantity| quantity.name == name);
    let loose = || QUANTITIES.iter().find(|quantity| quantity.name.eq_ignore_ascii_case(name));
    let layout = || {
        let is_spread = usize::from(name.ends_with("_range_by_pass"));
        LAYOUTS.get(is_spread).filter(|_| name.starts_with("ei_"))
    };
    let quantity = exact.or_else(loose).or_else(layout).ok_or_else(|| unknown(name))?;
    Ok(Call { inputs: Inputs::of(row.inputs)?, quantity, rows, number, depth })
}

fn unknown(name: &str) -> Trouble {
    if name.is_empty() {
        let help = "Name one of the quantities that lastbolt tighten eval --list gives.";
        return Trouble::new(TroubleKind::Missing, "quantity", "The row names no quantity.", help);
    }
    let common = |known: &str| known.bytes().zip(name.bytes()).take_while(|(a, b)| a == b).count();
    let near = QUANTITIES.iter().map(|quantity| quantity.name).max_by_key(|known| common(known));
    let help = match near.filter(|known| common(known) >= 4) {
        Some(near) => format!("Was \"{near}\" meant? lastbolt tighten eval --list gives all."),
        None => "lastbolt tighten eval --list gives all quantities.".to_owned(),
    };
    let message = format!("\"{}\" is not known as a quantity.", shown(name));
    Trouble::new(TroubleKind::Unknown, "quantity", message, help)
}

fn finish(call: &Call<'_>, raw: Raw, wanted: &str) -> Result<Computed, Trouble> {
    let quantity = call.quantity;
    let (answer, unit) = match (raw.unit, wanted.trim()) {
        (Some(own), wanted) => in_own_unit(quantity, raw.answer, own, wanted)?,
        (None, "") => {
            (scaled(raw.answer, unit_factor(quantity, quantity.unit)?), quantity.unit.into())
        }
        (None, wanted) => (scaled(raw.answer, unit_factor(quantity, wanted)?), wanted.to_owned()),
    };
    Ok(Computed {
        answer,
        unit,
        how: quantity.how,
        source: raw.source.unwrap_or_else(|| quantity.source.to_owned()),
        assumed: raw.assumed,
        from_memory: raw.from_memory,
        not_used: call.inputs.not_used(),
    })
}

/// A table's figure keeps its unit, but a torque goes into the one that is wanted.
fn in_own_unit(
    quantity: &Quantity,
    answer: Answer,
    own: String,
    wanted: &str,
) -> Result<(Answer, String), Trouble> {
    if quantity.measure != Measure::Torque || wanted.is_empty() {
        return Ok((answer, own));
    }
    let factor = unit_factor(quantity, wanted)? / unit_factor(quantity, &own)?;
    let same = TorqueUnit::read(wanted) == TorqueUnit::read(&own);
    Ok((if same { answer } else { scaled(answer, factor) }, wanted.to_owned()))
}

fn scaled(answer: Answer, factor: f64) -> Answer {
    match answer {
        Answer::Number(number) => Answer::Number(number / factor),
        Answer::Numbers(numbers) => Answer::Numbers(numbers.iter().map(|n| n / factor).collect()),
        Answer::Text(text) => Answer::Text(text),
    }
}

fn unit_factor(quantity: &Quantity, unit: &str) -> Result<f64, Trouble> {
    // "kN in tightening order", "% (max-min)/mean": what stands behind the unit is a remark.
    let first = unit.split_whitespace().next().unwrap_or_default();
    let found = measure::factor(quantity.measure, unit);
    found.or_else(|| measure::factor(quantity.measure, first)).ok_or_else(|| {
        let known = measure::known(quantity.measure);
        Trouble::new(
            TroubleKind::NoUnit,
            "unit",
            format!("\"{}\" is no unit of {}.", shown(unit), quantity.name),
            format!("Known are {known}; leave it empty for {}.", quantity.unit),
        )
    })
}

impl<'a> Call<'a> {
    /// Gives the name of the quantity as it is known, else as the row has it.
    pub(super) fn name(&self) -> &'a str {
        if self.quantity.name.contains("LAYOUT") {
            return self.rows[self.number].quantity.trim();
        }
        self.quantity.name
    }

    /// Gives the inputs of another row whose quantity begins like this and that has this input: of
    /// the nearest before this one, else of the first behind.
    pub(super) fn sibling(&self, like: &str, input: &str) -> Option<&'a str> {
        let begin = format!("{input}=");
        let is_it = |number: &usize| {
            let row = &self.rows[*number];
            let has = row.inputs.split(';').any(|part| part.trim().starts_with(&begin));
            has && row.quantity.trim().starts_with(like)
        };
        let before = (0..self.number).rev().find(is_it);
        let number = before.or_else(|| (self.number + 1..self.rows.len()).find(is_it))?;
        Some(self.rows[number].inputs)
    }

    /// Gives what another row of the table has for a quantity: the nearest before this one, else
    /// the first one behind; in the base unit of its measure.
    ///
    /// # Errors
    /// Says that there is no such row, or what is wrong with it.
    pub(super) fn other(&self, quantity: &str, field: &str) -> Result<f64, Trouble> {
        let is_it = |number: &usize| self.rows[*number].quantity.trim() == quantity;
        let before = (0..self.number).rev().find(is_it);
        let number = before.or_else(|| (self.number + 1..self.rows.len()).find(is_it));
        let number = number.filter(|_| self.depth < DEPTH_MAX).ok_or_else(|| {
            Trouble::new(
                TroubleKind::Missing,
                field,
                format!("Neither {field} nor a row {quantity} is given."),
                format!("Add {field}=... to the inputs, or a row {quantity} to the table."),
            )
        })?;
        let call = call(self.rows, number, self.depth + 1)?;
        match (call.quantity.compute)(&call)?.answer {
            Answer::Number(number) => Ok(number),
            _ => Err(self.inputs.missing(field)),
        }
    }
}

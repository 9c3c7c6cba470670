//! Which of the wrenches that are there can do a torque, and what each is set to.

use crate::class::Tolerance;
use crate::exact::Exact;
use crate::setting::{adapter_angle_error, lever_factor};
use crate::torque::Torque;
use crate::trouble::{Trouble, TroubleKind};
use crate::unit::TorqueUnit;
use crate::wrench::{Held, Wrench};

/// What a wrench is set to.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// What it would be set to if its scale had every value, in its unit.
    pub wanted: Exact,
    /// What it is set to: the nearest mark of its scale; halfway, the lower.
    pub set: Exact,
    /// The unit of its scale.
    pub unit: TorqueUnit,
    /// What the screw gets with the wrench set like that, in the wrench's unit.
    pub applied: Exact,
    /// How far that is from what the maker asks \[percent\].
    pub off_percent: f64,
    /// How far off the wrench may be, if its class is known.
    pub tolerance: Option<Tolerance>,
    /// What the screw gets at least and at most by that tolerance, in the wrench's unit.
    pub band: Option<(Exact, Exact)>,
    /// What to look at.
    pub warnings: Vec<Warning>,
}

/// Something to look at before this wrench is used.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    /// What it is about.
    pub kind: WarningKind,
    /// One or two sentences.
    pub text: String,
}

/// What a warning is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum WarningKind {
    /// Near the lowest mark.
    LowEnd,
    /// Near the largest mark.
    HighEnd,
    /// The nearest mark is far from what is asked.
    Coarse,
    /// With the wrench's tolerance the screw may get less or more than the maker allows.
    BeyondMakersRange,
    /// The class is not known: no band can be shown.
    NoClass,
    /// The tolerance stands here from memory.
    FromMemory,
    /// The adapter changes the value, and how much depends on how it is held.
    AdapterAngle,
}

/// What every wrench can do for one torque.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The wrenches that can do it, by their number, the one to take first first.
    pub fits: Vec<(usize, Setting)>,
    /// Those that cannot, and why.
    pub refused: Vec<(usize, Trouble)>,
}

impl Choice {
    /// Gives the sentence for the plan when no wrench can do it.
    pub fn nothing_fits(&self, torque: &Torque, wrenches: &[Wrench]) -> Option<Trouble> {
        if !self.fits.is_empty() {
            return None;
        }
        if let Some(question) = torque.question() {
            return Some(question);
        }
        let each: Vec<String> = self
            .refused
            .iter()
            .filter_map(|(number, why)| {
                Some(format!("{}: {}", wrenches.get(*number)?.name, why.message))
            })
            .collect();
        let (message, help) = match each.is_empty() {
            true => (
                format!("The garage lists no torque wrench; {} is asked.", torque.text),
                "List the wrench, borrow one, or record the joint as not measured.",
            ),
            false => (
                format!("No wrench of the garage can do {}. {}", torque.text, each.join(" ")),
                "Borrow one whose range has this value in its middle, before the job begins.",
            ),
        };
        Some(Trouble::new(TroubleKind::NoWrench, "wrench", message, help))
    }
}

/// Tells what each wrench is set to for a torque, with an adapter as it is held, if there is one.
///
/// Refused is what lies outside of the marked range. Of those that can do it, first come those
/// without a warning about their range, then those that come nearest to what is asked, their
/// tolerance included, then those that have it nearest to the middle of their scale.
pub fn choose(torque: &Torque, wrenches: &[Wrench], held: Option<&Held>) -> Choice {
    let mut choice = Choice { fits: Vec::new(), refused: Vec::new() };
    for (number, wrench) in wrenches.iter().enumerate() {
        match setting(torque, wrench, held) {
            Ok(setting) => choice.fits.push((number, setting)),
            Err(trouble) => choice.refused.push((number, trouble)),
        }
    }
    let at_an_end = |setting: &Setting| {
        let ends = [WarningKind::LowEnd, WarningKind::HighEnd, WarningKind::Coarse];
        setting.warnings.iter().any(|warning| ends.contains(&warning.kind))
    };
    let reach = |setting: &Setting| {
        let tolerance = setting.tolerance.as_ref().map_or(6.0, |t| t.percent.to_f64());
        setting.off_percent.abs() + tolerance
    };
    let from_middle = |number: usize, setting: &Setting| {
        let (low, high) = (wrenches[number].low.to_f64(), wrenches[number].high.to_f64());
        (2.0 * (setting.wanted.to_f64() - low) / (high - low) - 1.0).abs()
    };
    choice.fits.sort_by(|(m, a), (n, b)| {
        let ends = at_an_end(a).cmp(&at_an_end(b));
        let reaches = reach(a).total_cmp(&reach(b));
        ends.then(reaches).then(from_middle(*m, a).total_cmp(&from_middle(*n, b)))
    });
    choice
}

/// Gives what one wrench is set to.
///
/// # Errors
/// Says why it cannot be used: outside of its marked range, no length known for an adapter, an
/// adapter that takes its length away, or a torque of which it is open what holds.
pub fn setting(torque: &Torque, wrench: &Wrench, held: Option<&Held>) -> Result<Setting, Trouble> {
    if let Some(question) = torque.question() {
        return Err(question);
    }
    let factor = held.map_or(Ok(Exact::ONE), |held| factor_of(wrench, held))?;
    let asked = torque.aim_in(wrench.unit).ok_or_else(too_many_digits)?;
    let wanted = divided(asked, factor).ok_or_else(too_many_digits)?;
    in_range(wanted, wrench)?;
    let set = on_scale(wanted, wrench).ok_or_else(too_many_digits)?;
    let applied = multiplied(set, factor).ok_or_else(too_many_digits)?;
    let off_percent = 100.0 * (applied.to_f64() / asked.to_f64() - 1.0);
    let tolerance = wrench.class.as_ref().map(|class| class.tolerance(wrench.high_nm()));
    let band = tolerance.as_ref().and_then(|tolerance| band(applied, tolerance.percent));
    let mut setting = Setting {
        wanted,
        set,
        unit: wrench.unit,
        applied,
        off_percent,
        tolerance,
        band,
        warnings: Vec::new(),
    };
    warn_of_range(&mut setting, wrench);
    warn_of_band(&mut setting, torque);
    if let Some(held) = held {
        warn_of_angle(&mut setting, wrench, held);
    }
    Ok(setting)
}

fn too_many_digits() -> Trouble {
    Trouble::new(
        TroubleKind::OutOfRange,
        "torque",
        "This value has too many digits to be worked with exactly.",
        "Write at most six digits, as a scale has them.",
    )
}

/// Divides exactly, or to nine decimals where an adapter's angle leaves no short fraction.
fn divided(value: Exact, by: Exact) -> Option<Exact> {
    value.over(by).or_else(|| Exact::near(value.to_f64() / by.to_f64()))
}

fn multiplied(value: Exact, by: Exact) -> Option<Exact> {
    value.times(by).or_else(|| Exact::near(value.to_f64() * by.to_f64()))
}

fn factor_of(wrench: &Wrench, held: &Held) -> Result<Exact, Trouble> {
    let length = wrench.length_mm.ok_or_else(|| {
        Trouble::new(
            TroubleKind::Missing,
            "length",
            format!("How long {} is stands nowhere: it cannot be set for an adapter.", wrench.name),
            "Measure from the middle of the grip to the middle of the square and write it: length \
            = 400.",
        )
    })?;
    lever_factor(length, held.adapter.length_mm, held.degrees)
}

fn in_range(wanted: Exact, wrench: &Wrench) -> Result<(), Trouble> {
    let (where_, end) = if wanted < wrench.low {
        ("below", "lowest")
    } else if wanted > wrench.high {
        ("above", "largest")
    } else {
        return Ok(());
    };
    let mark = if where_ == "below" { wrench.low } else { wrench.high };
    let unit = wrench.unit.symbol();
    Err(Trouble::new(
        TroubleKind::WrenchRange,
        "wrench",
        format!(
            "{} {unit} lies {where_} its {end} mark, {} {unit}.",
            wanted.short(2),
            mark.short(3)
        ),
        "Take another wrench; outside of its marks a wrench tells nothing.",
    ))
}

/// The nearest mark, counted from the lowest; halfway the lower; never beyond the largest.
fn on_scale(wanted: Exact, wrench: &Wrench) -> Option<Exact> {
    let Some(step) = wrench.step else { return Some(wanted) };
    let steps = wanted.minus(wrench.low)?.steps_down(step)?;
    let last = wrench.high.minus(wrench.low)?.floor_of(step)?;
    wrench.low.plus(step.times_whole(steps.min(last))?)
}

fn band(applied: Exact, percent: Exact) -> Option<(Exact, Exact)> {
    let part = percent.over(Exact::whole(100))?;
    let by = multiplied(applied, part)?;
    Some((applied.minus(by)?, applied.plus(by)?))
}

/// The lowest and the highest tenth of a scale are its ends (common practice); below a fifth of the
/// largest value ISO 6789 (2003) tests no wrench.
fn warn_of_range(setting: &mut Setting, wrench: &Wrench) {
    let of_high = |part: i128| Exact::new(part, 10).and_then(|part| wrench.high.times(part));
    let span = wrench.high.minus(wrench.low);
    let tenth = span.and_then(|span| span.times(Exact::new(1, 10)?));
    let low_end = tenth.and_then(|tenth| wrench.low.plus(tenth));
    let high_end = tenth.and_then(|tenth| wrench.high.minus(tenth));
    let unit = wrench.unit.symbol();
    if low_end.is_some_and(|end| setting.wanted < end)
        || of_high(2).is_some_and(|fifth| setting.wanted < fifth)
    {
        setting.warn(
            WarningKind::LowEnd,
            format!(
                "Near the lower end of its scale ({} {unit}), where a wrench is least sure; ISO \
                6789 tests \
                 from a fifth of the largest value.",
                wrench.low.short(3)
            ),
        );
    }
    if high_end.is_some_and(|end| setting.wanted > end) {
        let text = format!("Near the upper end of its scale ({} {unit}).", wrench.high.short(3));
        setting.warn(WarningKind::HighEnd, text);
    }
    let allowed = setting.tolerance.as_ref().map_or(4.0, |t| t.percent.to_f64());
    if setting.off_percent.abs() > allowed {
        let text = format!(
            "Its marks are coarse here: the nearest is {:.1} % off what is asked.",
            setting.off_percent
        );
        setting.warn(WarningKind::Coarse, text);
    }
}

fn warn_of_band(setting: &mut Setting, torque: &Torque) {
    let Some(tolerance) = setting.tolerance.clone() else {
        let text =
            "The class of this wrench is not known, so how far it may be off cannot be shown.";
        setting.warn(WarningKind::NoClass, text.to_owned());
        return;
    };
    if tolerance.from_memory {
        let text =
            "The tolerance of this class stands here from memory: look at the wrench's paper.";
        setting.warn(WarningKind::FromMemory, text.to_owned());
    }
    let makers = torque.range_in(setting.unit).filter(|(low, high)| low < high);
    if let (Some((low, high)), Some(band)) = (makers, setting.band)
        && (band.0 < low || band.1 > high)
    {
        let text =
            "With this wrench's tolerance the screw may get less or more than the maker's range.";
        setting.warn(WarningKind::BeyondMakersRange, text.to_owned());
    }
}

/// What happens if the adapter is not held as it was said: ten degrees off.
fn warn_of_angle(setting: &mut Setting, wrench: &Wrench, held: &Held) {
    let Some(length) = wrench.length_mm else { return };
    let at = |degrees: f64| {
        adapter_angle_error(length, held.adapter.length_mm, held.degrees, degrees).unwrap_or(0.0)
    };
    let (less, more) = (at(held.degrees - 10.0), at(held.degrees + 10.0));
    let text = format!(
        "Hold the adapter at {}°: at {}° the screw gets {less:+.1} %, at {}° {more:+.1} %.",
        held.degrees,
        held.degrees - 10.0,
        held.degrees + 10.0
    );
    setting.warn(WarningKind::AdapterAngle, text);
}

impl Setting {
    fn warn(&mut self, kind: WarningKind, text: String) {
        self.warnings.push(Warning { kind, text });
    }
}

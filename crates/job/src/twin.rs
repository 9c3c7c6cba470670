//! A torque in the garage's unit beside the maker's own, which stays as it was entered.

use lastbolt_files::TorqueUnits;
use lastbolt_tighten::{Action, Stage, Torque, TorqueUnit, read_stage};

/// Gives a line of facts ("20 N·m crosswise · socket 13") with a twin behind each torque that is
/// not in this unit. What cannot be read, is asked about or has that unit already stays alone. The
/// twin is made from the value as entered, rounded to a tenth, and never read again.
pub fn with_twins(text: &str, units: TorqueUnits, number: impl Fn(&str) -> String) -> String {
    let unit = match units {
        TorqueUnits::NewtonMetres => TorqueUnit::NewtonMetre,
        TorqueUnits::PoundFeet => TorqueUnit::PoundForceFoot,
    };
    let with = |piece: &str| match twin(piece, unit, &number) {
        Some(twin) => format!("{piece} (torque {twin})"),
        None => piece.to_owned(),
    };
    text.split(" · ").map(with).collect::<Vec<_>>().join(" · ")
}

fn twin(text: &str, unit: TorqueUnit, number: impl Fn(&str) -> String) -> Option<String> {
    let stage = read_stage(text);
    let torque = only_torque(&stage)?;
    let has_it = torque.entries().iter().any(|entry| entry.unit == unit);
    if has_it || !stage.open().is_empty() || torque.question().is_some() {
        return None;
    }
    let (low, high) = torque.range_in(unit)?;
    let (low, high) = (number(&low.short(1)), number(&high.short(1)));
    let symbol = unit.symbol();
    Some(match low == high {
        true => format!("{low} {symbol}"),
        false => format!("{low} to {high} {symbol}"),
    })
}

/// The torque of a round that has one.
fn only_torque(stage: &Stage) -> Option<&Torque> {
    let mut all = stage.actions.iter().filter_map(|action| match action {
        Action::Torque(torque) => Some(torque),
        _ => None,
    });
    let first = all.next()?;
    all.next().is_none().then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str, units: TorqueUnits) -> String {
        with_twins(text, units, |number| number.replace('.', ","))
    }

    /// The maker's own words stay; the twin stands behind, from the value as entered.
    #[test]
    fn the_makers_value_stays_and_gets_a_twin() {
        let feet = |text| shown(text, TorqueUnits::PoundFeet);
        assert_eq!(feet("20 N·m crosswise"), "20 N·m crosswise (torque 14,8 lbf·ft)");
        assert_eq!(feet("40 N·m · 90°"), "40 N·m (torque 29,5 lbf·ft) · 90°");
        assert_eq!(feet("20-25 N·m"), "20-25 N·m (torque 14,8 to 18,4 lbf·ft)");
        assert_eq!(shown("18 lbf·ft", TorqueUnits::NewtonMetres), "18 lbf·ft (torque 24,4 N·m)");
        // A wrong twin, made from a twin that was rounded to whole numbers before, would be 14,75.
        let again = shown("15 lbf·ft", TorqueUnits::NewtonMetres);
        assert_eq!(again, "15 lbf·ft (torque 20,3 N·m)");
        assert_ne!(again, "15 lbf·ft (torque 20 N·m)");
    }

    /// What is in the unit already, is both, or is no torque stays as it is.
    #[test]
    fn nothing_is_put_behind_the_rest() {
        for text in ["20 N·m", "20 N·m (15 lbf·ft)", "socket 13", "90°", "by hand", "2 people", ""]
        {
            assert_eq!(shown(text, TorqueUnits::NewtonMetres), text);
        }
        assert_eq!(shown("15 lbf·ft (20 N·m)", TorqueUnits::PoundFeet), "15 lbf·ft (20 N·m)");
    }
}

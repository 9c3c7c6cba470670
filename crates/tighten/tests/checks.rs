//! Every row of the check values, each with its own tolerance; and slips of the pen that the same
//! rows have to find out.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod common;

use std::collections::BTreeMap;

use common::{Check, checks};
use lastbolt_tighten::eval::{Answer, How, Outcome, Row, Verdict, evaluate, judge};

/// Rows that are left out, by line, each with its reason.
const LEFT_OUT: [(usize, &str); 0] = [];

fn rows(checks: &[Check]) -> Vec<Row<'_>> {
    checks
        .iter()
        .map(|check| Row {
            quantity: &check.quantity,
            inputs: &check.inputs,
            unit: &check.unit,
            expected: &check.expected,
            tolerance: &check.tolerance,
        })
        .collect()
}

/// What is wrong with the rows, one line each.
fn wrong(checks: &[Check], outcomes: &[Outcome]) -> Vec<String> {
    let said = |(check, outcome): (&Check, &Outcome)| {
        let left_out = LEFT_OUT.iter().any(|(line, _)| *line == check.line);
        let what = match (&outcome.computed, &outcome.verdict) {
            (Ok(_), Verdict::Agrees(_)) => return None,
            _ if left_out => return None,
            (Ok(computed), verdict) => format!("{} {verdict:?}", computed.answer.text()),
            (Err(trouble), _) => trouble.to_string(),
        };
        let (line, quantity) = (check.line, &check.quantity);
        Some(format!("{line} {quantity} {} = {}: {what}", check.inputs, check.expected))
    };
    checks.iter().zip(outcomes).filter_map(said).collect()
}

/// All rows agree within their own tolerance; run with --nocapture it prints the rows by source.
#[test]
fn every_row() {
    let checks = checks();
    assert_eq!(checks.len(), 401);
    let outcomes = evaluate(&rows(&checks));
    let wrong = wrong(&checks, &outcomes);
    assert!(wrong.is_empty(), "{} rows:\n{}", wrong.len(), wrong.join("\n"));
    println!("{}", listing(&checks, &outcomes));
}

/// How many rows there are by source, by quantity and by mark.
fn listing(checks: &[Check], outcomes: &[Outcome]) -> String {
    let mut by_source: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut by_quantity: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (check, outcome) in checks.iter().zip(outcomes) {
        *by_source.entry((&check.source, &check.mark)).or_default() += 1;
        let counts = by_quantity.entry(&check.quantity).or_default();
        counts.0 += 1;
        counts.1 += usize::from(outcome.computed.as_ref().is_ok_and(|c| c.how == How::Table));
    }
    let mut lines = vec![format!("{} rows checked, by source:", checks.len())];
    lines.extend(by_source.iter().map(|((source, mark), n)| format!("{n:5}  {mark:9} {source}")));
    lines.push("by quantity (of them looked up in a table, not computed):".to_owned());
    lines.extend(by_quantity.iter().map(|(name, (n, table))| format!("{n:5} ({table:3})  {name}")));
    lines.push(format!("{} rows left out", LEFT_OUT.len()));
    lines.extend(LEFT_OUT.iter().map(|(line, why)| format!("line {line}: {why}")));
    lines.join("\n")
}

/// Every left out row is one that there is, with a reason in words.
#[test]
fn left_out_for_a_reason() {
    let checks = checks();
    for (line, why) in LEFT_OUT {
        assert!(checks.iter().any(|check| check.line == line) && why.split(' ').count() > 4);
    }
}

/// The order of the rows does not matter, nor whether the columns of expectation are there.
#[test]
fn any_order() {
    let checks = checks();
    let rows = rows(&checks);
    let whole = evaluate(&rows);
    let alone = |quantity: &str| !quantity.starts_with("ei_");
    let mut turned: Vec<(usize, Row<'_>)> = rows.iter().copied().enumerate().collect();
    turned.reverse();
    let backwards = evaluate(&turned.iter().map(|(_, row)| *row).collect::<Vec<_>>());
    for ((number, row), outcome) in turned.iter().zip(&backwards) {
        if alone(row.quantity) {
            assert_eq!(outcome, &whole[*number], "{row:?}");
        }
    }
    let bare: Vec<Row<'_>> =
        rows.iter().map(|row| Row { expected: "", tolerance: "", ..*row }).collect();
    for (outcome, with) in evaluate(&bare).iter().zip(&whole) {
        assert_eq!(outcome.computed, with.computed);
        assert_eq!(outcome.verdict, Verdict::NotCompared);
    }
}

/// A slip in a formula: the rows of that quantity have to find it out.
type Slip = (&'static str, fn(f64) -> f64);

/// Slips as they happen; each is told by at least one row of the quantity.
#[test]
fn slips_are_found_out() {
    let slips: [Slip; 12] = [
        // 0.155 for 0.16 in front of the pitch, or a mean of diameters that forgets the hole: a few
        // percent.
        ("tightening_torque_MA", |m| m * 1.07),
        // Without the twist in the screw.
        ("assembly_preload_FM", |f| f * 1.15),
        // The root area in place of the stress area.
        ("stress_area_As", |a| a * 0.93),
        // Proof load with Rp0.2 in place of Sp.
        ("proof_load", |f| f * 640.0 / 580.0),
        ("min_ultimate_tensile_load", |f| f * 830.0 / 800.0),
        // Plus and minus of the adapter turned round, lever inverted.
        ("wrench_setting", |s| s * 1.1),
        ("applied_torque", |s| s * 0.9),
        ("adapter_angle_error_if_set_for_90", |e| -e),
        // 1.356 for the pound-foot, a unit of the last digit.
        ("unit", |u| u * 1.0001),
        ("min_engagement_tapped", |l| l * 1.02),
        ("strip_force_internal", |f| f * 0.577 / 0.6),
        ("h28_min_engagement_equal_material", |l| l * 1.01),
    ];
    let checks = checks();
    let outcomes = evaluate(&rows(&checks));
    for (quantity, slip) in slips {
        let mut found = 0;
        for (check, outcome) in checks.iter().zip(&outcomes) {
            if check.quantity != quantity {
                continue;
            }
            let Ok(computed) = &outcome.computed else { continue };
            let Answer::Number(number) = computed.answer else { continue };
            let verdict = judge(&Answer::Number(slip(number)), &check.expected, &check.tolerance);
            found += usize::from(matches!(verdict, Verdict::Differs(_)));
        }
        assert!(found > 0, "{quantity}: no row finds the slip");
    }
}

/// What stands from memory says so: no answer that needs a strength or a figure from memory is
/// silent.
#[test]
fn memory_is_never_silent() {
    let row = |quantity, inputs| Row { quantity, inputs, ..Row::default() };
    let rows = [
        row("proof_load", "thread=M8;class=5.6"),
        row("friction_class_range", "class=A"),
        row("pass_fractions", "ASME PCC-1 legacy"),
        row("proof_load", "thread=M8;class=8.8"),
        row("friction_class_range", "class=B"),
    ];
    let outcomes = evaluate(&rows);
    let marks: Vec<bool> =
        outcomes.iter().map(|outcome| outcome.computed.as_ref().unwrap().from_memory).collect();
    assert_eq!(marks, [true, true, true, false, false]);
    let assumed = &outcomes[0].computed.as_ref().unwrap().assumed;
    assert_eq!(assumed[..], ["Sp = 280 MPa of class 5.6: ISO 898-1:2013, table 3, from memory"]);
}

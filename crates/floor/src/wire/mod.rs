//! The shapes of JSON: version 1 of each; `docs/events-endpoint.md` has a sample of them.

pub(crate) mod begin;
pub(crate) mod day;
pub(crate) mod event;
pub(crate) mod holds;
pub(crate) mod matters;
pub(crate) mod photos;
pub(crate) mod screen;

/// The version that every answer carries and every request names.
pub(crate) const VERSION: u64 = 1;

/// Minutes as a number with at most three decimals.
pub(crate) fn minutes(minutes: lastbolt_machine::Minutes) -> serde_json::Value {
    let thousandths = minutes.0;
    if thousandths % 1000 == 0 {
        serde_json::Value::from(thousandths / 1000)
    } else {
        // Exact enough: three decimals of any time that a job takes survive as a double.
        serde_json::Value::from(thousandths as f64 / 1000.0)
    }
}

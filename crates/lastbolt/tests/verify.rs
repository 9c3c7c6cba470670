//! The checker refuses what is wrong: these orders are deliberately wrong.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::{Ran, example, run, run_in, word};
use serde_json::{Value, json};

fn plan(name: &str) -> Value {
    run(&["plan", word(&example(name)), "--json"]).json()
}

fn verdict(name: &str, plan: &Value) -> Ran {
    let file = example(name);
    let text = plan.to_string();
    run_in(file.parent().unwrap(), &["verify", word(&file), "-", "--json"], text.as_bytes())
}

fn refused(name: &str, plan: &Value, what: &str) {
    let ran = verdict(name, plan);
    assert_eq!(ran.code, 1, "{name}, {what}: {}", ran.out);
    let verdict = ran.json();
    assert_eq!(verdict["accepted"], false, "{name}, {what}");
    assert!(verdict["reason"]["text"].as_str().unwrap().len() > 10, "{name}, {what}");
}

const NAMES: [&str; 6] =
    ["hidden", "hung_aside", "prep_drain", "rider_bench", "together", "back_only"];

/// A step left out is a bolt left out.
#[test]
fn a_step_left_out_is_refused() {
    for name in NAMES {
        for list in ["strip", "build"] {
            let whole = plan(name);
            for at in 0..whole[list].as_array().unwrap().len() {
                let mut wrong = whole.clone();
                wrong[list].as_array_mut().unwrap().remove(at);
                refused(name, &wrong, &format!("without {list} step {at}"));
            }
        }
    }
}

/// A number that does not come to what the steps come to is not believed.
#[test]
fn wrong_numbers_are_refused() {
    for name in NAMES {
        let whole = plan(name);
        assert_eq!(verdict(name, &whole).code, 0, "{name}: the right one must pass");
        for key in ["minutes", "elapsed"] {
            let mut wrong = whole.clone();
            wrong[key] = json!(whole[key].as_f64().unwrap() + 0.5);
            refused(name, &wrong, key);
        }
        let mut wrong = whole.clone();
        wrong["strip"][0]["minutes"] = json!(0.125);
        refused(name, &wrong, "minutes of a step");
        let mut wrong = whole.clone();
        wrong["off"].as_array_mut().unwrap().pop();
        refused(name, &wrong, "off");
        let mut wrong = whole;
        wrong["build"] = json!([]);
        refused(name, &wrong, "nothing put back, and the minutes of both");
    }
}

/// The strip backwards tightens one of a group before the others are started: the simplest wrong
/// planner.
#[test]
fn the_strip_backwards_is_refused() {
    let mut wrong = plan("together");
    let strip = wrong["strip"].as_array().unwrap().clone();
    let turned = |step: &Value| {
        let mut step = step.clone();
        let back = [("off", "on"), ("undo", "make"), ("prep", "end")];
        let verb = step["do"].as_str().unwrap();
        step["do"] = json!(back.iter().find(|(opens, _)| *opens == verb).unwrap().1);
        step.as_object_mut().unwrap().remove("minutes");
        step.as_object_mut().unwrap().remove("change");
        step
    };
    wrong["build"] = Value::Array(strip.iter().rev().map(turned).collect());
    for key in ["minutes", "elapsed"] {
        wrong.as_object_mut().unwrap().remove(key);
    }
    refused("together", &wrong, "the strip backwards");
}

/// What is no order gets a sentence and exit code 1.
#[test]
fn what_is_no_order_gets_a_sentence() {
    let check = |text: &str, expect: &str| {
        let file = example("hidden");
        let words = ["verify", word(&file), "-"];
        let ran = run_in(file.parent().unwrap(), &words, text.as_bytes());
        assert_eq!(ran.code, 1, "{text}");
        assert!(ran.err.contains(expect), "{text}: {}", ran.err);
        assert!(ran.err.contains("plan FILE --json"), "{text}: {}", ran.err);
    };
    check("", "-:1:0: this is no order");
    check("{", "this is no order");
    check("[1, 2]", "this is no order");
    check("{\"version\": 1}", "there is no order in it");
    check("{\"strip\": []}", "does not say its version");
    check("{\"version\": 7, \"strip\": []}", "this is version 7; 1 is known");
    check("{\"version\": 1, \"possible\": false, \"because\": []}", "there is no order in it");
    let step = |step: &str| format!("{{\"version\": 1, \"strip\": [{step}], \"build\": []}}");
    check(&step("{\"do\": \"bash\", \"id\": \"plug\"}"), "strip, step 1: \"bash\" is not");
    check(&step("{\"id\": \"plug\"}"), "missing field `do`");
    check(&step("{\"do\": \"undo\", \"id\": \"plug\", \"minutes\": 0.0001}"), "three decimals");
    check(&step("{\"do\": \"undo\", \"id\": \"plug\", \"minutes\": -1}"), "three decimals");
}

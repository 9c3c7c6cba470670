//! `lastbolt tighten`: values, wrenches, and tables of other people's check values.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;
use std::path::Path;

use common::{Ran, run, run_in, word};
use serde_json::Value;

/// Runs eval over a table on standard input.
fn eval(table: &str) -> (Ran, Value) {
    let ran = run_in(Path::new("."), &["tighten", "eval", "-", "--json"], table.as_bytes());
    let json = ran.json();
    (ran, json)
}

/// The rows of the project's own check values, as a file.
fn checks() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tighten/tests/data/checks.csv");
    fs::read_to_string(path).unwrap()
}

/// A table with other order of columns and rows, columns of its own and no expectations gives the
/// same values as the project's own.
#[test]
fn other_peoples_tables() {
    let (_, own) = eval(&checks());
    let counts = &own["counts"];
    assert_eq!(counts["differ"], 0, "{own}");
    assert!(counts["rows"].as_u64().unwrap() > 400);
    let table = "remark;inputs;Quantity;unit\n\
                 mine;\"mu_total=0,10;class=8,8;thread=M8x1\";assembly_preload_FM;kN\n\
                 mine;\"nu=0.9;Rp02=640;thread=M8x1;mu_total=0,10\";assembly_preload_FM;N\n\
                 mine;thread=M8x1,25;stress_area_As;\n";
    let (ran, json) = eval(table);
    assert_eq!((ran.code, &json["left_out_columns"][0]), (0, &Value::from("remark")), "{json}");
    let value = |row: usize| json["rows"][row]["value"].as_f64().unwrap();
    assert!((value(0) - 20.73).abs() < 0.01 && (value(1) - 20_730.0).abs() < 10.0, "{json}");
    assert!((value(2) - 36.61).abs() < 0.01);
    assert_eq!(json["rows"][0]["verdict"], "not compared");
    let assumed = json["rows"][0]["assumed"].as_array().unwrap();
    assert_eq!(assumed.len(), 2, "{assumed:?}");
    // Inputs that came without quotes between semicolons belong together all the same.
    let bare = "quantity;inputs;unit\nwrench_setting;T=30 lbf.ft;L=12 in;E=152,4 \
    mm;angle=0;lbf.ft\n";
    let (_, json) = eval(bare);
    assert!((json["rows"][0]["value"].as_f64().unwrap() - 20.0).abs() < 1e-9, "{json}");
    // Where there is no column of inputs, each input has its own.
    let wide = "quantity,thread,Sp,class\nproof_load,M8,,10.9\n";
    let (_, json) = eval(wide);
    assert_eq!(json["rows"][0]["text"], "30378", "{json}");
}

/// Expectations are judged by their tolerance; what differs is told and ends with 1.
#[test]
fn verdicts() {
    let table = "quantity,inputs,expected,unit,tolerance\n\
                 stress_area_As,thread=M8,36.6,mm2,0.5%\n\
                 stress_area_As,thread=M8,36.6,mm2,\n\
                 stress_area_As,thread=M8,36.0,mm2,0.5%\n\
                 unit,1 kgf.m,9.80665,N.m,exact\n\
                 unit,1 kgf.m,9.81,N.m,exact\n\
                 friction_class_range,class=B,0.08..0.16,-,table\n\
                 friction_class_range,class=B,0.08..0.17,-,table\n";
    let (ran, json) = eval(table);
    let verdicts: Vec<&str> =
        json["rows"].as_array().unwrap().iter().map(|r| r["verdict"].as_str().unwrap()).collect();
    let expected = ["agrees", "not judged", "differs", "agrees", "differs", "agrees", "differs"];
    assert_eq!((ran.code, verdicts), (1, expected.to_vec()));
    assert!((json["rows"][2]["difference"].as_f64().unwrap() - 0.6085).abs() < 0.001);
}

/// Every wrong input ends with 1 and has file, line, field, sentence and what to do.
#[test]
fn wrong_inputs() {
    for (row, field) in [
        ("stress_area,thread=M8", "quantity"),
        (",thread=M8", "quantity"),
        ("stress_area_As,", "thread"),
        ("stress_area_As,thread=Q8", "thread"),
        ("assembly_preload_FM,thread=M8;mu_total=0;class=8.8", "mu_total"),
        ("assembly_preload_FM,thread=M8;mu_total=-0.1;class=8.8", "mu_total"),
        ("assembly_preload_FM,thread=M8;mu_total=12;class=8.8", "mu_total"),
        ("assembly_preload_FM,thread=M8;mu_total=abc;class=8.8", "mu_total"),
        ("assembly_preload_FM,thread=M8;class=8.8", "mu_total"),
        ("assembly_preload_FM,thread=M8;mu_total=0.1;class=8.9", "class"),
        ("assembly_preload_FM,thread=M8;mu_total=0.1;Rp02=-3", "Rp02"),
        ("tightening_torque_MA,thread=M8;mu_total=0.1;FM_kN=20", "head"),
        ("tightening_torque_MA,thread=M8;mu_total=0.1;FM_kN=20;head=wing", "head"),
        ("wrench_setting,T=40 N.m;L=400 mm;E=-50 mm;angle=0", "E"),
        ("wrench_setting,T=40 N.m;L=-400 mm;E=50 mm;angle=0", "L"),
        ("wrench_setting,T=40 N.m;L=400 mm;E=400 mm;angle=180", "angle"),
        ("wrench_setting,T=40 N.m;L=400 mm;E=50 mm", "angle"),
        ("wrench_setting,T=40 mm;L=400 mm;E=50 mm;angle=0", "T"),
        ("unit,40 N·m / 50 lbf·ft", "inputs"),
        ("unit,40", "unit"),
        ("strip_force_internal,thread=M8;Le=0;Rm=240", "Le"),
        ("friction_class_range,class=Z", "class"),
    ] {
        let table = format!("quantity,inputs\n\n{row}\n");
        let (ran, json) = eval(&table);
        let error = &json["rows"][0]["error"];
        assert_eq!((ran.code, error["line"].as_u64()), (1, Some(3)), "{row}: {json}");
        // What is said of a bare torque belongs to the whole of the inputs.
        let said = error["field"].as_str().unwrap();
        let field = if row.starts_with("unit,40") && said == "inputs" { "inputs" } else { field };
        assert_eq!(said, field, "{row}: {error}");
        for key in ["file", "message", "help"] {
            assert!(!error[key].as_str().unwrap().is_empty(), "{row}: {key}");
        }
    }
    let unit = "quantity,inputs,unit\nstress_area_As,thread=M8,kN\n";
    assert_eq!(eval(unit).1["rows"][0]["error"]["field"], "unit");
    let tolerance = "quantity,inputs,expected,tolerance\nstress_area_As,thread=M8,36.6,near\n";
    assert_eq!(eval(tolerance).1["rows"][0]["error"]["field"], "tolerance");
    let expected = "quantity,inputs,expected,tolerance\nstress_area_As,thread=M8,much,1%\n";
    assert_eq!(eval(expected).1["rows"][0]["error"]["field"], "expected");
}

/// Files that are no such table say so; nothing panics.
#[test]
fn no_table() {
    for text in ["", "a,b\n1,2\n", "quantity,quantity\nx,y\n", "quantity,inputs\n\"x,y\n"] {
        let (ran, json) = eval(text);
        assert_eq!(ran.code, 1, "{text}");
        assert_eq!(json["problems"].as_array().unwrap().len(), 1, "{text}: {json}");
    }
    let ran = run(&["tighten", "eval", "no-such-file.csv"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("no-such-file.csv"), "{}", ran.err);
}

/// The list names every quantity with its inputs, and the document has them all.
#[test]
fn every_quantity_is_documented() {
    let ran = run(&["tighten", "eval", "--list", "--json"]);
    let all = ran.json();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/tighten-json.md");
    let document = fs::read_to_string(path).unwrap();
    for quantity in all.as_array().unwrap() {
        let name = quantity["quantity"].as_str().unwrap();
        let row = document.lines().find(|line| line.starts_with(&format!("| `{name}` |")));
        let row = row.unwrap_or_else(|| panic!("{name} is not in docs/tighten-json.md"));
        let inputs = quantity["inputs"].as_str().unwrap();
        assert!(row.contains(inputs) && row.contains(quantity["unit"].as_str().unwrap()), "{row}");
    }
    assert!(all.as_array().unwrap().len() > 35);
}

/// A value is shown as printed and converted; a twin that disagrees asks, and ends with 1.
#[test]
fn values() {
    let ran = run(&["tighten", "value", "40 N·m / 30 lbf·ft"]);
    assert_eq!(ran.code, 0);
    for line in ["40 N·m  (as printed)", "30 lbf·ft  (as printed)", "4.079 kgf·m  (converted)"] {
        assert!(ran.out.contains(line), "{line}: {}", ran.out);
    }
    let ran = run(&["tighten", "value", "40 N·m / 50 lbf·ft", "--json"]);
    assert_eq!(ran.code, 1);
    let question = &ran.json()["questions"][0];
    assert!(question["message"].as_str().unwrap().contains("differ by more than rounding"));
    for wrong in ["40", "-40 N·m", "1,200 lbf·in", ""] {
        assert_eq!(run(&["tighten", "value", wrong]).code, 1, "{wrong}");
    }
}

/// One described wrench, and those of a garage file, with and without adapter.
#[test]
fn wrenches() {
    let one = |more: &[&str]| {
        let mut words = vec!["tighten", "wrench", "40 N·m", "--json"];
        words.extend(more);
        run(&words)
    };
    let ran = one(&["--range", "20-100 N·m", "--class", "II A", "--step", "0.5"]);
    let fit = &ran.json()["fits"][0];
    assert_eq!((ran.code, &fit["set"]), (0, &Value::from("40")), "{fit}");
    assert_eq!(fit["band"], serde_json::json!(["38.4", "41.6"]));
    let adapter = ["--range", "20-100 N·m", "--length", "400", "--adapter", "100", "--angle", "0"];
    assert_eq!(one(&adapter).json()["fits"][0]["set"], "32");
    let none = one(&["--range", "50-250 N·m"]);
    assert_eq!((none.code, none.json()["fits"].as_array().unwrap().len()), (1, 0));
    for (more, field) in [
        (&["--range", "100-20 N·m"][..], "range"),
        (&["--range", "20-100"], "unit"),
        (&["--range", "20-100 N·m", "--class", "Z"], "class"),
        (&["--range", "20-100 N·m", "--step", "0"], "step"),
        (&["--range", "20-100 N·m", "--length", "-4"], "length"),
        (&["--range", "20-100 N·m", "--adapter", "-60", "--angle", "0"], "adapter"),
        (&["--range", "20-100 N·m", "--adapter", "60", "--angle", "much"], "angle"),
    ] {
        let ran = one(more);
        assert_eq!(ran.code, 1, "{more:?}");
        assert!(ran.err.starts_with(&format!("error: {field}: ")), "{more:?}: {}", ran.err);
    }
    // Across or ahead: without the angle nothing is said.
    assert_eq!(one(&["--range", "20-100 N·m", "--adapter", "60"]).code, 2);

    let garage = tempfile::tempdir().unwrap();
    let text = "[wrench.small]\nrange = [5, 25]\nunit = \"N·m\"\nclass = \"II A\"\n\
                [wrench.large]\nrange = [20, 100]\nunit = \"N·m\"\nstep = 0.5\nlength = 400\n\
                [adapter.ring]\nlength = 100\n";
    fs::write(garage.path().join("garage.toml"), text).unwrap();
    let dir = word(garage.path());
    let words = ["tighten", "wrench", "40 N·m", "--garage", dir, "--json"];
    let json = run(&words).json();
    assert_eq!(
        (&json["fits"][0]["wrench"], &json["refused"][0]["wrench"]),
        (&"large".into(), &"small".into())
    );
    let words =
        ["tighten", "wrench", "40 N·m", "--garage", dir, "--adapter", "ring", "--angle", "0"];
    assert!(run(&words).out.contains("large: set it to 32 N·m"));
    // What is wrong in the garage file has its line.
    fs::write(garage.path().join("garage.toml"), text.replace("II A", "II Z")).unwrap();
    let ran = run(&["tighten", "wrench", "40 N·m", "--garage", dir]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("garage.toml:1:") && ran.err.contains("\"II Z\""), "{}", ran.err);
    let path = garage.path().join("garage.toml");
    let ran = run(&["check", word(&path)]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("garage.toml:1:") && ran.out.contains("\"II Z\""), "{}", ran.out);
}

/// The help of each says what to write, with an example.
#[test]
fn help_with_examples() {
    for words in [&["tighten"][..], &["tighten", "value"], &["tighten", "wrench"]] {
        let mut words = words.to_vec();
        words.push("--help");
        let help = run(&words);
        assert_eq!(help.code, 0);
        assert!(
            help.out.contains("lastbolt tighten") && help.out.contains("Example"),
            "{}",
            help.out
        );
    }
}

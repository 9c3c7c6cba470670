//! The example files of the contract (`tests/data`, written to `docs/machine-file.md` with the
//! least minutes worked by hand) read and check clean.

use lastbolt_files::{Document, Source, check_all, read};
use lastbolt_machine::{Extra, FileNo, Level, compile};

fn examples() -> Vec<Source> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data");
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).expect("tests/data") {
        let path = entry.expect("entry").path();
        if path.extension().is_some_and(|e| e == "toml") {
            all.push(Source::new(path.display().to_string(), std::fs::read(&path).expect("file")));
        }
    }
    all.sort_by(|a, b| a.name.cmp(&b.name));
    all
}

/// Every example is read without an error, and compiles.
#[test]
fn examples_check_clean() {
    let examples = examples();
    assert_eq!(examples.len(), 16);
    let problems = check_all(&examples);
    let errors: Vec<_> = problems.iter().filter(|p| p.level == Level::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    for index in 0..examples.len() {
        let (document, _) = read(&examples, FileNo(index as u16));
        let Document::Machine(machine) = document else {
            panic!("{} is a machine file", examples[index].name);
        };
        let job = machine.job.clone().expect("[job]");
        compile(&machine, &job, &Extra::default()).expect("compiles");
    }
}

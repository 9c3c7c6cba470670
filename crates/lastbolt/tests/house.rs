//! The house: arrows between the rooms go one way, pure rooms do no I/O, files are tidy.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// Which rooms a room may know: those of `docs/architecture.md`, nothing else of the workspace.
const ARROWS: [(&str, &[&str]); 13] = [
    ("machine", &[]),
    ("files", &["machine"]),
    ("order", &["machine"]),
    ("checker", &["machine"]),
    ("ledger", &[]),
    ("sketch", &["machine", "ledger"]),
    ("tighten", &[]),
    ("job", &["machine", "files", "order", "checker", "ledger", "sketch", "tighten"]),
    ("photo", &[]),
    ("store", &["ledger", "files"]),
    (
        "floor",
        &["machine", "files", "order", "ledger", "sketch", "tighten", "job", "photo", "store"],
    ),
    ("testkit", &["machine", "checker"]),
    (
        "lastbolt",
        &[
            "machine", "files", "order", "checker", "ledger", "sketch", "tighten", "job", "photo",
            "store", "floor",
        ],
    ),
];
/// Rooms that do no I/O, read no clock and hold no globals.
const PURE: [&str; 10] = [
    "machine", "files", "order", "checker", "ledger", "sketch", "tighten", "job", "photo",
    "testkit",
];
/// What a pure room may not name.
const IMPURE: [&str; 20] = [
    "std::fs",
    "std::net",
    "std::env",
    "std::process",
    "std::io",
    "std::thread",
    "Instant",
    "SystemTime",
    "println!",
    "eprintln!",
    "print!",
    "dbg!",
    "static mut",
    "OnceLock",
    "OnceCell",
    "LazyLock",
    "LazyCell",
    "thread_local!",
    "Mutex",
    "Atomic",
];
/// The most packages that the program may be built from.
const PACKAGES_MAX: usize = 250;
const COLUMNS_MAX: usize = 100;
const FUNCTION_LINES_MAX: usize = 80;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn cargo(words: &[&str]) -> String {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let output = Command::new(cargo).args(words).current_dir(root()).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn room(package: &str) -> Option<&str> {
    let name = package.strip_prefix("lastbolt-").unwrap_or(package);
    ARROWS.iter().map(|(room, _)| *room).find(|room| *room == name)
}

/// The arrows that are not allowed, out of what cargo says.
fn wrong_arrows(metadata: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    for package in metadata["packages"].as_array().unwrap() {
        let name = package["name"].as_str().unwrap();
        let Some(from) = room(name) else {
            wrong.push(format!("{name} is no room of docs/architecture.md"));
            continue;
        };
        let allowed = ARROWS.iter().find(|(room, _)| *room == from).unwrap().1;
        for dependency in package["dependencies"].as_array().unwrap() {
            let to = dependency["name"].as_str().unwrap();
            let is_for_tests = dependency["kind"] == "dev";
            if let Some(to) = room(to).filter(|_| to.starts_with("lastbolt"))
                && !is_for_tests
                && !allowed.contains(&to)
            {
                wrong.push(format!("{from} knows {to}"));
            }
        }
    }
    wrong
}

/// A crate depends only on what design allows; a wrong arrow is found.
#[test]
fn arrows_go_one_way() {
    let words = ["metadata", "--no-deps", "--offline", "--format-version", "1"];
    let mut metadata: Value = serde_json::from_str(&cargo(&words)).unwrap();
    assert_eq!(wrong_arrows(&metadata), Vec::<String>::new());
    let packages = metadata["packages"].as_array_mut().unwrap();
    let checker = packages.iter_mut().find(|p| p["name"] == "lastbolt-checker").unwrap();
    let wrong = serde_json::json!({ "name": "lastbolt-order", "kind": null });
    checker["dependencies"].as_array_mut().unwrap().push(wrong);
    assert_eq!(wrong_arrows(&metadata), ["checker knows order"]);
}

/// What is impure in a source text: the line's number and the word.
fn impure(text: &str) -> Vec<(usize, &'static str)> {
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let code = line.trim_start();
        if code.starts_with("//") {
            continue;
        }
        // A place in bytes that are in memory, and the name of a failure, reach nothing outside.
        let code = code.replace("std::io::Cursor", "").replace("std::io::ErrorKind", "");
        let whole_word = |word: &str| {
            code.match_indices(word).any(|(at, _)| {
                let before = code[..at].chars().next_back();
                let begins = before.is_none_or(|c| !c.is_alphanumeric() && c != '_');
                let after = code[at + word.len()..].chars().next();
                // "Atomic" stands for all its sorts.
                let ends = word == "Atomic" || after.is_none_or(|c| !c.is_alphanumeric());
                begins && (ends || word.ends_with('!'))
            })
        };
        found.extend(IMPURE.iter().filter(|word| whole_word(word)).map(|w| (number + 1, *w)));
    }
    found
}

/// Values in, values out: a pure room names nothing of the world outside.
#[test]
fn pure_rooms_do_no_io() {
    assert_eq!(impure("use std::fs;"), [(1, "std::fs")]);
    assert_eq!(impure("//! std::fs\nlet now = Instant::now();"), [(2, "Instant")]);
    assert_eq!(impure("static SEEN: AtomicU64 = x;"), [(1, "Atomic")]);
    assert_eq!(impure("use std::io::Cursor;"), []);
    assert_eq!(impure("use std::io::{Cursor, stdin};"), [(1, "std::io")]);
    assert_eq!(impure("let instant_noodles = Instants; sprint!()"), []);
    for room in PURE {
        for file in files_under(&root().join("crates").join(room).join("src"), "rs") {
            let text = fs::read_to_string(&file).unwrap();
            assert_eq!(impure(&text), [], "{}", file.display());
        }
    }
}

/// Each package is somebody's code that a garage has to trust.
#[test]
fn packages_are_few() {
    let words = ["tree", "-p", "lastbolt", "-e", "normal,build", "--prefix", "none", "--offline"];
    let tree = cargo(&words);
    let packages: std::collections::BTreeSet<&str> = tree.lines().collect();
    assert!(packages.len() > 20, "cargo tree gave nothing");
    assert!(packages.len() <= PACKAGES_MAX, "{} packages", packages.len());
}

/// All files of the project with one of these endings; what is made or fetched is left out.
fn files_under(folder: &Path, ending: &str) -> Vec<PathBuf> {
    const MADE: [&str; 7] =
        ["target", ".git", "node_modules", ".venv", "out", "__pycache__", "vendor"];
    let mut all = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap().map(Result::unwrap) {
            let name = entry.file_name();
            let name = name.to_string_lossy();
            let path = entry.path();
            if path.is_dir() {
                if !MADE.contains(&name.as_ref()) {
                    folders.push(path);
                }
            } else if ending.is_empty() || path.extension().is_some_and(|e| e == ending) {
                all.push(path);
            }
        }
    }
    all.sort();
    all
}

/// What is untidy in a source file.
fn untidy(text: &str, is_rust: bool) -> Vec<String> {
    let mut found = Vec::new();
    let mut begun: BTreeMap<usize, (usize, String)> = BTreeMap::new();
    for (number, line) in text.lines().enumerate() {
        let columns = line.chars().count();
        if columns > COLUMNS_MAX {
            found.push(format!("line {} has {columns} columns", number + 1));
        }
        let deep = columns - line.trim_start().chars().count();
        let code = line.trim_start();
        if !is_rust {
            continue;
        }
        let code = code.trim_start_matches("pub ").trim_start_matches("pub(crate) ");
        let code = code.trim_start_matches("async ").trim_start_matches("const ");
        if code.starts_with("fn ") && !code.ends_with(';') && !code.ends_with('}') {
            begun.insert(deep, (number, code.to_owned()));
        }
        if code == "}"
            && let Some((from, name)) = begun.remove(&deep)
            && number - from + 1 > FUNCTION_LINES_MAX
        {
            found.push(format!("line {}: {} lines: {name}", from + 1, number - from + 1));
        }
    }
    found
}

/// Short lines and short functions can be read on a phone beside the machine.
#[test]
fn sources_are_tidy() {
    let long = format!("fn long() {{\n{}}}\n", "    x();\n".repeat(FUNCTION_LINES_MAX));
    assert_eq!(untidy(&long, true).len(), 1);
    assert_eq!(untidy(&"x".repeat(COLUMNS_MAX + 1), false).len(), 1);
    let mut bad = Vec::new();
    for ending in ["rs", "mjs", "js", "sh", "py", "css"] {
        for file in files_under(&root(), ending) {
            let text = fs::read_to_string(&file).unwrap();
            let name = file.strip_prefix(root()).unwrap().display().to_string();
            bad.extend(untidy(&text, ending == "rs").iter().map(|what| format!("{name}: {what}")));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Nothing in the project knows the machine it was written on, or a mirror of a registry.
#[test]
fn no_file_names_this_machine_or_a_registry_host() {
    // Put together here, so that this file does not contain them.
    let forbidden = [
        ["/wo", "rk/"],
        ["/ro", "ot/"],
        ["/tmp", "/t/"],
        ["registry.np", "mjs.org"],
        ["files.python", "hosted.org"],
        ["static.cra", "tes.io"],
        ["index.cra", "tes.io"],
    ]
    .map(|halves| halves.concat());
    let mut bad = Vec::new();
    // In a second working tree of git that is a file which says where the first one is.
    let files = files_under(&root(), "").into_iter();
    for file in files.filter(|file| !file.ends_with(".git")) {
        let Ok(bytes) = fs::read(&file) else { continue };
        let text = String::from_utf8_lossy(&bytes);
        let found = forbidden.iter().filter(|word| text.contains(word.as_str()));
        bad.extend(found.map(|word| format!("{}: {word}", file.display())));
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

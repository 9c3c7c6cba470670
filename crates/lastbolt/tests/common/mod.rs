//! Runs the real program.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// What a run left behind.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// Runs `lastbolt` with these words.
pub(crate) fn run(words: &[&str]) -> Ran {
    run_in(Path::new("."), words, b"")
}

/// Runs it in a folder, with something on standard input.
pub(crate) fn run_in(folder: &Path, words: &[&str], input: &[u8]) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lastbolt"))
        .args(words)
        .current_dir(folder)
        .env("XDG_DATA_HOME", folder.join("no-data-folder"))
        .env_remove("RUST_BACKTRACE")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // It may end without reading: then nobody is there to write to.
    let _ = child.stdin.take().unwrap().write_all(input);
    of(&child.wait_with_output().unwrap())
}

/// Runs it in a folder, on the garage folder `g` in it.
pub(crate) fn in_garage(folder: &Path, words: &[&str]) -> Ran {
    let words: Vec<&str> = words.iter().copied().chain(["--garage", "g"]).collect();
    run_in(folder, &words, b"")
}

/// Runs it there and gives what it printed; it must do so without a complaint.
pub(crate) fn well(folder: &Path, words: &[&str]) -> String {
    let ran = in_garage(folder, words);
    assert_eq!(ran.code, 0, "{words:?}: {}", ran.err);
    ran.out
}

fn of(output: &Output) -> Ran {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let ran = Ran {
        code: output.status.code().unwrap_or(-1),
        out: text(&output.stdout),
        err: text(&output.stderr),
    };
    assert!(!ran.err.contains("panicked"), "it panicked:\n{}", ran.err);
    assert_ne!(ran.code, 101, "it panicked");
    ran
}

impl Ran {
    /// Standard output as JSON.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|error| panic!("{error}: {}\n{}", self.out, self.err))
    }
}

/// The small machines with known minutes.
pub(crate) fn example(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/examples");
    folder.join(format!("{name}.toml"))
}

/// A path as the program is given it.
pub(crate) fn word(path: &Path) -> &str {
    path.to_str().unwrap()
}

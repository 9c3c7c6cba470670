//! Bad input gets a sentence: which file, which line, what to do; never a panic.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use std::fs;

use common::{example, run_in, word};

/// A byte source that is the same every time.
fn noise(count: usize, seed: u64) -> Vec<u8> {
    let mut state = seed;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 32) as u8
    };
    (0..count).map(|_| next()).collect()
}

fn hidden() -> String {
    fs::read_to_string(example("hidden")).unwrap()
}

/// What is in a file, and what is said of it; an empty sentence where nothing is wrong.
fn table() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let text = hidden();
    let with_mark = format!("\u{feff}{text}");
    let windows = text.replace('\n', "\r\n");
    let comma = text.replace("minutes = 2", "minutes = 2,5");
    let minus = text.replace("minutes = 2", "minutes = -2");
    let wrong_name = text.replace("off = [\"plug\"]", "off = [\"plog\"]");
    let unit = text.replace("minutes = 2", "minutes = \"2 h\"");
    vec![
        ("right.toml", text.clone().into(), ""),
        ("mark.toml", with_mark.into(), ""),
        ("windows.toml", windows.into(), ""),
        ("comma.toml", comma.into(), "comma.toml:10:37: error: 2,5 has a comma in it."),
        ("minus.toml", minus.into(), "minus.toml:10:37: error: `minutes` is -2"),
        ("name.toml", wrong_name.into(), "\"plug\""),
        ("unit.toml", unit.into(), "unit.toml:10:37: error:"),
        ("empty.toml", Vec::new(), "empty.toml:1:1: error: There is nothing in this file"),
        ("junk.toml", vec![b'x'; 10_000_000], "junk.toml:1:1: error: This file is larger than"),
        ("noise.toml", noise(4000, 7), "noise.toml:1:1: error: This is not a text file"),
        ("latin.toml", b"machine = \"caf\xe9\"\n".to_vec(), "not UTF-8"),
        ("wide.toml", vec![0xff, 0xfe, b'a', 0, b'b', 0], "saved as UTF-16"),
        ("cut.toml", text.as_bytes()[..300].to_vec(), "error:"),
        ("no-machine.toml", b"[job]\nrenew = [\"x\"]\n".to_vec(), "machine_file"),
        (
            "lost.toml",
            b"machine_file = \"gone.toml\"\n[job]\n".to_vec(),
            "lost.toml:1:16: error: The machine file gone.toml cannot be used.",
        ),
        ("deep.toml", "a = ".bytes().chain([b'['; 5000]).collect(), "error:"),
    ]
}

/// One line of the table after the other, by people's output and as JSON, by `check` and `plan`.
#[test]
fn each_bad_file_gets_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes, expect) in table() {
        fs::write(folder.path().join(name), bytes).unwrap();
        let checked = run_in(folder.path(), &["check", name], b"");
        let as_json = run_in(folder.path(), &["check", name, "--json"], b"");
        let planned = run_in(folder.path(), &["plan", name], b"");
        let list = as_json.json();
        let is_error = |told: &&serde_json::Value| told["level"] == "error";
        let errors = list.as_array().unwrap().iter().filter(is_error).count();
        assert_eq!(checked.code, as_json.code, "{name}");
        if expect.is_empty() {
            assert_eq!((checked.code, planned.code, errors), (0, 0, 0), "{name}: {}", checked.out);
            continue;
        }
        assert_eq!((checked.code, planned.code), (1, 1), "{name}: {}", checked.out);
        assert!(checked.out.contains(expect), "{name}:\n{}", checked.out);
        assert!(errors > 0, "{name}");
        for told in list.as_array().unwrap() {
            assert!(told["message"].as_str().unwrap().ends_with(['.', '?', '!']), "{name}: {told}");
            assert!(told["file"].as_str().unwrap().starts_with(name), "{name}: {told}");
        }
        assert!(planned.out.contains("There is no plan"), "{name}:\n{}", planned.out);
    }
}

/// Noise of many sorts: half of it starts like a right file.
#[test]
fn noise_never_panics() {
    let folder = tempfile::tempdir().unwrap();
    let right = hidden();
    let mut names = Vec::new();
    for seed in 1..=60 {
        let mut bytes = right.as_bytes()[..(seed as usize * 11) % right.len()].to_vec();
        let mut odd = noise(300, seed);
        if seed % 2 == 0 {
            odd.iter_mut().for_each(|byte| *byte = b' ' + *byte % 95);
        }
        bytes.extend(odd);
        let name = format!("noise-{seed}.toml");
        fs::write(folder.path().join(&name), bytes).unwrap();
        names.push(name);
    }
    let words: Vec<&str> = ["check"].into_iter().chain(names.iter().map(String::as_str)).collect();
    assert_eq!(run_in(folder.path(), &words, b"").code, 1);
}

/// Folders, missing files, and what stands where a file should.
#[test]
fn names_that_are_no_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("empty")).unwrap();
    fs::create_dir_all(folder.path().join("odd/machine.toml")).unwrap();
    fs::write(folder.path().join("other.db"), b"SQLite format 3\0 and then nothing").unwrap();
    let check = |name: &str, expect: &str| {
        let ran = run_in(folder.path(), &["check", name], b"");
        assert_eq!(ran.code, 1, "{name}");
        assert!(ran.out.contains(expect), "{name}:\n{}", ran.out);
    };
    check("empty", "There is no job.toml and no machine.toml in this folder.");
    check("odd", "There is no job.toml and no machine.toml in this folder.");
    check("nowhere.toml", "There is no such file, folder or job.");
    check("kelp-outboard-1", "There is no such file, folder or job.");
    check("", "There is no such file, folder or job.");
    check("a\u{1f529}/../..", "There is no");
    check("other.db", "other.db");
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 3, "looking leaves nothing behind: {left:?}");
}

/// A file that may not be read says so; the super-user may read everything, so it is skipped there.
#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("closed.toml");
    fs::write(&path, hidden()).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read(&path).is_ok() {
        println!("skipped: this user may read every file");
        return;
    }
    let ran = run_in(folder.path(), &["check", word(&path)], b"");
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("This file may not be read by you."), "{}", ran.out);
}

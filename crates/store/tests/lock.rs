//! Why: two writers in one garage, or a command that talks to a server that is gone, lose work.

mod common;

use common::here;
use lastbolt_store::{GarageLock, Serving, StoreError, Who, random_token, who};

fn serving() -> Serving {
    Serving {
        version: "0.1.0".into(),
        pid: std::process::id(),
        address: "http://127.0.0.1:4000".into(),
        token: random_token().expect("a token"),
    }
}

#[test]
fn one_writer_at_a_time() {
    let here = here();
    let dir = here.garage.dir();
    assert_eq!(who(dir).unwrap(), Who::Nobody);
    let lock = GarageLock::acquire(dir).unwrap();
    assert_eq!(who(dir).unwrap(), Who::Somebody);
    let held = GarageLock::acquire(dir);
    assert!(matches!(held, Err(StoreError::Held { who: Who::Somebody, .. })), "{held:?}");

    let mine = serving();
    lock.announce(&mine).unwrap();
    assert_eq!(Serving::read(dir).unwrap(), Some(mine.clone()));
    let held = GarageLock::acquire(dir).unwrap_err();
    let sentence = held.to_string();
    assert!(sentence.contains("http://127.0.0.1:4000") && !sentence.contains(&mine.token));
    assert!(!format!("{held:?}{mine:?}").contains(&mine.token), "tokens are never printed");

    drop(lock);
    assert_eq!(who(dir).unwrap(), Who::Nobody);
    assert!(!dir.join("serving.json").exists());
    drop(GarageLock::acquire(dir).unwrap());
}

/// A killed server leaves its side file; the lock is free, so nobody may believe the file.
#[test]
fn what_a_killed_server_said_is_ignored() {
    let here = here();
    let dir = here.garage.dir();
    let left = serde_json::to_string(&serving()).unwrap();
    drop(GarageLock::acquire(dir).unwrap());
    std::fs::write(dir.join("serving.json"), &left).unwrap();
    assert_eq!(Serving::read(dir).unwrap(), None);
    assert_eq!(who(dir).unwrap(), Who::Nobody);
    // The next holder has not said anything yet: the old word must not count as its own.
    let _lock = GarageLock::acquire(dir).unwrap();
    assert_eq!(who(dir).unwrap(), Who::Somebody);
}

#[test]
fn a_side_file_of_junk_is_somebody() {
    let here = here();
    let dir = here.garage.dir();
    let _lock = GarageLock::acquire(dir).unwrap();
    for junk in ["", "{", "\u{0}", "[1]", &"x".repeat(100_000)] {
        std::fs::write(dir.join("serving.json"), junk).unwrap();
        assert_eq!(who(dir).unwrap(), Who::Somebody);
    }
}

#[cfg(unix)]
#[test]
fn only_the_user_reads_the_token() {
    use std::os::unix::fs::PermissionsExt;
    let here = here();
    let lock = GarageLock::acquire(here.garage.dir()).unwrap();
    let path = here.garage.dir().join("serving.json");
    for _ in 0..2 {
        lock.announce(&serving()).unwrap();
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
}

#[test]
fn tokens_differ() {
    let (one, two) = (random_token().unwrap(), random_token().unwrap());
    assert_ne!(one, two);
    assert!(one.len() == 32 && one.chars().all(|c| c.is_ascii_hexdigit()));
}

//! The phones that are let in: kept whole, for the user only, and never in place of another file.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use std::fs;

use lastbolt_store::{Garage, KeptPhone, KeptPhones, PHONES_MAX, StoreError};

fn phone(number: u32) -> KeptPhone {
    KeptPhone {
        name: format!("phone {number}"),
        hash: format!("{number:064x}"),
        whole_garage: false,
        jobs: vec!["kelp-1".into()],
        let_in_at_ms: 1,
        heard_at_ms: 2,
    }
}

#[test]
fn kept_and_read_again() {
    let dir = tempfile::tempdir().unwrap();
    let garage = Garage::open(dir.path()).unwrap();
    assert_eq!(garage.phones().unwrap(), None);
    let mut kept = KeptPhones::new("0a1b".into());
    kept.phones = vec![phone(1), phone(2)];
    kept.last = 2;
    garage.keep_phones(&kept).unwrap();
    kept.phones.remove(0);
    garage.keep_phones(&kept).unwrap();
    assert_eq!(garage.phones().unwrap(), Some(kept));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(dir.path().join("phones.json")).unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "only the user may read it");
    }
}

/// A file that is not understood must neither let anybody in nor be written over unseen.
#[test]
fn what_is_not_understood_is_refused_and_stays() {
    let dir = tempfile::tempdir().unwrap();
    let garage = Garage::open(dir.path()).unwrap();
    let good = serde_json::to_string(&KeptPhones::new("0a".into())).unwrap();
    let newer = good.replace("\"version\":1", "\"version\":2");
    let no_word = good.replace("\"0a\"", "\"a; Path=/x\"");
    for text in ["", "{}", "[1]", newer.as_str(), no_word.as_str()] {
        let path = dir.path().join("phones.json");
        fs::write(&path, text).unwrap();
        let error = garage.phones().unwrap_err();
        assert!(matches!(error, StoreError::Damaged { .. }), "{text}: {error}");
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    }
}

#[test]
fn too_many_are_refused_and_the_old_list_stays() {
    let dir = tempfile::tempdir().unwrap();
    let garage = Garage::open(dir.path()).unwrap();
    let mut kept = KeptPhones::new("0a".into());
    kept.phones = (0..PHONES_MAX as u32).map(phone).collect();
    garage.keep_phones(&kept).unwrap();
    let before = kept.clone();
    kept.phones.push(phone(9999));
    assert!(garage.keep_phones(&kept).is_err());
    assert_eq!(garage.phones().unwrap(), Some(before));
}

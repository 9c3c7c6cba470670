//! Why: a picture is often the only witness of how a thing sat. It is kept once, whole or not at
//! all, and neither a name nor a limit lets anything else in.

#![allow(clippy::unwrap_used, reason = "a test: what fails here fails the test")]

mod common;

use std::fs;

use common::{begin, everything, here};
use lastbolt_store::{JOB_PHOTOS_MAX, PHOTO_BYTES_MAX, PhotoSize, StoreError};

fn name(number: usize) -> String {
    format!("{number:064x}")
}

#[test]
fn kept_once() {
    let here = here();
    let id = begin(&here.garage);
    let photos = here.garage.photos(&id);
    assert_eq!(photos.read(&name(1), PhotoSize::Whole).unwrap(), None);
    assert!(!photos.has(&name(1)));
    assert!(photos.keep(&name(1), b"whole", b"small").unwrap());
    let before = everything(here.garage.dir());
    assert!(!photos.keep(&name(1), b"whole", b"small").unwrap(), "it is there");
    assert!(everything(here.garage.dir()) == before);
    assert!(photos.has(&name(1)));
    assert_eq!(photos.read(&name(1), PhotoSize::Whole).unwrap().unwrap(), b"whole");
    assert_eq!(photos.read(&name(1), PhotoSize::Small).unwrap().unwrap(), b"small");
    let folder = fs::read_dir(here.garage.job_dir(&id).join("photos")).unwrap();
    assert_eq!(folder.count(), 2, "nothing unfinished");
    let jobs = fs::read_dir(here.garage.job_dir(&id).parent().unwrap()).unwrap();
    assert_eq!(jobs.count(), 1, "nothing unfinished");
    assert_eq!(here.garage.open_job(id.as_str()).unwrap().photos(), photos);
}

/// What a killed program can leave: the small one alone, or one cut short by a full disk under
/// another system. Bringing the picture again mends it.
#[test]
fn half_kept_ones_are_mended() {
    let here = here();
    let id = begin(&here.garage);
    let photos = here.garage.photos(&id);
    let dir = here.garage.job_dir(&id).join("photos");
    fs::create_dir(&dir).unwrap();
    fs::write(dir.join(format!("{}.s.jpg", name(1))), b"small").unwrap();
    assert!(!photos.has(&name(1)), "the small one alone is no picture");
    assert_eq!(photos.read(&name(1), PhotoSize::Whole).unwrap(), None);
    assert!(photos.keep(&name(1), b"whole", b"small").unwrap());
    fs::write(dir.join(format!("{}.jpg", name(1))), b"who").unwrap();
    assert!(photos.keep(&name(1), b"whole", b"small").unwrap());
    assert_eq!(photos.read(&name(1), PhotoSize::Whole).unwrap().unwrap(), b"whole");
    fs::remove_file(dir.join(format!("{}.s.jpg", name(1)))).unwrap();
    assert_eq!(photos.read(&name(1), PhotoSize::Small).unwrap().unwrap(), b"whole");
}

#[test]
fn names_lead_nowhere_else() {
    let here = here();
    let id = begin(&here.garage);
    let photos = here.garage.photos(&id);
    let before = everything(here.garage.dir());
    let long = "a".repeat(65);
    let large = "A".repeat(64);
    for name in ["", "../job", "job.db", "..", &long, &large, &format!("{}/", "a".repeat(63))] {
        let refused = photos.keep(name, b"x", b"x");
        assert!(matches!(refused, Err(StoreError::Refused { .. })), "{name}");
        assert!(photos.read(name, PhotoSize::Whole).is_err(), "{name}");
        assert!(!photos.has(name), "{name}");
    }
    assert!(everything(here.garage.dir()) == before);
}

/// The last one that fits is kept, the next is refused with a sentence, and what stands stays.
#[test]
fn limits_hold() {
    let here = here();
    let id = begin(&here.garage);
    let photos = here.garage.photos(&id);
    photos.keep(&name(0), b"whole", b"small").unwrap();
    let dir = here.garage.job_dir(&id).join("photos");
    for number in 1..JOB_PHOTOS_MAX - 1 {
        fs::write(dir.join(format!("{}.jpg", name(number))), b"").unwrap();
    }
    assert!(photos.keep(&name(JOB_PHOTOS_MAX), b"whole", b"small").unwrap());
    let refused = photos.keep(&name(JOB_PHOTOS_MAX + 1), b"whole", b"small").unwrap_err();
    assert!(refused.to_string().contains("2000 pictures"), "{refused}");
    assert!(!photos.keep(&name(0), b"whole", b"small").unwrap(), "those that are there are there");
    let large = vec![0; usize::try_from(PHOTO_BYTES_MAX).unwrap() + 1];
    assert!(photos.keep(&name(7), &large, b"small").is_err());
}

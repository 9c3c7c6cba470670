//! Why: docs/garage-folder.md is what somebody reads who has only the files left. It must not
//! drift from the program.

use lastbolt_ledger as ledger;
use lastbolt_ledger::Verb;
use lastbolt_store as store;

const DOC: &str = include_str!("../../../docs/garage-folder.md");

#[track_caller]
fn says(text: &str) {
    assert!(DOC.contains(text), "docs/garage-folder.md does not say {text:?}");
}

/// Gives a number as the doc writes it: 200,000.
fn number(number: usize) -> String {
    let digits = number.to_string();
    let parts: Vec<_> = digits.as_bytes().rchunks(3).rev().map(String::from_utf8_lossy).collect();
    parts.join(",")
}

#[test]
fn every_verb_and_column_is_there() {
    for verb in Verb::ALL {
        says(&format!("`{verb}`"));
    }
    let columns = "seq id recorded_at_ms sender count seen said_at_ms verb thing spot tool person \
                   note pieces of more role text made_at unique title source created_at_ms port \
                   bytes sum number";
    for column in columns.split_whitespace() {
        says(&format!("`{column}`"));
    }
}

#[test]
fn numbers_are_the_programs() {
    let mib = |bytes: u64| bytes / (1024 * 1024);
    says(&format!("| {} · {} |", number(ledger::EVENTS_MAX), number(store::BATCH_MAX)));
    says(&format!(
        "| {} · {} · {} |",
        ledger::ID_CHARS_MAX,
        ledger::NAME_CHARS_MAX,
        number(ledger::TEXT_CHARS_MAX)
    ));
    says(&format!("| {} · {} |", number(ledger::PIECES_MAX as usize), ledger::TAKE_BACK_DEPTH_MAX));
    says(&format!(
        "| {} MiB · {} · {} MiB · {} MiB |",
        mib(store::DB_BYTES_MAX),
        store::FILES_MAX,
        mib(store::FILE_BYTES_MAX as u64),
        mib(store::PLAN_BYTES_MAX as u64)
    ));
    says(&format!(
        "| {} · {} · {} KiB |",
        store::TITLE_CHARS_MAX,
        number(store::SOURCE_CHARS_MAX),
        store::META_BYTES_MAX / 1024
    ));
    says(&format!(
        "| {} · {} · {} MiB · 16 GiB |",
        number(store::JOBS_MAX),
        number(store::PHOTOS_MAX),
        mib(store::PHOTO_BYTES_MAX)
    ));
    says(&format!(
        "| {} · {} MiB |",
        number(store::JOB_PHOTOS_MAX),
        number(usize::try_from(mib(store::JOB_PHOTOS_BYTES_MAX)).expect("it is not so large"))
    ));
    says(&format!("at most {} of {{`name`", store::PHONES_MAX));
    for version in 1..=store::JOB_VERSION {
        says(&format!("\n| {version} | "));
    }
    for id in [store::JOB_APPLICATION_ID, store::BACKUP_APPLICATION_ID] {
        says(&String::from_utf8_lossy(&id.to_be_bytes()));
    }
}

//! Records as rows of the `events` table.

use std::path::Path;

use lastbolt_ledger::{Event, EventId, More, Recorded, Verb};
use rusqlite::{Connection, Row, params};

use crate::error::StoreError;

/// Writes records, in order. The caller commits.
pub(crate) fn insert(
    conn: &Connection,
    records: &[Recorded],
    path: &Path,
) -> Result<(), StoreError> {
    let sql = StoreError::sql(path);
    let mut statement = conn
        .prepare_cached(
            "INSERT INTO events (seq, id, recorded_at_ms, sender, count, seen, said_at_ms, verb, \
             thing, spot, tool, person, note, pieces, of, more) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
        )
        .map_err(&sql)?;
    for Recorded { seq, recorded_at_ms, event } in records {
        statement
            .execute(params![
                whole(*seq, path)?,
                event.id.as_str(),
                recorded_at_ms,
                event.sender,
                whole(event.count, path)?,
                whole(event.seen, path)?,
                event.said_at_ms,
                event.verb.as_str(),
                event.thing,
                event.spot,
                event.tool,
                event.person,
                event.note,
                event.pieces,
                event.of.as_ref().map(EventId::as_str),
                event.more.as_ref().map(More::to_text),
            ])
            .map_err(&sql)?;
    }
    Ok(())
}

fn whole(number: u64, path: &Path) -> Result<i64, StoreError> {
    i64::try_from(number).map_err(|_| StoreError::Sql {
        path: path.to_owned(),
        detail: format!("{number} is too large"),
    })
}

/// Reads the records after a number, in order.
pub(crate) fn read_after(
    conn: &Connection,
    seq: u64,
    path: &Path,
) -> Result<Vec<Recorded>, StoreError> {
    let sql = StoreError::sql(path);
    let mut statement = conn
        .prepare_cached(
            "SELECT seq, id, recorded_at_ms, sender, count, seen, said_at_ms, verb, thing, spot, \
             tool, person, note, pieces, of, more FROM events WHERE seq > ?1 ORDER BY seq",
        )
        .map_err(&sql)?;
    let mut rows = statement.query([whole(seq, path)?]).map_err(&sql)?;
    let mut records = Vec::new();
    while let Some(row) = rows.next().map_err(&sql)? {
        records.push(read(row).map_err(|detail| StoreError::Damaged {
            path: path.to_owned(),
            detail: format!("entry after number {}: {detail}", seq + records.len() as u64),
        })?);
    }
    Ok(records)
}

fn read(row: &Row<'_>) -> Result<Recorded, String> {
    let text = |at: usize| row.get::<_, String>(at).map_err(|e| e.to_string());
    let maybe = |at: usize| row.get::<_, Option<String>>(at).map_err(|e| e.to_string());
    let number = |at: usize| row.get::<_, i64>(at).map_err(|e| e.to_string());
    let count = |at: usize| {
        u64::try_from(number(at)?).map_err(|_| format!("a number below zero in column {at}"))
    };
    let id = |text: &str| EventId::new(text).map_err(|_| "an id that none can be".to_owned());
    let pieces = row.get::<_, Option<u32>>(13).map_err(|e| e.to_string())?;
    let event = Event {
        id: id(&text(1)?)?,
        sender: text(3)?,
        count: count(4)?,
        seen: count(5)?,
        said_at_ms: number(6)?,
        verb: Verb::read(&text(7)?),
        thing: maybe(8)?,
        spot: maybe(9)?,
        tool: maybe(10)?,
        person: maybe(11)?,
        note: maybe(12)?,
        pieces,
        of: maybe(14)?.as_deref().map(id).transpose()?,
        more: maybe(15)?.as_deref().map(More::from_text).transpose()?,
    };
    Ok(Recorded { seq: count(0)?, recorded_at_ms: number(2)?, event })
}

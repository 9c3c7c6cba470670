//! The stream: nothing missed, nothing twice, and the server's end ends it.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::time::Duration;

use crate::tests::ship::{Ship, event};

/// Opens a stream and reads its records' numbers until `last` has come.
fn numbers(ship: &Ship, path: &str, header: &str, last: u64, between: impl FnOnce()) -> Vec<u64> {
    let mut stream = TcpStream::connect(("127.0.0.1", ship.port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let head = format!(
        "GET /api/job/{}/stream{path} HTTP/1.1\r\nhost: 127.0.0.1:{}\r\n{header}\r\n",
        ship.job, ship.port
    );
    stream.write_all(head.as_bytes()).unwrap();
    let mut lines = BufReader::new(stream).lines();
    let mut between = Some(between);
    let mut numbers = Vec::new();
    while let Some(Ok(line)) = lines.next() {
        if let Some(id) = line.strip_prefix("id: ") {
            numbers.push(id.parse().unwrap());
        }
        // The stream is open and has replayed: only now more is recorded.
        if line.starts_with("event: screen")
            && let Some(between) = between.take()
        {
            between();
        }
        if numbers.last() == Some(&last) {
            break;
        }
    }
    numbers
}

#[test]
fn replays_what_was_missed_and_goes_on() {
    let ship = Ship::launch();
    let said =
        |n: u32| event(&format!("e{n}"), if n.is_multiple_of(2) { "off" } else { "on" }, "cover");
    for n in 1..=3 {
        ship.record(&[said(n)]);
    }
    let more = || {
        for n in 4..=5 {
            ship.record(&[said(n)]);
        }
    };
    assert_eq!(numbers(&ship, "?since=1", "", 5, more), [2, 3, 4, 5]);
    let none = || ();
    assert_eq!(numbers(&ship, "?since=1", "last-event-id: 3\r\n", 5, none), [4, 5]);
    assert_eq!(numbers(&ship, "?since=0", "", 5, none), [1, 2, 3, 4, 5]);
    let after = || drop(ship.record(&[said(6)]));
    assert_eq!(numbers(&ship, "", "", 6, after), [6], "without a number only what comes");
}

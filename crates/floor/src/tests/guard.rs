//! No page of another site may read or record anything: a person only has to have one open.

use crate::tests::ship::{Ship, TOKEN, event};
use serde_json::json;

const GOOD_HOST: (&str, &str) = ("host", "127.0.0.1:PORT");
const OWN: (&str, &str) = ("origin", "http://127.0.0.1:PORT");
const JSON: (&str, &str) = ("content-type", "application/json");

struct Try {
    why: &'static str,
    method: &'static str,
    headers: Vec<(&'static str, &'static str)>,
    status: u16,
}

fn refused() -> Vec<Try> {
    let post = |why, headers, status| Try { why, method: "POST", headers, status };
    let get = |why, headers, status| Try { why, method: "GET", headers, status };
    vec![
        get("no host", vec![], 403),
        get("a name that leads here", vec![("host", "evil.example:PORT")], 403),
        get("another port", vec![("host", "127.0.0.1:1")], 403),
        get("no port", vec![("host", "127.0.0.1")], 403),
        get("two hosts", vec![GOOD_HOST, ("host", "evil.example:PORT")], 403),
        get("a foreign page reads", vec![GOOD_HOST, ("origin", "http://evil.example")], 403),
        get("a file reads", vec![GOOD_HOST, ("origin", "null")], 403),
        post("foreign origin", vec![GOOD_HOST, ("origin", "http://evil.example"), JSON], 403),
        post("null origin", vec![GOOD_HOST, ("origin", "null"), JSON], 403),
        post("another port's page", vec![GOOD_HOST, ("origin", "http://127.0.0.1:1"), JSON], 403),
        post(
            "own name, other scheme",
            vec![GOOD_HOST, ("origin", "https://127.0.0.1:PORT"), JSON],
            403,
        ),
        post("two origins", vec![GOOD_HOST, OWN, ("origin", "http://evil.example"), JSON], 403),
        post("no origin, no token", vec![GOOD_HOST, JSON], 403),
        post("cross-site", vec![GOOD_HOST, OWN, ("sec-fetch-site", "cross-site"), JSON], 403),
        post("same-site", vec![GOOD_HOST, ("sec-fetch-site", "same-site"), JSON], 403),
        post("no site", vec![GOOD_HOST, ("sec-fetch-site", "none"), JSON], 403),
        post("foreign host", vec![("host", "evil.example:PORT"), OWN, JSON], 403),
        post("wrong token", vec![GOOD_HOST, ("authorization", "Bearer 0"), JSON], 403),
        post("empty token", vec![GOOD_HOST, ("authorization", "Bearer "), JSON], 403),
        post("a form", vec![GOOD_HOST, OWN, ("content-type", "text/plain")], 415),
        post(
            "a form's kind",
            vec![GOOD_HOST, OWN, ("content-type", "application/x-www-form-urlencoded")],
            415,
        ),
        post("no kind", vec![GOOD_HOST, OWN], 415),
        post(
            "right token on a foreign page",
            vec![
                GOOD_HOST,
                ("origin", "http://evil.example"),
                ("authorization", "Bearer TOKEN"),
                JSON,
            ],
            403,
        ),
    ]
}

/// Gives what was let in though it must not be, or answered otherwise than it should.
fn let_in(ship: &Ship) -> Vec<String> {
    let mut wrong = Vec::new();
    for (number, one) in refused().into_iter().enumerate() {
        let token = format!("Bearer {TOKEN}");
        let headers: Vec<(&str, &str)> = one
            .headers
            .iter()
            .map(|&(name, value)| (name, if value == "Bearer TOKEN" { &*token } else { value }))
            .collect();
        let body =
            json!({ "version": 1, "events": [event(&format!("g{number}"), "off", "cover")] });
        let (path, body) = match one.method {
            "GET" => (format!("/api/job/{}/screen", ship.job), String::new()),
            _ => (ship.events_path(), body.to_string()),
        };
        let reply = ship.send(one.method, &path, &headers, body.as_bytes());
        if reply.status != one.status {
            wrong.push(format!("{}: {}", one.why, reply.status));
        }
        if reply.status == 403 && !reply.json()["message"].as_str().unwrap().ends_with('.') {
            wrong.push(format!("{}: no sentence", one.why));
        }
    }
    if ship.screen()["seen"] != 0 {
        wrong.push("something was recorded".into());
    }
    wrong
}

#[test]
fn strangers_are_refused() {
    assert_eq!(let_in(&Ship::launch()), Vec::<String>::new());
}

/// The test above proves something only if a server without the guard fails it.
#[test]
fn the_twin_without_a_guard_is_found_out() {
    let wrong = let_in(&Ship::unguarded());
    assert!(wrong.len() >= 20, "{wrong:?}");
    assert!(wrong.contains(&"something was recorded".to_owned()), "{wrong:?}");
}

#[test]
fn own_pages_and_commands_are_let_in() {
    let ship = Ship::launch();
    let token = format!("Bearer {TOKEN}");
    let ways: [&[(&str, &str)]; 5] = [
        &[GOOD_HOST, OWN, JSON],
        &[("host", "localhost:PORT"), ("origin", "http://localhost:PORT"), JSON],
        &[("host", "[::1]:PORT"), ("origin", "http://[::1]:PORT"), JSON],
        &[
            GOOD_HOST,
            ("sec-fetch-site", "same-origin"),
            ("content-type", "application/json; charset=utf-8"),
        ],
        &[GOOD_HOST, ("authorization", &token), JSON],
    ];
    for (number, headers) in ways.into_iter().enumerate() {
        let event = event(&format!("ok{number}"), "said", "cover");
        let mut event = event;
        event["note"] = json!("seen");
        let body = json!({ "version": 1, "events": [event] }).to_string();
        let reply = ship.send("POST", &ship.events_path(), headers, body.as_bytes());
        assert_eq!(reply.status, 200, "{headers:?}: {}", reply.body);
    }
    assert_eq!(ship.screen()["seen"], 5);
}

/// Every answer, refusals too, carries the headers; none opens the door to other sites.
#[test]
fn headers_on_every_answer() {
    let ship = Ship::launch();
    let job = format!("/job/{}", ship.job);
    for path in ["/", &job, "/nothing", "/api/nothing", &crate::assets::address("floor.css")] {
        let head = ship.get(path).head;
        assert!(head.contains("content-security-policy: default-src 'none'; script-src 'self'"));
        assert!(head.contains("frame-ancestors 'none'"), "{path}");
        assert!(head.contains("x-content-type-options: nosniff"), "{path}");
        assert!(head.contains("referrer-policy: no-referrer"), "{path}");
        assert!(!head.contains("access-control-"), "{path}");
    }
    let foreign = ship.send("GET", "/", &[("host", "evil.example")], b"");
    assert!(foreign.head.contains("content-security-policy"), "{}", foreign.head);
    assert_eq!(foreign.status, 403);
}

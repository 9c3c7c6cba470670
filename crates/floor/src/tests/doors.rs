//! Who gets in from the garage's network: a table of requests, and wrong guards that it must find
//! out.

use std::net::SocketAddr;

use axum::http::header::{HOST, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method};

use crate::door::{Ends, Pass};
use crate::guard::{Judged, judge};
use crate::phones::{Phones, Scope};
use crate::tests::ship::{Ship, TOKEN};

const HERE: &str = "192.168.7.5";
const PHONE: &str = "192.168.7.20";
const LAN: (&str, &str) = ("host", "192.168.7.5:PORT");
const OWN: (&str, &str) = ("origin", "http://192.168.7.5:PORT");
const HOME: (&str, &str) = ("host", "127.0.0.1:PORT");
const JSON: (&str, &str) = ("content-type", "application/json");
const COOKIE: (&str, &str) = ("cookie", "a=b; NAME=OWN; c=d");
const TOKENED: (&str, &str) = ("authorization", "Bearer TOKEN");

/// What is expected, and what came of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Got {
    Home,
    Phone,
    Stranger,
    Elsewhere,
    Refused,
}

struct Try {
    why: &'static str,
    method: Method,
    path: &'static str,
    headers: Vec<(&'static str, &'static str)>,
    here: &'static str,
    there: &'static str,
    expect: Got,
}

fn get(why: &'static str, path: &'static str, headers: &[(&'static str, &'static str)]) -> Try {
    let headers = headers.to_vec();
    let (here, there, expect) = (HERE, PHONE, Got::Refused);
    Try { why, method: Method::GET, path, headers, here, there, expect }
}

fn post(why: &'static str, path: &'static str, headers: &[(&'static str, &'static str)]) -> Try {
    let headers = [headers, &[JSON]].concat();
    Try { method: Method::POST, headers, ..get(why, path, &[]) }
}

impl Try {
    fn gives(self, expect: Got) -> Self {
        Self { expect, ..self }
    }

    fn at_home(self) -> Self {
        Self { here: "127.0.0.1", there: "127.0.0.1", ..self }
    }
}

fn let_in() -> Vec<Try> {
    vec![
        get("a phone at its job", "/job/JOB", &[LAN, COOKIE]).gives(Got::Phone),
        get("by the machine's name", "/job/JOB/list", &[("host", "Bench.local:PORT"), COOKIE])
            .gives(Got::Phone),
        get("its stream", "/api/job/JOB/stream", &[LAN, COOKIE]).gives(Got::Phone),
        get("the sign leads to its job", "/", &[LAN, COOKIE]).gives(Got::Elsewhere),
        post("it records", "/api/job/JOB/events", &[LAN, OWN, COOKIE]).gives(Got::Phone),
        get("a stranger asks", "/in", &[LAN]).gives(Got::Stranger),
        get("and gets the style", "/asset/0/floor.css", &[LAN]).gives(Got::Stranger),
        post("and tries a code", "/api/in", &[LAN, OWN]).gives(Got::Stranger),
        get("this machine", "/", &[HOME]).at_home().gives(Got::Home),
        get("its page of phones", "/phones", &[HOME]).at_home().gives(Got::Home),
        post("its commands", "/api/phones/code", &[HOME, TOKENED]).at_home().gives(Got::Home),
    ]
}

fn kept_out() -> Vec<Try> {
    let site = |from| ("sec-fetch-site", from);
    vec![
        get("a name that leads here", "/job/JOB", &[("host", "evil.example:PORT"), COOKIE]),
        get("that name asks to be let in", "/in", &[("host", "evil.example:PORT")]),
        get("another machine's address", "/job/JOB", &[("host", "192.168.7.6:PORT"), COOKIE]),
        get("another port", "/job/JOB", &[("host", "192.168.7.5:1"), COOKIE]),
        get("no port", "/job/JOB", &[("host", "192.168.7.5"), COOKIE]),
        get("a longer name", "/job/JOB", &[("host", "x.bench.local:PORT"), COOKIE]),
        get("two hosts", "/job/JOB", &[LAN, HOME, COOKIE]),
        get("no host", "/job/JOB", &[COOKIE]),
        get("the home's name, from the network", "/", &[HOME]),
        get("the home's other name", "/phones", &[("host", "localhost:PORT"), COOKIE]),
        post("and with its token", "/api/job/JOB/events", &[HOME, TOKENED]),
        get("the network's name from home", "/job/JOB", &[LAN]).at_home(),
        post("the token over the network", "/api/job/JOB/events", &[LAN, TOKENED]),
        get("nobody", "/job/JOB", &[LAN]),
        get("nobody, the style's neighbour", "/asset", &[LAN]),
        get("a wrong cookie", "/job/JOB", &[LAN, ("cookie", "NAME=0123")]),
        get("an empty cookie", "/job/JOB", &[LAN, ("cookie", "NAME=")]),
        get("a cookie of another name", "/job/JOB", &[LAN, ("cookie", "lastbolt_=OWN")]),
        get("another job", "/job/other-1", &[LAN, COOKIE]),
        get("another job's stream", "/api/job/other-1/stream", &[LAN, COOKIE]),
        get("its job, written otherwise", "/job/JO%42", &[LAN, COOKIE]),
        post("a new job", "/api/begin", &[LAN, OWN, COOKIE]),
        get("who else is in", "/phones", &[LAN, COOKIE]),
        post("a code for a friend", "/api/phones/code", &[LAN, OWN, COOKIE]),
        post("a stranger's code", "/api/phones/code", &[LAN, OWN]),
        post("no origin", "/api/job/JOB/events", &[LAN, COOKIE]),
        post(
            "a foreign page",
            "/api/job/JOB/events",
            &[LAN, COOKIE, ("origin", "http://evil.example")],
        ),
        post(
            "the home's page",
            "/api/job/JOB/events",
            &[LAN, COOKIE, ("origin", "http://127.0.0.1:PORT")],
        ),
        post("cross-site", "/api/job/JOB/events", &[LAN, OWN, COOKIE, site("cross-site")]),
        post("a foreign page tries a code", "/api/in", &[LAN, ("origin", "http://evil.example")]),
        post("nobody's page tries a code", "/api/in", &[LAN]),
        get("a foreign page reads", "/job/JOB", &[LAN, COOKIE, ("origin", "null")]),
    ]
}

/// A guard, right or wrong on purpose.
type Guard = fn(&Ship, Option<Ends>, &Method, &str, &HeaderMap) -> Got;

fn right(ship: &Ship, ends: Option<Ends>, method: &Method, path: &str, headers: &HeaderMap) -> Got {
    match judge(&ship.hall, ends, method, path, headers) {
        Err(refusal) => {
            assert!(refusal.sentence.ends_with('.'), "a sentence: {}", refusal.sentence);
            Got::Refused
        }
        Ok(Judged::GoTo(page)) if page == format!("/job/{}", ship.job) => Got::Elsewhere,
        Ok(Judged::GoTo(page)) => panic!("it leads to {page}"),
        Ok(Judged::Let(Pass::Home)) => Got::Home,
        Ok(Judged::Let(Pass::Phone { .. })) => Got::Phone,
        Ok(Judged::Let(Pass::Stranger { .. })) => Got::Stranger,
    }
}

/// Gives what the guard decides otherwise than it should.
fn wrong(guard: Guard) -> Vec<&'static str> {
    let ship = Ship::with_phones();
    let phones: &Phones = ship.hall.phones.as_ref().unwrap();
    let code = phones.code(&Scope::Job(ship.job.clone()), false).unwrap();
    let from = PHONE.parse().unwrap();
    let let_in_phone = phones.let_in(from, code.secret.reveal(), None).ok().unwrap();
    let fill = |text: &str| {
        text.replace("PORT", &ship.port.to_string())
            .replace("NAME", phones.cookie())
            .replace("OWN", let_in_phone.own.reveal())
            .replace("TOKEN", TOKEN)
            .replace("JOB", ship.job.as_str())
    };
    let mut wrong = Vec::new();
    for one in let_in().into_iter().chain(kept_out()) {
        let end = |ip: &str| SocketAddr::new(ip.parse().unwrap(), ship.port);
        let ends = Ends { here: Some(end(one.here)), there: end(one.there) };
        let mut headers = HeaderMap::new();
        for (name, value) in &one.headers {
            let name = HeaderName::from_static(name);
            headers.append(name, HeaderValue::from_str(&fill(value)).unwrap());
        }
        if guard(&ship, Some(ends), &one.method, &fill(one.path), &headers) != one.expect {
            wrong.push(one.why);
        }
    }
    wrong
}

#[test]
fn everybody_gets_what_is_theirs() {
    assert_eq!(wrong(right), Vec::<&str>::new());
}

/// Without the two ends of the connection nobody can be told apart.
#[test]
fn nobody_without_ends() {
    let ship = Ship::with_phones();
    let mut headers = HeaderMap::new();
    headers.insert(HOST, HeaderValue::from_str(&format!("127.0.0.1:{}", ship.port)).unwrap());
    assert_eq!(right(&ship, None, &Method::GET, "/", &headers), Got::Refused);
}

/// Without `--phones` no name of the network is answered to, whoever asks.
#[test]
fn no_network_without_phones() {
    let ship = Ship::launch();
    let end = |ip: &str| SocketAddr::new(ip.parse().unwrap(), ship.port);
    for (host, here, there) in [(HERE, HERE, PHONE), ("bench.local", "127.0.0.1", "127.0.0.1")] {
        let ends = Ends { here: Some(end(here)), there: end(there) };
        let mut headers = HeaderMap::new();
        headers.insert(HOST, HeaderValue::from_str(&format!("{host}:{}", ship.port)).unwrap());
        assert_eq!(right(&ship, Some(ends), &Method::GET, "/in", &headers), Got::Refused);
    }
}

/// The table proves something only if guards that forget something fail it.
#[test]
fn wrong_guards_are_found_out() {
    let any_host: Guard = |ship, ends, method, path, headers| {
        let mut headers = headers.clone();
        let here = ends.and_then(|ends| ends.here).unwrap();
        headers.insert(HOST, HeaderValue::from_str(&here.to_string()).unwrap());
        right(ship, ends, method, path, &headers)
    };
    let found = wrong(any_host);
    assert!(found.contains(&"a name that leads here"), "{found:?}");
    let believes_the_name: Guard = |ship, ends, method, path, headers| {
        let home = SocketAddr::from(([127, 0, 0, 1], ship.port));
        let ends = ends.map(|ends| Ends { there: home, ..ends });
        right(ship, ends, method, path, headers)
    };
    let found = wrong(believes_the_name);
    assert!(found.contains(&"the home's name, from the network"), "{found:?}");
    assert!(found.contains(&"and with its token"), "{found:?}");
    let every_path_is_its_job: Guard = |ship, ends, method, _, headers| {
        right(ship, ends, method, &format!("/job/{}", ship.job), headers)
    };
    let found = wrong(every_path_is_its_job);
    assert!(found.contains(&"another job"), "{found:?}");
    assert!(found.contains(&"who else is in"), "{found:?}");
    let no_origin_asked: Guard =
        |ship, ends, _, path, headers| right(ship, ends, &Method::GET, path, headers);
    let found = wrong(no_origin_asked);
    assert!(found.contains(&"no origin") && found.contains(&"cross-site"), "{found:?}");
}

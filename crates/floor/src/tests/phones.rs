//! A phone from the code to being shut out, over real sockets at this machine's own address.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use serde_json::json;

use crate::phones::{Phones, Scope, addresses};
use crate::tests::ship::{Reply, Ship, TOKEN, event};
use crate::tests::words::{forbidden, text_of};

/// This machine's address on a network; without one there is nothing to try.
fn lan() -> Option<String> {
    let found = addresses().first().map(ToString::to_string);
    if found.is_none() {
        println!("skipped: this machine is on no network");
    }
    found
}

fn code(ship: &Ship) -> String {
    let phones = ship.hall.phones.as_ref().unwrap();
    let code = phones.code(&Scope::Job(ship.job.clone()), false).unwrap();
    code.secret.in_groups()
}

struct Phone<'a> {
    ship: &'a Ship,
    lan: String,
    cookie: Option<String>,
}

impl<'a> Phone<'a> {
    fn new(ship: &'a Ship, lan: &str) -> Self {
        Self { ship, lan: lan.to_owned(), cookie: None }
    }

    fn send(&self, method: &str, path: &str, body: &str) -> Reply {
        let host = format!("{}:{}", self.lan, self.ship.port);
        let origin = format!("http://{host}");
        let mut headers = vec![("host", host.as_str())];
        if method == "POST" {
            headers.extend([("origin", origin.as_str()), ("content-type", "application/json")]);
        }
        headers.extend(self.cookie.as_deref().map(|cookie| ("cookie", cookie)));
        self.ship.send_to(&self.lan, method, path, &headers, body.as_bytes())
    }

    fn say(&self, code: &str) -> Reply {
        self.send("POST", "/api/in", &json!({ "version": 1, "code": code }).to_string())
    }

    /// Says the code and keeps the cookie as a browser does.
    fn come_in(&mut self, code: &str) -> Reply {
        let reply = self.say(code);
        assert_eq!(reply.status, 200, "{}", reply.body);
        let line = reply.head.lines().find(|line| line.starts_with("set-cookie: ")).unwrap();
        let (pair, how) = line["set-cookie: ".len()..].split_once(';').unwrap();
        for attribute in ["path=/", "httponly", "samesite=strict", "max-age=15552000"] {
            assert!(how.split(';').any(|one| one.trim() == attribute), "{attribute}: {how}");
        }
        self.cookie = Some(pair.to_owned());
        reply
    }
}

/// Whether these bytes stand anywhere in the garage folder.
fn is_kept(folder: &Path, word: &str) -> bool {
    std::fs::read_dir(folder).unwrap().map(Result::unwrap).any(|entry| {
        let path = entry.path();
        if path.is_dir() {
            return is_kept(&path, word);
        }
        let bytes = std::fs::read(&path).unwrap();
        bytes.windows(word.len()).any(|window| window == word.as_bytes())
    })
}

#[test]
fn in_and_out_again() {
    let Some(lan) = lan() else { return };
    let ship = Ship::with_phones();
    let job = format!("/job/{}", ship.job);
    let mut phone = Phone::new(&ship, &lan);
    assert_eq!(phone.send("GET", &job, "").status, 403);
    let first = code(&ship);
    let reply = phone.come_in(&first.to_lowercase());
    assert_eq!(reply.json(), json!({ "version": 1, "name": "phone 1", "page": job }));
    let again = Phone::new(&ship, &lan).say(&first);
    assert_eq!(again.status, 403, "a photo of the code lets nobody in");
    assert!(!again.body.contains(&first) && !again.head.contains("set-cookie"));
    assert_eq!(phone.send("GET", &job, "").status, 200);
    assert_eq!(phone.send("GET", "/job/other-1", "").status, 403);
    assert_eq!(phone.send("GET", "/phones", "").status, 403);
    let said = json!({ "version": 1, "events": [event("p1", "off", "cover")] }).to_string();
    let record = |phone: &Phone<'_>| phone.send("POST", &ship.events_path(), &said);
    assert_eq!(record(&phone).status, 200);
    let own = phone.cookie.clone().unwrap();
    let own = own.split_once('=').unwrap().1;
    for secret in [own, &first, &first.replace('-', "")] {
        assert!(!is_kept(ship.dir.path(), secret), "only a hash is kept");
    }
    assert!(is_kept(ship.dir.path(), "phone 1"), "the search does find what is there");
    // A server that begins anew knows it by what was kept.
    let anew = Phones::open(ship.hall.garage.clone(), Scope::Garage).unwrap();
    assert_eq!(anew.find(&[own]).unwrap().name, "phone 1");
    let out = command(&ship, "shut-out", &json!({ "version": 1, "name": "phone 1" }));
    assert_eq!(out.status, 200, "{}", out.body);
    let refused = record(&phone);
    assert_eq!((refused.status, &refused.json()["let_in"]), (403, &json!(false)));
    let anew = Phones::open(ship.hall.garage.clone(), Scope::Garage).unwrap();
    assert!(anew.find(&[own]).is_none(), "nor is it in when the server begins anew");
    let nobody = command(&ship, "shut-out", &json!({ "version": 1, "name": "phone 1" }));
    assert_eq!(nobody.status, 404);
}

fn command(ship: &Ship, what: &str, body: &serde_json::Value) -> Reply {
    let token = format!("Bearer {TOKEN}");
    let headers = [
        ("host", "127.0.0.1:PORT"),
        ("content-type", "application/json"),
        ("authorization", token.as_str()),
    ];
    let path = format!("/api/phones/{what}");
    ship.send("POST", &path, &headers, body.to_string().as_bytes())
}

/// Being shut out ends what is open too.
#[test]
fn its_stream_ends_when_it_is_shut_out() {
    let Some(lan) = lan() else { return };
    let ship = Ship::with_phones();
    let mut phone = Phone::new(&ship, &lan);
    phone.come_in(&code(&ship));
    let mut stream = TcpStream::connect((lan.as_str(), ship.port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let head = format!(
        "GET /api/job/{}/stream HTTP/1.1\r\nhost: {lan}:{}\r\ncookie: {}\r\n\r\n",
        ship.job,
        ship.port,
        phone.cookie.as_ref().unwrap()
    );
    stream.write_all(head.as_bytes()).unwrap();
    let mut lines = BufReader::new(stream).lines();
    assert!(lines.by_ref().any(|line| line.unwrap().starts_with("event: screen")));
    assert!(ship.hall.phones.as_ref().unwrap().shut_out("phone 1").unwrap());
    // The last piece of a body that ends: without it this would wait for the time-out and fail.
    assert!(lines.map(Result::unwrap).any(|line| line == "0"));
}

#[test]
fn guessing_has_an_end() {
    let Some(lan) = lan() else { return };
    let ship = Ship::with_phones();
    let phone = Phone::new(&ship, &lan);
    let right = code(&ship);
    for _ in 0..crate::limits::TRIES_FROM_ONE_MAX {
        assert_eq!(phone.say("0000-0000-0000").status, 403);
    }
    let late = phone.say(&right);
    assert_eq!(late.status, 429);
    assert!(late.json()["message"].as_str().unwrap().contains("wait a minute"));
    let large = format!("{{\"version\":1,\"code\":\"{}\"}}", "x".repeat(2000));
    assert_eq!(phone.send("POST", "/api/in", &large).status, 413);
    let torn = phone.send("POST", "/api/in", &format!("{{\"version\":1,\"code\":\"{right}\""));
    assert_eq!(torn.status, 400);
    assert!(!torn.body.contains(&right), "an error does not repeat a code");
}

/// The page for this machine shows the code of now and who is in; another one on request.
#[test]
fn the_page_of_phones() {
    let Some(lan) = lan() else { return };
    let ship = Ship::with_phones();
    let page = ship.get("/phones");
    assert!(page.body.contains(&code(&ship)) && page.body.contains("<svg"));
    assert!(page.head.contains("cache-control: no-store"));
    assert!(page.body.contains(&format!("http://{lan}:{}", ship.port)));
    assert!(page.body.contains("no phone yet"));
    let before = code(&ship);
    let asked = command(&ship, "code", &json!({ "version": 1, "another": true }));
    assert!(asked.json()["blocks"].as_str().unwrap().lines().count() > 10, "{}", asked.body);
    assert_ne!(code(&ship), before);
    let mut phone = Phone::new(&ship, &lan);
    phone.come_in(&code(&ship));
    let page = ship.get("/phones").body;
    assert!(page.contains("Shut out") && page.contains("phone 1"));
    let asks = [
        page,
        phone.send("GET", "/in", "").body,
        Phone::new(&ship, &lan).send("GET", "/in", "").body,
        Phone::new(&ship, &lan).send("GET", "/", "").body,
        phone.send("GET", "/job/other-1", "").body,
        Ship::launch().get("/phones").body,
    ];
    for page in asks {
        let text = text_of(&page);
        assert_eq!(forbidden(&text), Vec::<String>::new(), "{text}");
        assert!(!page.contains("style=") && !page.contains("onclick"), "the policy forbids both");
    }
}

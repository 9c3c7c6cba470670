//! A server for a test: its own garage, its own port, and a client that sends what it is told.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::Duration;

use lastbolt_store::{FileRole, GarageLock, JobFile, JobId};
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use tokio::sync::watch;

use crate::hall::Hall;
use crate::phones::{Phones, Scope};
use crate::routes::routes;
use crate::serve::listen;
use crate::writer::Writer;

pub(crate) const TOKEN: &str = "0123456789abcdef0123456789abcdef";

/// A small machine of our own, invented: one cover over a plug, two screws, a hose.
pub(crate) const MACHINE: &str = r#"
machine = "Plover pump"
fixed = ["frame"]
[spot.above]
[spot.below]
cautions = ["raised machine"]
[prep."battery isolated"]
ways = [{ from = "above", minutes = 1 }]
back = [{ from = "above", minutes = 1 }]
ask = "how was it isolated?"
[part.cover]
ways = [{ from = "above", minutes = 1 }]
sits = "arrow to the front"
[tie."cover screws"]
kind = "screw"
count = 2
joins = ["cover", "frame"]
ways = [{ from = "above", tool = "socket 10", minutes = 2 }]
[part.pump]
kg = 7
needs = ["battery isolated"]
ways = [{ from = "below", clear = ["cover"], minutes = 2 }]
renew = ["pump gasket"]
[tie."pump plug"]
kind = "plug"
joins = ["pump", "frame"]
ways = [{ from = "above", clear = ["cover"], minutes = 0.5 }]
hidden_by = ["cover"]
[tie."pump hose"]
kind = "hose"
joins = ["pump", "frame"]
ways = [{ from = "below", tool = "pliers", minutes = 1 }]
[job]
renew = ["pump"]
complaint = ["<b>no</b> pressure"]
"#;

/// A running server.
pub(crate) struct Ship {
    pub(crate) port: u16,
    pub(crate) job: JobId,
    pub(crate) hall: Hall,
    leave: watch::Sender<bool>,
    runtime: Option<Runtime>,
    writer: Writer,
    thread: Option<std::thread::JoinHandle<()>>,
    _lock: GarageLock,
    pub(crate) dir: TempDir,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Reply {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("no JSON: {}", self.body))
    }
}

impl Ship {
    /// Starts the server as it is.
    pub(crate) fn launch() -> Self {
        Self::of(true, false)
    }

    /// Starts it as it is with phones: at every address of this machine.
    pub(crate) fn with_phones() -> Self {
        Self::of(true, true)
    }

    /// Starts the server and begins a job with nothing but two answers.
    pub(crate) fn from_nothing() -> Self {
        let mut ship = Self::launch();
        let said = json!({ "version": 1, "machine": "Bramble <i>saw</i>", "after": "spindle" });
        let reply = ship.begin(&said.to_string());
        assert_eq!(reply.status, 200, "{}", reply.body);
        ship.job = JobId::new(reply.json()["job"].as_str().unwrap()).unwrap();
        ship
    }

    /// Asks for a new job as the server's own page does.
    pub(crate) fn begin(&self, body: &str) -> Reply {
        let headers = [
            ("host", "127.0.0.1:PORT"),
            ("origin", "http://127.0.0.1:PORT"),
            ("content-type", "application/json"),
        ];
        self.send("POST", "/api/begin", &headers, body.as_bytes())
    }

    /// Starts its wrong twin: every address, and nobody at the door.
    pub(crate) fn unguarded() -> Self {
        Self::of(false, false)
    }

    fn of(guarded: bool, phones: bool) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let lock = GarageLock::acquire(dir.path()).unwrap();
        let file =
            JobFile { name: "machine.toml".into(), role: FileRole::Machine, text: MACHINE.into() };
        let job = lock.garage().begin("Plover", "plover.toml", &[file], 1_700_000_000_000).unwrap();
        let runtime = Runtime::new().unwrap();
        let (writer, thread) = Writer::start(lock.garage().clone()).unwrap();
        let (leave, leaving) = watch::channel(false);
        let listener =
            runtime.block_on(TcpListener::bind(if phones { "0.0.0.0:0" } else { "127.0.0.1:0" }));
        let listener = listener.unwrap();
        let port = listener.local_addr().unwrap().port();
        let hall = Hall::new(lock.garage().clone(), writer.clone(), port, TOKEN, leaving);
        let phones = phones.then(|| {
            let scope = Scope::Job(job.clone());
            let mut phones = Phones::open(lock.garage().clone(), scope).unwrap();
            phones.names = vec!["bench.local".into(), "bench".into()];
            Arc::new(phones)
        });
        let hall = hall.with_phones(phones);
        let kept = hall.clone();
        if guarded {
            runtime.spawn(listen(listener, hall));
        } else {
            let app = routes().with_state(hall);
            runtime.spawn(async move { axum::serve(listener, app).await });
        }
        let (runtime, thread) = (Some(runtime), Some(thread));
        Self { port, job, hall: kept, leave, runtime, writer, thread, _lock: lock, dir }
    }

    /// Sends a request with exactly these headers, and reads until the server closes.
    pub(crate) fn send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Reply {
        self.send_to("127.0.0.1", method, path, headers, body)
    }

    /// Sends a request to one of this machine's addresses.
    pub(crate) fn send_to(
        &self,
        address: &str,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Reply {
        let mut head = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        for (name, value) in headers {
            head.push_str(&format!(
                "{name}: {}\r\n",
                value.replace("PORT", &self.port.to_string())
            ));
        }
        if method == "POST" && !headers.iter().any(|(name, _)| *name == "content-length") {
            head.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        head.push_str("\r\n");
        let mut stream = TcpStream::connect((address, self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        // A server that refuses by the headers alone may close before it has read everything.
        let _ = stream.write_all(body);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        Reply { status, head: head.to_lowercase(), body: body.to_owned() }
    }

    /// Opens a page as the browser does.
    pub(crate) fn get(&self, path: &str) -> Reply {
        self.send("GET", path, &[("host", "127.0.0.1:PORT")], b"")
    }

    /// Opens a page of the job.
    pub(crate) fn page(&self, path: &str) -> String {
        let reply = self.get(&format!("/job/{}{path}", self.job));
        assert_eq!(reply.status, 200, "{path}: {}", reply.body);
        reply.body
    }

    pub(crate) fn events_path(&self) -> String {
        format!("/api/job/{}/events", self.job)
    }

    /// Sends a body as the server's own page does.
    pub(crate) fn post(&self, body: &[u8]) -> Reply {
        let headers = [
            ("host", "127.0.0.1:PORT"),
            ("origin", "http://127.0.0.1:PORT"),
            ("content-type", "application/json"),
        ];
        self.send("POST", &self.events_path(), &headers, body)
    }

    /// Records events and gives the answers.
    pub(crate) fn record(&self, events: &[Value]) -> Vec<Value> {
        let body = json!({ "version": 1, "events": events }).to_string();
        let reply = self.post(body.as_bytes());
        assert_eq!(reply.status, 200, "{}", reply.body);
        reply.json()["answers"].as_array().unwrap().clone()
    }

    /// Gives the working screen as data.
    pub(crate) fn screen(&self) -> Value {
        self.get(&format!("/api/job/{}/screen", self.job)).json()
    }
}

impl Drop for Ship {
    fn drop(&mut self) {
        self.leave.send_replace(true);
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_timeout(Duration::from_secs(2));
        }
        self.writer.leave();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// An event as a page sends it.
pub(crate) fn event(id: &str, verb: &str, thing: &str) -> Value {
    json!({
        "id": id, "sender": "test", "count": 1, "seen": 0,
        "said_at_ms": 1_700_000_060_000_i64, "verb": verb, "thing": thing,
    })
}

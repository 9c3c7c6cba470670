//! The real program as a server of the demo Kelp, for tests that kill it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/kelp");

/// The program, killed when the test is over however it ends.
pub(crate) struct Server {
    child: Child,
    pub(crate) job: String,
}

impl Server {
    pub(crate) fn begin(garage: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lastbolt"))
            .args(["open", DEMO, "--no-browser", "--garage"])
            .arg(garage)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let job = first.trim().rsplit_once('/').expect("an address is printed first").1.to_owned();
        Self { child, job }
    }

    /// SIGKILL.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

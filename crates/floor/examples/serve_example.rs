//! Serves a machine or job file from a garage folder of its own, for working on the pages:
//! `cargo run -p lastbolt-floor --example serve_example -- GARAGE PORT FILE...`
#![allow(clippy::print_stdout, reason = "it tells its address")]

use std::path::Path;

use lastbolt_floor::{Serve, serve};
use lastbolt_store::{FileRole, GarageLock, JobFile};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let garage = args.next().ok_or("give a garage folder")?;
    let port: u16 = args.next().ok_or("give a port, 0 for any")?.parse()?;
    let paths: Vec<String> = args.collect();
    let lock = GarageLock::acquire(Path::new(&garage))?;
    let source = paths.first().ok_or("give a file")?.clone();
    let job = match lock.garage().find_unfinished_by_source(&source)? {
        Some(job) => job,
        None => {
            let mut files = Vec::new();
            for path in &paths {
                let text = std::fs::read_to_string(path)?;
                let role =
                    if path.ends_with("job.toml") { FileRole::Job } else { FileRole::Machine };
                let name = path.rsplit('/').next().unwrap_or(path).to_owned();
                files.push(JobFile { name, role, text });
            }
            let title = Path::new(&source).parent().and_then(Path::file_name);
            let title = title.map_or("job".into(), |name| name.to_string_lossy().into_owned());
            lock.garage().begin(&title, &source, &files, 1_790_000_000_000)?
        }
    };
    let port = Some(port).filter(|&port| port > 0);
    let version = env!("CARGO_PKG_VERSION").to_owned();
    let options = Serve { lock, job: Some(job), port, phones: false, open_browser: false, version };
    serve(options, |ready| println!("{}", ready.page))?;
    Ok(())
}

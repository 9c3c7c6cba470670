//! Checks the files named on the command line and prints what is wrong: for trying things out.

use std::io::Write;

use lastbolt_files::{Source, check_all};

fn main() -> std::io::Result<()> {
    let mut sources = Vec::new();
    for name in std::env::args().skip(1) {
        let bytes = std::fs::read(&name)?;
        sources.push(Source::new(name, bytes));
    }
    let mut out = std::io::stdout().lock();
    for problem in check_all(&sources) {
        let name = sources.get(usize::from(problem.at.file.0)).map_or("", |s| s.name.as_str());
        let (line, column) = (problem.at.line, problem.at.column);
        writeln!(out, "{name}:{line}:{column} {:?} {}", problem.level, problem.kind)?;
        writeln!(out, "    {} {}", problem.message, problem.help)?;
    }
    Ok(())
}

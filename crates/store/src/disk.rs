//! Small things about files: scratch folders, making a rename last.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use crate::error::StoreError;

/// How the names of unfinished folders begin; such are never listed and swept at the next lock.
pub(crate) const UNFINISHED: &str = ".new-";

/// A folder for unfinished work, removed when dropped.
#[derive(Debug)]
pub(crate) struct Scratch {
    dir: PathBuf,
}

impl Scratch {
    /// Makes one in the system's temporary folder.
    pub(crate) fn anywhere() -> Result<Scratch, StoreError> {
        Scratch::inside(&std::env::temp_dir())
    }

    /// Makes one in a folder.
    pub(crate) fn inside(parent: &Path) -> Result<Scratch, StoreError> {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let pid = std::process::id();
        for _ in 0..1000 {
            let number = NEXT.fetch_add(1, Ordering::Relaxed);
            let dir = parent.join(format!("{UNFINISHED}{pid}-{number}"));
            match create_private_dir(&dir) {
                Ok(()) => return Ok(Scratch { dir }),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(StoreError::io(parent, "make a folder in")(error)),
            }
        }
        Err(StoreError::refused(format!(
            "{}: too many unfinished folders; remove those named {UNFINISHED}...",
            parent.display()
        )))
    }

    /// Gives the folder.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // What was renamed away is gone from here; a leftover is swept at the next lock.
        let _ = fs::remove_dir_all(&self.dir);
    }
}

#[cfg(unix)]
fn create_private_dir(dir: &Path) -> io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().mode(0o700).create(dir)
}

#[cfg(not(unix))]
fn create_private_dir(dir: &Path) -> io::Result<()> {
    fs::create_dir(dir)
}

/// Makes what was created or renamed in a folder last through a power cut.
pub(crate) fn sync_dir(dir: &Path) -> Result<(), StoreError> {
    if cfg!(unix) {
        let opened = fs::File::open(dir).map_err(StoreError::io(dir, "open"))?;
        opened.sync_all().map_err(StoreError::io(dir, "write to"))?;
    }
    Ok(())
}

/// Makes a file's content last through a power cut.
pub(crate) fn sync_file(path: &Path) -> Result<(), StoreError> {
    let file = fs::OpenOptions::new().write(true).open(path);
    file.and_then(|file| file.sync_all()).map_err(StoreError::io(path, "write"))
}

/// Gives the path with letters added to its name, as `job.db` and `-wal`.
pub(crate) fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// Makes a new file that only the user can read.
pub(crate) fn private_file(path: &Path) -> io::Result<fs::File> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    options.open(path)
}

//! Where the garage folder is when nobody says.

use std::ffi::OsString;
use std::path::PathBuf;

use crate::error::StoreError;

/// The folder's name in the user's data folder.
const NAME: &str = "lastbolt";

/// Gives the default garage folder: `lastbolt` in the user's data folder.
///
/// That is `XDG_DATA_HOME` or else `HOME/.local/share` on Linux and the like,
/// `HOME/Library/Application Support` on macOS, `LOCALAPPDATA` on Windows.
///
/// # Errors
/// Fails when the environment names no home.
pub fn default_garage_dir() -> Result<PathBuf, StoreError> {
    default_garage_dir_on(std::env::consts::OS, |name| std::env::var_os(name))
}

fn default_garage_dir_on(
    system: &str,
    variable: impl Fn(&str) -> Option<OsString>,
) -> Result<PathBuf, StoreError> {
    let folder = |name: &str| variable(name).map(PathBuf::from).filter(|path| path.has_root());
    let data = match system {
        "windows" => folder("LOCALAPPDATA"),
        "macos" => folder("HOME").map(|home| home.join("Library").join("Application Support")),
        _ => folder("XDG_DATA_HOME")
            .or_else(|| folder("HOME").map(|home| home.join(".local").join("share"))),
    };
    data.map(|data| data.join(NAME)).ok_or(StoreError::NoHome)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(system: &str, variables: &[(&str, &str)], expect: Option<&str>) {
        let variable = |name: &str| {
            variables.iter().find(|(n, _)| *n == name).map(|(_, value)| OsString::from(value))
        };
        let found = default_garage_dir_on(system, variable).ok();
        assert_eq!(found, expect.map(PathBuf::from));
    }

    /// A relative or empty variable must not put the garage wherever the program was started.
    #[test]
    fn default_folder() {
        check("linux", &[("HOME", "/h")], Some("/h/.local/share/lastbolt"));
        check("linux", &[("HOME", "/h"), ("XDG_DATA_HOME", "/d")], Some("/d/lastbolt"));
        check("linux", &[("HOME", "/h"), ("XDG_DATA_HOME", "")], Some("/h/.local/share/lastbolt"));
        check("linux", &[("XDG_DATA_HOME", "rel")], None);
        check("macos", &[("HOME", "/h")], Some("/h/Library/Application Support/lastbolt"));
        check("windows", &[("LOCALAPPDATA", "/l")], Some("/l/lastbolt"));
        check("windows", &[("HOME", "/h")], None);
        check("linux", &[], None);
    }
}

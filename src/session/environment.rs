//! What comes in from outside, through one door.

use jiff::civil::Date;
use std::ffi::OsString;
use std::path::PathBuf;

/// The day, the current folder, the terminal, the user's own folder of keys. Nothing else in packstring asks
/// the system for any of these.
pub struct Environment {
    pub today: Date,
    pub folder: PathBuf,
    /// Whether standard output is a terminal that may be written on in bold.
    pub terminal: bool,
    /// The folder of the user's own that signing keys are kept in; none where the system names none.
    pub keys: Option<PathBuf>,
}

impl Environment {
    /// The environment of this process. `terminal` says whether its output may be bold.
    ///
    /// # Errors
    /// The current folder cannot be read.
    pub fn here(terminal: bool) -> std::io::Result<Self> {
        Ok(Self {
            today: jiff::ZonedDateTime::now().date(),
            folder: std::env::current_dir()?,
            terminal,
            keys: keys_folder(|name| std::env::var_os(name)),
        })
    }
}

/// Where signing keys are kept: `PACKSTRING_KEYS`, or `packstring/keys` where the system has a user's
/// settings (XDG Base Directory Specification, and its like on macOS and Windows).
fn keys_folder(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let set = |name| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let settings = if cfg!(windows) {
        set("APPDATA")
    } else if cfg!(target_os = "macos") {
        set("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        set("XDG_CONFIG_HOME")
            .filter(|folder| folder.is_absolute())
            .or_else(|| set("HOME").map(|home| home.join(".config")))
    };
    set("PACKSTRING_KEYS").or_else(|| settings.map(|folder| folder.join("packstring").join("keys")))
}

//! What comes in from outside, through one door.

use super::SessionError;
use crate::io_error::in_words;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use std::ffi::OsString;
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};

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
    /// The current folder cannot be read, or the clock is wrong.
    pub fn here(terminal: bool) -> Result<Self, SessionError> {
        let folder = std::env::current_dir().map_err(|error| {
            SessionError::said(format!("The current folder cannot be read: {}.", in_words(&error)))
        })?;
        Ok(Self {
            today: day_of(SystemTime::now())?,
            folder,
            terminal,
            keys: keys_folder(|name| std::env::var_os(name)),
        })
    }
}

/// The day of a moment, where the user is. Certificates are dated by it and facts fall due, so that a clock which is
/// surely wrong is told.
fn day_of(now: SystemTime) -> Result<Date, SessionError> {
    let wrong = |stands: &str| {
        SessionError::said(format!(
            "The clock of this computer stands {stands}, so that certificates would carry a wrong day and facts fall due on another. Set it right and run the command again."
        ))
    };
    if now < UNIX_EPOCH {
        return Err(wrong("before 1970"));
    }
    let moment = Timestamp::try_from(now).map_err(|_| wrong("thousands of years ahead"))?;
    Ok(moment.to_zoned_datetime(TimeZone::system()).date())
}

/// Where a user's folders usually are, those that are there.
pub fn usual_places() -> Vec<PathBuf> {
    let home = std::env::var_os("HOME").or_else(|| std::env::var_os("USERPROFILE")).map(PathBuf::from);
    let home = home.filter(|home| home.is_absolute());
    let places = home.iter().flat_map(|home| [home.join("Documents"), home.join("Desktop"), home.clone()]);
    places.filter(|place| place.is_dir()).collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_clock_that_is_surely_wrong_is_told() {
        assert!(day_of(UNIX_EPOCH + Duration::from_secs(1_780_000_000)).is_ok());
        for seconds in [1, 86_400 * 365 * 69] {
            let told = day_of(UNIX_EPOCH - Duration::from_secs(seconds)).unwrap_err().to_string();
            assert!(told.contains("stands before 1970") && told.contains("Set it right"), "{told}");
        }
        let told = day_of(UNIX_EPOCH + Duration::from_secs(400_000_000_000)).unwrap_err().to_string();
        assert!(told.contains("thousands of years ahead"), "{told}");
    }
}

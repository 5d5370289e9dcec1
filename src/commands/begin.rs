//! `begin`: lays out a new program folder, and says what to do next.

use super::{CommandError, Outcome};
use crate::session::{self, Environment};
use std::io::{self, Write};
use std::path::Path;

/// Lays out the example of a language in a folder that is empty or not there yet, and says what to do next.
///
/// # Errors
/// When something is in the folder, or it cannot be written to; or there is no example in the language.
pub fn run(
    folder: &Path,
    language: &str,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let count = session::begin(folder, language, environment)?;
    tell(folder, count, out)?;
    Ok(Outcome::Clear)
}

/// A program folder as an option of a command, where it is not the current one.
pub(super) fn as_option(folder: &Path) -> String {
    match folder.to_str() {
        Some(".") => String::new(),
        _ => format!(" --program {}", quoted(folder)),
    }
}

/// A path as it is typed.
pub(super) fn quoted(path: &Path) -> String {
    let shown = path.display().to_string();
    if shown.contains(char::is_whitespace) { format!("\"{shown}\"") } else { shown }
}

fn tell(folder: &Path, count: usize, out: &mut dyn Write) -> io::Result<()> {
    let (shown, named) = (folder.display(), as_option(folder));
    writeln!(out, "A new program is laid out in {shown}: {count} files, with notes that explain every key.")?;
    writeln!(out)?;
    writeln!(out, "Next:")?;
    writeln!(out, "  Double-click “Front desk” in it: a page for the table at an event. Or type:")?;
    writeln!(out, "  packstring make{named}")?;
    writeln!(out, "      makes the example's handbook, slides, certificates and the rest")?;
    writeln!(out, "  Open program.toml in any editor and change the example into your own.")?;
    writeln!(out, "  packstring proofread{named}")?;
    writeln!(out, "      reports what is wrong, after each change")?;
    writeln!(
        out,
        "  Before you add your own people, delete the folders out and records. They hold the example"
    )?;
    writeln!(out, "  people's certificates, which would otherwise stay in your register.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn what_to_do_next_names_the_folder_where_it_is_another() {
        for (folder, make) in
            [("new/ours", "  packstring make --program new/ours\n"), (".", "  packstring make\n")]
        {
            let place = tempfile::tempdir().unwrap();
            let environment = Environment {
                today: date(2031, 12, 3),
                folder: place.path().to_owned(),
                terminal: false,
                keys: None,
            };
            let mut out = Vec::new();
            assert_eq!(run(Path::new(folder), "en", &environment, &mut out).unwrap(), Outcome::Clear);
            let told = String::from_utf8(out).unwrap();
            for words in [make, "12 files", "delete the folders out and records"] {
                assert!(told.contains(words), "{told}");
            }
        }
    }
}

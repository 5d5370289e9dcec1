//! `packstring` alone: what somebody may want to do next, from where they are.

use super::begin::quoted;
use super::{CommandError, Outcome};
use crate::session::{Environment, program_folder};
use std::io::Write;

/// Says what can be done next in the program of the current folder, or how to come to one.
///
/// # Errors
/// The output cannot be written.
pub fn run(environment: &Environment, out: &mut dyn Write) -> Result<Outcome, CommandError> {
    let steps: &[(&str, &str)] = match program_folder(None, environment)? {
        Some(program) => {
            writeln!(out, "The program in {}. What next?", quoted(&program))?;
            &[
                ("packstring front-desk", "opens a page for the table at an event"),
                ("packstring proofread", "reports what is wrong"),
                ("packstring make", "makes the handbook, slides, certificates and the rest"),
                ("packstring make --help", "how to make only some of them, or one person's"),
                ("packstring restate", "shows what a changed fact changes in the lessons"),
                ("packstring tally", "adds up hours and says who earned what"),
            ]
        }
        None => {
            writeln!(out, "There is no program in this folder or above it. What next?")?;
            &[
                (
                    "packstring begin our-program",
                    "lays out a new program, a short working example with notes",
                ),
                ("cd our-program", "goes to a program that is there already"),
            ]
        }
    };
    let column = steps.iter().map(|(command, _)| command.len()).max().unwrap_or_default() + 2;
    for (command, what) in steps {
        writeln!(out, "  {command:column$}{what}")?;
    }
    writeln!(out, "“packstring --help” lists every command.")?;
    Ok(Outcome::Clear)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use std::path::Path;

    fn said(folder: &Path) -> String {
        let environment =
            Environment { today: date(2031, 12, 3), folder: folder.to_owned(), terminal: false, keys: None };
        let mut out = Vec::new();
        assert_eq!(run(&environment, &mut out).unwrap(), Outcome::Clear);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn what_is_next_goes_by_where_one_is() {
        let nowhere = tempfile::tempdir().unwrap();
        assert!(said(nowhere.path()).contains("packstring begin our-program"));
        let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        let there = said(&sound.join("lessons"));
        assert!(there.contains("packstring proofread") && !there.contains("begin"), "{there}");
        assert!(there.contains("tests/proof/sound"), "{there}");
    }
}

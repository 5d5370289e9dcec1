//! Slips of the command line, told as everything else is: what is wrong, and how to mend it.

use clap::error::{ContextKind, ContextValue, Error, ErrorKind};

/// Arguments that take a day.
const DAYS: [&str; 1] = ["--ends-before"];

/// What is wrong with the arguments; `None` where the user asked for help or the version.
pub fn told(slip: &Error) -> Option<String> {
    let word = |kind| match slip.get(kind) {
        Some(ContextValue::String(word)) => Some(plain(word)),
        Some(ContextValue::Strings(words)) => words.first().map(|word| plain(word)),
        _ => None,
    };
    let argument = word(ContextKind::InvalidArg).unwrap_or_default();
    let value = word(ContextKind::InvalidValue).unwrap_or_default();
    let what = match slip.kind() {
        ErrorKind::DisplayHelp
        | ErrorKind::DisplayVersion
        | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => return None,
        ErrorKind::InvalidSubcommand => {
            format!("There is no command “{}”.", word(ContextKind::InvalidSubcommand).unwrap_or_default())
        }
        ErrorKind::InvalidValue if value.is_empty() && !argument.starts_with('-') => {
            format!("{argument} is empty.")
        }
        ErrorKind::InvalidValue | ErrorKind::NoEquals if value.is_empty() => {
            format!("{argument} needs something after it.")
        }
        ErrorKind::InvalidValue => format!("{argument} cannot be “{value}”."),
        ErrorKind::ValueValidation => {
            let wanted = match argument.as_str() {
                argument if DAYS.contains(&argument) => "Write a day, year first, such as 2028-02-01.",
                _ => "Write a whole number, 1 or more.",
            };
            return Some(format!("{argument} cannot be “{value}”. {wanted}"));
        }
        ErrorKind::UnknownArgument if argument.starts_with('-') => {
            format!("There is no option “{argument}” here.")
        }
        ErrorKind::UnknownArgument => format!("“{argument}” does not belong here."),
        ErrorKind::MissingRequiredArgument if argument.starts_with("--") => {
            format!("This also needs {argument}.")
        }
        ErrorKind::MissingRequiredArgument => match wanting(slip, &argument) {
            Some(told) => return Some(told),
            None => format!("{argument} is missing."),
        },
        ErrorKind::ArgumentConflict => {
            let other = word(ContextKind::PriorArg).unwrap_or_default();
            if other == argument {
                return Some(format!("{argument} is given twice. Give it once."));
            }
            format!("{argument} and {other} do not go together.")
        }
        ErrorKind::TooManyValues => format!("There is no place for “{value}” after {argument}."),
        ErrorKind::InvalidUtf8 => "The arguments hold something that is not UTF-8 text.".to_owned(),
        _ => "The arguments do not fit.".to_owned(),
    };
    Some(format!("{what} {}", mend(slip)))
}

/// What is told of an argument that is missing, where more can be said than its name.
fn wanting(slip: &Error, argument: &str) -> Option<String> {
    let usage = slip.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    let command = command(usage.trim().strip_prefix("Usage: ").unwrap_or_default());
    let told = match (command.as_str(), argument) {
        ("packstring begin", "DIR") => "Name the new folder, such as packstring begin our-program.",
        ("packstring backing", "FACT") => "Name a fact, or use --due.",
        _ => return None,
    };
    Some(format!("{told} “{command} --help” shows more."))
}

fn mend(slip: &Error) -> String {
    let near = [ContextKind::SuggestedSubcommand, ContextKind::SuggestedArg, ContextKind::SuggestedValue];
    let near = near.into_iter().find_map(|kind| match slip.get(kind)? {
        ContextValue::String(word) => Some(word.clone()),
        ContextValue::Strings(words) => words.first().cloned(),
        _ => None,
    });
    let known = match slip.get(ContextKind::ValidValue) {
        Some(ContextValue::Strings(words)) if !words.is_empty() => Some(words.join(", ")),
        _ => None,
    };
    match (near, known) {
        (Some(near), _) => format!("Did you mean “{}”?", plain(&near)),
        (None, Some(known)) => format!("It may be: {known}."),
        (None, None) => usage(slip),
    }
}

/// How the command is used: `Write: packstring begin DIR`.
fn usage(slip: &Error) -> String {
    let usage = slip.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    match usage.trim().strip_prefix("Usage: ").filter(|usage| usage.starts_with("packstring ")) {
        Some(usage) if !usage.contains("<COMMAND>") => {
            let line =
                usage.lines().next().unwrap_or(usage).replace(" [OPTIONS]", "").replace(['<', '>'], "");
            format!("Write: {}", super::report::plain(&line))
        }
        usage => format!("“{} --help” shows what there is.", command(usage.unwrap_or("packstring"))),
    }
}

/// The command of a line of usage, without what stands behind it: `packstring certificates`.
fn command(usage: &str) -> String {
    let is_word = |word: &&str| word.chars().all(|letter| letter.is_ascii_lowercase());
    usage.split_whitespace().take_while(is_word).collect::<Vec<_>>().join(" ")
}

/// Without what the marks of a usage line say: `--as <FORM>` is told as `--as`.
fn plain(word: &str) -> String {
    let name = word.split(" <").next().unwrap_or(word);
    super::report::plain(name.trim_matches(['<', '>', '[', ']', '.']))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::commands::Arguments;
    use clap::CommandFactory;

    fn slip(arguments: &[&str]) -> Option<String> {
        let all = ["packstring"].iter().chain(arguments);
        told(&Arguments::command().try_get_matches_from(all).unwrap_err())
    }

    #[test]
    fn a_slip_is_told_in_plain_words() {
        for (arguments, expected) in [
            (&["prooofread"][..], "There is no command “prooofread”. Did you mean “proofread”?"),
            (&["make", "--pieces", "handbok"], "--pieces cannot be “handbok”. Did you mean “handbook”?"),
            (&["proofread", "--as", "xml"], "--as cannot be “xml”. It may be: text, json, sarif."),
            (
                &["make", "--start-label", "0"],
                "--start-label cannot be “0”. Write a whole number, 1 or more.",
            ),
            (
                &["make", "--start-label", "x"],
                "--start-label cannot be “x”. Write a whole number, 1 or more.",
            ),
            (
                &["certificates", "list", "--ends-before", "01/02/2028"],
                "--ends-before cannot be “01/02/2028”. Write a day, year first, such as 2028-02-01.",
            ),
            (&["make", "--into", ""], "--into needs something after it."),
            (&["make", "--into"], "--into needs something after it."),
            (
                &["proofread", "--for-pres"],
                "There is no option “--for-pres” here. Did you mean “--for-press”?",
            ),
            (&["certificates", "nope"], "There is no command “nope”. “packstring certificates --help” shows"),
            (&["figures", ""], "FILE is empty."),
            (&["backing", "--calendar", "review.ics"], "This also needs --due."),
            (
                &["begin"],
                "Name the new folder, such as packstring begin our-program. “packstring begin --help”",
            ),
            (&["backing"], "Name a fact, or use --due. “packstring backing --help” shows more."),
            (&["make", "extra"], "“extra” does not belong here. Write: packstring make"),
            (&["figures", "--jsonl", "a.md"], "--jsonl and FILE do not go together."),
            (&["make", "--event", "a", "--event", "b"], "--event is given twice."),
        ] {
            let told = slip(arguments).unwrap();
            assert!(told.starts_with(expected), "{told}");
            assert!(!told.contains('<') && !told.contains("error:"), "{told}");
        }
        assert_eq!(slip(&["--help"]), None);
    }
}

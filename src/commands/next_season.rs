//! `begin --from`: begins the next season of a program, and says what is left to do, as often as it is asked.

use super::begin::{as_option, quoted};
use super::report::{counted, plain};
use super::{CommandError, Outcome};
use crate::session::{Environment, LeftToDo, TurnedOver, check_empty, turn_over};
use std::io::{self, Write};
use std::path::Path;

/// As many places are listed of what may be many.
const LISTED: usize = 12;

/// Turns the season of the program in `last` over into `folder`, or where that was done, says what is left to do.
///
/// # Errors
/// The last season cannot be read, or the new folder holds something else or cannot be written.
pub fn run(
    folder: &Path,
    last: &Path,
    season: Option<&str>,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let (into, from) = (environment.folder.join(folder), environment.folder.join(last));
    let is_free = check_empty(&into);
    if is_free.is_ok() {
        tell_laid_out(&turn_over(&from, &into, season, environment)?, folder, last, out)?;
    }
    match (LeftToDo::of(&from, &into, environment)?, is_free) {
        (Some(left), _) => tell_left(&left, folder, last, out)?,
        (None, is_free) => {
            let why = is_free.err().unwrap_or_default();
            return Err(CommandError::said(format!(
                "No season was begun in {}: {why} Name a folder that is empty or not there yet.",
                folder.display()
            )));
        }
    }
    Ok(Outcome::Clear)
}

fn tell_laid_out(turned: &TurnedOver, folder: &Path, last: &Path, out: &mut dyn Write) -> io::Result<()> {
    let TurnedOver { from, to, files, .. } = turned;
    writeln!(out, "The season {to} is laid out in {}: {}.", folder.display(), counted(*files, "file"))?;
    writeln!(
        out,
        "Lessons, facts, pictures, theme, editions, the certificate register and the history of facts are as they were."
    )?;
    if let Some(counts) = &turned.counts {
        writeln!(out, "The counts of {from} are in {counts}; the next season report compares with them.")?;
    }
    if !turned.left_behind.is_empty() {
        let left: Vec<String> = turned.left_behind.iter().map(|name| plain(name)).collect();
        writeln!(out, "Left in {}: {}. Nothing there was changed.", last.display(), left.join(", "))?;
    }
    writeln!(out)
}

/// Numbers the steps.
struct Steps<'o> {
    count: usize,
    out: &'o mut dyn Write,
}

impl Steps<'_> {
    fn step(&mut self, what: &str, more: &[String]) -> io::Result<()> {
        self.count += 1;
        writeln!(self.out, "{:>3}. {what}", self.count)?;
        for line in more.iter().take(LISTED) {
            writeln!(self.out, "     {line}")?;
        }
        match more.len().saturating_sub(LISTED) {
            0 => Ok(()),
            rest => writeln!(self.out, "     and {rest} more"),
        }
    }
}

fn tell_left(left: &LeftToDo, folder: &Path, last: &Path, out: &mut dyn Write) -> io::Result<()> {
    let program = as_option(folder);
    if left.is_nothing() {
        writeln!(out, "Nothing is left to do to begin the season {}.", left.to)?;
        return writeln!(out, "Run `packstring proofread{program}` before you print.");
    }
    writeln!(out, "Left to do for the season {}, in this order:", left.to)?;
    let mut steps = Steps { count: 0, out };
    tell_credits(left, last, &mut steps)?;
    if left.mistakes > 0 {
        let mistakes = counted(left.mistakes, "mistake");
        let run = format!("packstring proofread{program}");
        return steps.step(&format!("Correct {mistakes} in {}; then ask again:", folder.display()), &[run]);
    }
    if !left.undated.is_empty() {
        let events = left.undated.iter().map(|(name, line)| format!("{}  program.toml:{line}", plain(name)));
        let what = "Give each event its date in place of date = \"\", or take it out:";
        steps.step(what, &events.collect::<Vec<_>>())?;
    }
    if !left.to_check.is_empty() {
        let facts = left.to_check.iter().map(|(day, name)| format!("{day}  {name}"));
        let count = counted(left.to_check.len(), "fact");
        let what = format!("Check {count} at their sources (`packstring backing --due{program}`):");
        steps.step(&what, &facts.collect::<Vec<_>>())?;
    }
    if !left.years.is_empty() {
        let lines = left.years.iter().map(|it| format!("{}:{}  {}", it.file, it.line, plain(&it.text)));
        let what = format!("Read these lines, which still name the season {}:", left.from);
        steps.step(&what, &lines.collect::<Vec<_>>())?;
    }
    tell_people(left, last, &mut steps)?;
    let count = steps.count;
    writeln!(out, "{:>3}. Read all of it as an editor would: packstring proofread{program}", count + 1)?;
    writeln!(out)?;
    writeln!(
        out,
        "Run `packstring begin {} --from {}` again to see what is still left.",
        quoted(folder),
        quoted(last)
    )
}

fn tell_credits(left: &LeftToDo, last: &Path, steps: &mut Steps) -> io::Result<()> {
    if left.due_before > 0 {
        let what = format!(
            "{} of the season {} not credited yet. Decide first: make them there, empty this folder, and begin again.",
            match left.due_before {
                1 => "1 certificate is due and".to_owned(),
                many => format!("{many} certificates are due and"),
            },
            left.from
        );
        let run = format!("packstring make --pieces certificates{}", as_option(last));
        steps.step(&what, &[run])?;
    }
    if left.credited_since > 0 {
        let what = format!(
            "The register of {} has {} that this one does not have, so `certificates check` does not know them here. If nobody was credited in the new season yet, copy these files again:",
            left.from,
            counted(left.credited_since, "certificate"),
        );
        let files = ["records/certificates.jsonl".to_owned(), "records/certificates-head.json".to_owned()];
        steps.step(&what, &files)?;
    }
    Ok(())
}

fn tell_people(left: &LeftToDo, last: &Path, steps: &mut Steps) -> io::Result<()> {
    if let Some((from, until)) = left.hours {
        steps
            .step(&format!("See that hours from {from} to {until} count ([hours] in program.toml)."), &[])?;
    }
    if left.hours_behind {
        let what = format!(
            "Hours count toward awards from year to year. To go on from {}, copy this file, and add to it:",
            left.from
        );
        steps.step(&what, &[format!("{}/people/hours.csv", last.display())])?;
    }
    if left.key_elsewhere {
        steps.step(
            "Bring the signing key to this computer (`packstring certificates key` says where).",
            &[],
        )?;
    }
    if left.no_roster {
        steps.step("When people sign up, put their roster into people/, as people/roster.csv.", &[])?;
    }
    Ok(())
}

//! `make`: from the program folder to files on their shelves.

use super::arguments::MakeArguments;
use super::progress::Bar;
use super::report::{As, Report, counted};
use super::{CommandError, Outcome, credited, decisions, none_made};
use crate::finding::{Finding, Level};
use crate::job::{Piece, Shelf};
use crate::pieces::{Selection, row};
use crate::session::{Count, Coverage, Credits, Environment, Gathered, Made, Making, Progress, Session};
use crate::shelf::{self, START_HERE, is_beside};
use crate::understand::Understood;
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::Path;

/// Makes; while another run is at work in the same out folder, waits for it first, and then reads the program anew.
pub fn run(
    asked: &MakeArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    loop {
        match once(asked, environment, out) {
            Err(CommandError::Busy(busy)) => {
                let busy_in = busy.display();
                writeln!(
                    out,
                    "Another packstring is making pieces in {busy_in}. Waiting until it has finished."
                )?;
                out.flush()?;
                shelf::wait(&busy)?;
            }
            done => return done,
        }
    }
}

fn once(
    asked: &MakeArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let (folder, into) = (asked.program.folder.as_deref(), asked.printing.into.as_deref());
    if !asked.gather.is_empty() {
        return gather(&mut Session::open(folder, into, environment)?, asked, environment, out);
    }
    let selection = asked.selection();
    if asked.credit_only {
        return credit_only(&mut Session::open(folder, into, environment)?, &selection, environment, out);
    }
    let mut session = match asked.part {
        // Without its people a part would be another.
        Some(_) => Session::open(folder, into, environment)?,
        None => Session::open_to_make(folder, into, environment)?,
    };
    if let Some(name) = &asked.keep_record {
        session.check_keeping(name)?;
    }
    let selection = match &asked.since {
        Some(_) if !selection.pieces.contains(&Piece::Errata) => {
            return Err(CommandError::said("--since is for errata: write --pieces errata too."));
        }
        Some(old) => session.with_since(selection, old)?,
        None => selection,
    };
    let bar = Bar::new(environment);
    let tell_bar = &mut |progress: Progress| bar.show(progress);
    let making = match asked.part {
        Some(part) => session.make_part(part, selection.clone(), tell_bar)?,
        None => session.make(selection.clone(), tell_bar)?,
    };
    bar.clear();
    let understood = session.understand(session.program());
    let made = match making {
        Making::Stopped(findings) => {
            tell(&findings, &understood, environment, out)?;
            writeln!(out, "Nothing was made: a safety fact must be right before anything is printed.")?;
            return Ok(Outcome::Findings);
        }
        Making::Done(made) => made,
    };
    if selection.trial {
        return tell_trial(&made, &understood, environment, out);
    }
    tell_count(&made.count, session.out(), out)?;
    if selection.is_everything() && is_beside(session.out(), START_HERE) {
        let page = session.out().join(START_HERE);
        writeln!(out, "Start with {}: what there is, for whom, and when to print it.", page.display())?;
    }
    if let Some(name) = &asked.keep_record {
        let (file, bytes) = session.keep_record(name)?;
        writeln!(
            out,
            "Kept what is printed in {} ({} kB). Later, `packstring since {name}` shows what changed.",
            file.display(),
            bytes.div_ceil(1000)
        )?;
    }
    let is_held = |piece| made.planned.contains(&piece);
    if asked.part.is_none() {
        // What a part does not have another has.
        none_made::tell(session.program(), &selection, |piece| !made.count.has(piece), is_held, out)?;
    }
    credited::tell(&made.credited, session.program(), out)?;
    if !session.program().people.decisions.rows.is_empty() {
        decisions::tell(session.program(), made.decisions_left_over, out)?;
    }
    tell_rest(&made, &understood, environment, out)
}

/// Credits, and makes nothing.
fn credit_only(
    session: &mut Session,
    selection: &Selection,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let credits = session.credit_only(selection)?;
    let understood = session.understand(session.program());
    let credited = match credits {
        Credits::Stopped(findings) => {
            tell(&findings, &understood, environment, out)?;
            writeln!(out, "Nobody was credited: a safety fact must be right before anything is printed.")?;
            return Ok(Outcome::Findings);
        }
        Credits::Done(credited) => credited,
    };
    let all = counted(session.program().people.register.valid().count(), "certificate");
    match credited.newly.len() {
        0 => writeln!(out, "Nobody is newly credited. The register has {all} that count.")?,
        new => writeln!(
            out,
            "Newly credited: {}. The register has {all} that count.",
            counted(new, "certificate")
        )?,
    }
    credited::tell_signing(&credited.signing, credited.newly.len(), out)?;
    if !credited.held.is_empty() {
        writeln!(out)?;
        tell(&credited.held, &understood, environment, out)?;
    }
    if selection.trial {
        writeln!(out, "Nothing was written: this was a dry run.")?;
    } else {
        writeln!(
            out,
            "Nothing was made. Make the private shelf in parts with `packstring make --part 1/2` and so on."
        )?;
    }
    Ok(Outcome::of(&credited.held, false))
}

/// Brings parts together.
fn gather(
    session: &mut Session,
    asked: &MakeArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let bar = Bar::new(environment);
    let gathered = session.gather(&asked.gather, &mut |progress| bar.show(progress))?;
    bar.clear();
    let Gathered { parts, put, kept, cleared } = gathered;
    write!(out, "Gathered {}: put {put}, kept {kept}", counted(parts, "part"))?;
    if cleared > 0 {
        write!(out, ", took away {cleared} no longer in the program")?;
    }
    writeln!(out, ". They are in {}.", session.out().join(Shelf::Private.name()).display())?;
    Ok(Outcome::Clear)
}

/// Tells what would be made and who would be credited.
fn tell_trial(
    made: &Made,
    understood: &Understood,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    for (piece, &(to_make, kept)) in &made.count.pieces {
        writeln!(out, "{}: would make {to_make}, keep {kept}.", row(*piece).title)?;
    }
    let mut people: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for given in &made.credited.newly {
        people.entry(given.occasion.name()).or_default().push(&given.name);
    }
    for (occasion, names) in people {
        writeln!(
            out,
            "Would credit {} for {occasion}: {}.",
            counted(names.len(), "certificate"),
            names.join(", ")
        )?;
    }
    if !made.held_back.is_empty() {
        writeln!(out)?;
        tell(&made.held_back, understood, environment, out)?;
    }
    writeln!(out, "Nothing was written: this was a dry run.")?;
    Ok(Outcome::of(made.proofread.iter().chain(&made.held_back), false))
}

/// Tells what the press found, in full, and of what proofreading found only that it did: the pieces are
/// made, and the rest is for `proofread`.
fn tell_rest(
    made: &Made,
    understood: &Understood,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if !made.held_back.is_empty() {
        writeln!(out)?;
        tell(&made.held_back, understood, environment, out)?;
    }
    let wrong = made.proofread.iter().filter(|finding| finding.level > Level::Note).count();
    if wrong > 0 {
        let findings = counted(wrong, "finding");
        writeln!(out, "packstring proofread has {findings} that did not stop make. Run it to see them.")?;
    }
    Ok(Outcome::of(made.proofread.iter().chain(&made.held_back), false))
}

pub(super) fn tell(
    findings: &[Finding],
    understood: &Understood,
    environment: &Environment,
    out: &mut dyn Write,
) -> io::Result<()> {
    tell_as(As::Text, findings, understood, environment, out)
}

pub(super) fn tell_as(
    form: As,
    findings: &[Finding],
    understood: &Understood,
    environment: &Environment,
    out: &mut dyn Write,
) -> io::Result<()> {
    let report = Report::of(findings, &understood.root.sources, Some(Coverage::of(understood)));
    report.write(form, environment.terminal, out)
}

/// Says how many files of which pieces were made, how many were kept, and where they are.
pub(super) fn tell_count(count: &Count, into: &Path, out: &mut dyn Write) -> io::Result<()> {
    let new = count.pieces.iter().filter(|(_, (made, _))| *made > 0);
    let new: Vec<String> = new.map(|(piece, (made, _))| format!("{} {made}", row(*piece).title)).collect();
    if !new.is_empty() {
        writeln!(out, "Made: {}.", new.join(", "))?;
    }
    let made: usize = count.pieces.values().map(|(made, _)| made).sum();
    let kept: usize = count.pieces.values().map(|(_, kept)| kept).sum();
    write!(out, "In all: made {made}, kept {kept}")?;
    if count.cleared > 0 {
        write!(out, ", took away {} no longer in the program", count.cleared)?;
    }
    writeln!(out, ". They are in {}.", into.display())
}

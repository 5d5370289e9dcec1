//! `packstring proofread`: reads everything as an editor would, and says what is to be mended.

use super::make::{open_press, theme_of};
use super::report::{As, Looked, Report};
use super::{Desk, Outcome, Trouble, open_program};
use crate::finding::Finding;
use crate::people::scoring::Scores;
use crate::pieces::{self, Piece, Selection};
use crate::press::{Press, too_faint, unasked_files};
use crate::program::{PictureFile, Program};
use crate::proof;
use crate::understand::Understood;
use std::io::Write;
use std::path::Path;

/// The pieces that are laid out to be proofread, once more for each event at which facts are otherwise:
/// those whose parts must fit on a page.
const LAID_OUT: [Piece; 5] =
    [Piece::Deck, Piece::Handout, Piece::Leaflet, Piece::WallChart, Piece::KitSheets];

/// Proofreads a program and tells what was found; with `for_press` a warning also fails.
pub fn run(
    folder: Option<&Path>,
    form: As,
    for_press: bool,
    desk: &Desk,
    out: &mut dyn Write,
) -> Result<Outcome, Trouble> {
    let program = match open_program(folder, desk) {
        Ok(program) => program,
        Err(Trouble::Unread(unread)) => {
            let report = Report { findings: &unread.mistakes, sources: &unread.sources, looked: None };
            report.write(form, desk.terminal, out)?;
            return Ok(report.outcome(for_press));
        }
        Err(trouble) => return Err(trouble),
    };
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let mut findings = proof::proofread(&understood, &scores, desk.today);
    let mut laid_out = found_by_laying_out(&understood, &scores)?;
    proof::weigh(&program, &mut laid_out);
    findings.extend(laid_out);
    proof::in_order(&mut findings);
    let looked = Some(Looked::at(&understood));
    let report = Report { findings: &findings, sources: &program.sources, looked };
    report.write(form, desk.terminal, out)?;
    Ok(report.outcome(for_press))
}

/// Slides and sheets that do not fit, and letters that no font has.
fn found_by_laying_out(understood: &Understood, scores: &Scores) -> Result<Vec<Finding>, Trouble> {
    let press = open_press(understood.program)?;
    let mut jobs =
        pieces::plan(understood, scores, &Selection { pieces: LAID_OUT.to_vec(), ..Selection::default() });
    for event in understood.at_events.keys() {
        let selection =
            Selection { pieces: LAID_OUT.to_vec(), event: Some((*event).to_owned()), ..Selection::default() };
        jobs.extend(pieces::plan(understood, scores, &selection));
    }
    let mut findings = of_own_theme(understood.program)?;
    for job in jobs {
        findings.extend(press.measure(&job)?);
    }
    findings.extend(letters_of_roster(&press, understood));
    Ok(untold(findings, understood))
}

/// What is to be told of the letters of names, whoever of the roster is to be credited or not.
pub(super) fn letters_of_roster(press: &Press, understood: &Understood) -> Vec<Finding> {
    let rows = understood.program.roster.rows.iter();
    let told = rows.filter_map(|row| {
        let words = [Some(row.name.as_str()), row.companion.as_deref()];
        press.letters().told_of(&words.into_iter().flatten().collect::<Vec<_>>(), &row.place)
    });
    told.collect()
}

/// What is wrong with the program's own theme: inks that cannot be read on their grounds, files that
/// nothing asks for.
fn of_own_theme(program: &Program) -> Result<Vec<Finding>, Trouble> {
    if program.settings.theme.is_none() {
        return Ok(Vec::new());
    }
    let theme = theme_of(program)?;
    let mut findings = too_faint(&theme)?;
    findings.extend(unasked_files(&theme));
    Ok(findings)
}

/// What laying out found, without the pictures that proofreading has told of where they are shown.
fn untold(mut findings: Vec<Finding>, understood: &Understood) -> Vec<Finding> {
    let pictures = &understood.program.pictures;
    let is_told = |finding: &Finding| {
        finding.rule == "picture-unreadable"
            && pictures.get(&finding.says).is_some_and(|file| *file != PictureFile::Sound)
    };
    findings.retain(|finding| !is_told(finding));
    findings
}

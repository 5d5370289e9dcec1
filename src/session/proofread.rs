//! What an editor would find: at once in the text, and then by laying out.

use super::theme::theme_of;
use super::{Known, Progress, Session, SessionError, Tell};
use crate::finding::{Finding, rules};
use crate::job::{Job, Piece};
use crate::people::scope::Scope;
use crate::pieces::{self, Selection};
use crate::press::{Press, too_faint, unused_files};
use crate::program::{PictureFile, Program};
use crate::proof;
use crate::understand::Understood;

/// The pieces that are laid out to be proofread, once more for each event at which facts are otherwise:
/// those whose parts must fit on a page.
const LAID_OUT: [Piece; 5] =
    [Piece::Deck, Piece::Handout, Piece::Leaflet, Piece::WallChart, Piece::KitSheets];

impl Session<'_> {
    /// Everything that is wrong, in order. What is `known` at once is told before anything is laid out.
    ///
    /// # Errors
    /// The theme cannot be read, or cannot set what it is given.
    pub fn proofread(&self, known: &Known, tell: Tell) -> Result<Vec<Finding>, SessionError> {
        tell(Progress::Found(&known.findings));
        let mut findings = known.findings.clone();
        findings.extend(self.find_by_laying_out(known, tell)?);
        proof::in_order(&mut findings);
        Ok(findings)
    }

    /// Slides and sheets that do not fit, letters that no font has, and what is wrong with the program's own
    /// theme; at the levels that the program sets.
    fn find_by_laying_out(&self, known: &Known, tell: Tell) -> Result<Vec<Finding>, SessionError> {
        let press = self.press()?;
        let mut findings = of_own_theme(&self.program)?;
        findings.extend(self.measure(&to_lay_out(known, press), press, tell)?);
        findings.extend(letters_of_roster(press, &known.understood));
        let mut findings = untold(findings, &known.understood);
        proof::weigh(&self.program, &mut findings);
        proof::in_order(&mut findings);
        Ok(findings)
    }
}

/// With the theme's words, as `make` plans them, so that both lay out the same.
fn to_lay_out(known: &Known, press: &Press) -> Vec<Job> {
    let everywhere = std::iter::once(Scope::default());
    let scopes = everywhere.chain(known.understood.at_events.keys().map(|event| Scope::of_event(event)));
    let jobs = scopes.flat_map(|scope| {
        let words = press.words().clone();
        let selection = Selection { pieces: LAID_OUT.to_vec(), scope, words, ..Selection::default() };
        let jobs = pieces::plan(&known.understood, &known.scores, &selection);
        pieces::held_for_words(&known.understood, jobs).0
    });
    jobs.collect()
}

/// What is to be told of the letters of names, whoever of the roster is to be credited or not.
pub fn letters_of_roster(press: &Press, understood: &Understood) -> Vec<Finding> {
    let rows = understood.root.people.roster.rows.iter();
    let told = rows.filter_map(|row| {
        let words = [Some(row.name.as_str()), row.companion.as_deref()];
        press.letters().told_of(&words.into_iter().flatten().collect::<Vec<_>>(), &row.place)
    });
    told.collect()
}

/// What is wrong with the program's own theme: inks that cannot be read on their grounds, files that
/// nothing asks for.
fn of_own_theme(program: &Program) -> Result<Vec<Finding>, SessionError> {
    if program.content.settings.theme.is_none() {
        return Ok(Vec::new());
    }
    let theme = theme_of(program)?;
    let mut findings = too_faint(&theme)?;
    findings.extend(unused_files(&theme));
    Ok(findings)
}

/// What laying out found, without the pictures that proofreading has told of where they are shown.
fn untold(mut findings: Vec<Finding>, understood: &Understood) -> Vec<Finding> {
    let pictures = &understood.content.pictures;
    let is_told = |finding: &Finding| {
        finding.rule == &rules::PICTURE_UNREADABLE
            && pictures.get(&finding.says).is_some_and(|file| *file != PictureFile::Sound)
    };
    findings.retain(|finding| !is_told(finding));
    findings
}

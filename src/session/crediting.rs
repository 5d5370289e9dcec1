//! Crediting: before certificates are made, whoever is due one is written into the register.
//!
//! Nobody is credited before the day has come. Held are rows with a letter that no font has, for nobody is credited
//! for what cannot be printed; rows whose name cannot be right as it stands; rows that look like a certificate that
//! was given, with a corrected name; and events that look like one that was credited before, or are not of this
//! season. Who is asked for by name is credited as the row has it.

use super::{Environment, Known, SessionError, open_press};
use crate::credential::SecretKey;
use crate::finding::{Finding, Level, Place, rules};
use crate::job::Piece;
use crate::people::credit::{self, Candidate, Due};
use crate::people::scope::Scope;
use crate::pieces::{Selection, certificates};
use crate::press::Letters;
use crate::program::Program;
use crate::program::register::{Entry, Given, Register};
use crate::proof;
use crate::shelf::{keys, register};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// What came of crediting.
#[derive(Default)]
pub struct Credited {
    /// The program with the new lines of its register, where there are any.
    pub(super) program: Option<Program>,
    pub newly: Vec<Given>,
    /// Who was credited by an earlier run that did not come to making the certificates.
    pub unprinted: Vec<Given>,
    /// Why others were not credited.
    pub held: Vec<Finding>,
    /// Whether it is asked which event or award of the register another is: till then its papers stay.
    pub(super) asks: bool,
    /// Whether a line was taken out that an interrupted run had left unfinished.
    pub mended: bool,
    pub signing: Signing,
}

/// Whether certificates are signed, and why not.
#[derive(Default)]
pub enum Signing {
    /// The program has no key.
    #[default]
    NoKey,
    /// Its key is not on this machine.
    KeyElsewhere,
    With(Box<SecretKey>),
}

/// Whether certificates are made, and so people credited before.
pub(super) fn is_wanted(selection: &Selection) -> bool {
    let asked = selection.pieces.is_empty() || selection.pieces.contains(&Piece::Certificates);
    asked && !selection.specimen
}

/// Credits whoever the selection asks for and is due.
///
/// # Errors
/// The register or the program's key cannot be read or written; nobody is credited then.
pub(super) fn credit(
    known: &Known,
    letters: &Letters,
    selection: &Selection,
    environment: &Environment,
) -> Result<Credited, SessionError> {
    if !is_wanted(selection) {
        return Ok(Credited::default());
    }
    let (program, scores, scope, today) =
        (known.understood.root, &known.scores, &selection.scope, environment.today);
    let (held_rows, told_of_rows) = match scope.participant {
        // Who is asked for by name is meant as they are written.
        Some(_) => (BTreeSet::new(), Vec::new()),
        None => proof::held_rows(program, &known.findings),
    };
    let mut due = credit::due(program, scores, &program.people.register, scope);
    let ahead = due.take_ahead(today);
    due.take_held(&held_rows);
    let far = proof::clock_far(program, &due.people, today);
    if far.is_some() && scope.participant.is_none() {
        due.people.clear();
    }
    let unprintable = unprintable(&due.people, letters);
    let nobody = unprintable.len() == due.people.len();
    let asks = !(due.renamed.is_empty() && due.renamed_awards.is_empty());
    let mut credited = Credited { held: unprintable, asks, ..Credited::default() };
    credited.held.extend(far);
    credited.held.extend(told_of_rows.into_iter().filter(|told| told.level > Level::Note));
    credited.held.extend(told_of_held(&due, program, today));
    let lacking = [&proof::PASSED_UNSAID, &rules::SHEET_UNREAD];
    let unsaid = known.findings.iter().filter(|finding| lacking.contains(&finding.rule));
    credited.held.extend(unsaid.cloned());
    let rows = program.people.roster.rows.iter().filter(|row| ahead.contains(&row.place));
    credited.held.extend(rows.filter_map(|row| proof::attendance_ahead(row, program, today)));
    // A head that an interrupted run left behind is brought up to its lines.
    if nobody && (selection.trial || !program.people.register.left.head_lags) {
        return Ok(credited);
    }
    credited.signing = signing(program, environment)?;
    let decide = |register: &Register| {
        // Another run may have credited some of them meanwhile.
        let mut due = credit::due(program, scores, register, scope);
        due.take_ahead(today);
        due.take_held(&held_rows);
        let printable = due.people.iter().filter(|candidate| missing(candidate, letters).is_none());
        let given = printable.map(|candidate| candidate.given(&program.content.settings, today));
        let signed = given.map(|given| credited.signing.signed(given, program));
        Ok::<_, SessionError>(signed.map(|given| Entry::Given(Box::new(given))).collect())
    };
    let added = match selection.trial {
        true => register::suppose(&program.people.register, decide)?,
        false => register::add(&program.folder, credited.signing.key(), decide)?,
    };
    credited.mended = added.mended;
    credited.newly = added.entries.into_iter().filter_map(newly_given).collect();
    credited.program = Some(program.with_register(added.register, &added.text, added.head.as_deref()));
    Ok(credited)
}

/// How many whom the selection asks for are due and not credited yet.
pub(super) fn waiting(
    known: &Known,
    letters: &Letters,
    selection: &Selection,
    environment: &Environment,
) -> usize {
    if !is_wanted(selection) {
        return 0;
    }
    let program = known.understood.root;
    let (held_rows, _) = proof::held_rows(program, &known.findings);
    let mut due = credit::due(program, &known.scores, &program.people.register, &selection.scope);
    due.take_ahead(environment.today);
    due.take_held(&held_rows);
    if proof::clock_far(program, &due.people, environment.today).is_some() {
        return 0;
    }
    due.people.iter().filter(|candidate| missing(candidate, letters).is_none()).count()
}

/// What is told of everybody who is held for what the register says.
pub(super) fn told_of_held(due: &Due, program: &Program, today: Date) -> Vec<Finding> {
    let settings = &program.content.settings;
    let corrected = due.corrected.iter().map(|row| proof::certificate_corrected(row, program));
    let unsure = due.unsure.iter().map(|row| proof::certificate_unsure(row, program));
    let doubled = due.doubled.iter().map(|(row, other)| proof::participant_held(row, *other));
    let renamed = due.renamed.iter().map(|(like, waiting)| proof::event_renamed(like, *waiting));
    let awards = due.renamed_awards.iter().map(proof::award_renamed);
    let outside = due.out_of_season.iter().map(|(event, _)| proof::event_out_of_season(event, settings));
    let lacking = due.lacking.iter().filter(|(_, event, _)| event.last_day() <= today);
    let lacking = lacking.map(|(row, event, lacks)| proof::needs_lacking(row, event, lacks, program));
    corrected
        .chain(unsure)
        .chain(doubled)
        .chain(renamed)
        .chain(awards)
        .chain(outside)
        .chain(lacking)
        .collect()
}

fn newly_given(entry: Entry) -> Option<Given> {
    match entry {
        Entry::Given(given) => Some(*given),
        Entry::Key(_) | Entry::Withdrawn(_) => None,
    }
}

/// A finding for each of these people whose name cannot be printed.
fn unprintable(due: &[Candidate], letters: &Letters) -> Vec<Finding> {
    due.iter().filter_map(|candidate| missing(candidate, letters)).collect()
}

/// What is missing to print a person's name and companion; nothing where they can be printed.
pub(super) fn missing(candidate: &Candidate, letters: &Letters) -> Option<Finding> {
    let words: Vec<&str> = candidate.printed().collect();
    letters.told_of(&words, candidate.place).filter(|finding| finding.level == Level::Error)
}

/// Refuses words that no font can print: nobody is given a certificate that cannot be printed.
pub fn check_letters<'w>(
    program: &Program,
    words: impl Iterator<Item = &'w String>,
) -> Result<(), SessionError> {
    told_of_letters(open_press(program)?.letters(), &words.map(String::as_str).collect::<Vec<_>>())
}

/// The same with the letters of a press that is open.
pub(super) fn told_of_letters(letters: &Letters, words: &[&str]) -> Result<(), SessionError> {
    let told = letters.told_of(words, &Place::whole("")).filter(|it| it.level == Level::Error);
    told.map_or(Ok(()), |finding| {
        let mend = finding.mend.map(|mend| format!(" {mend}")).unwrap_or_default();
        Err(SessionError::Said(format!("{}{mend}", finding.message)))
    })
}

/// What certificates are signed with: the newest key that counts, where it is on this machine; else one that
/// nobody signed in and that is on it, which was made because the others are lost.
pub fn signing(program: &Program, environment: &Environment) -> Result<Signing, SessionError> {
    let register = &program.people.register;
    let find = |public: &str| match &environment.keys {
        Some(folder) => keys::find(folder, public).map_err(|error| SessionError::said(error.to_string())),
        None => Ok(None),
    };
    let mut none = Signing::NoKey;
    for key in register.key().into_iter().chain(register.keys_unsigned().map(|(key, _)| key)) {
        none = Signing::KeyElsewhere;
        if let Some(kept) = find(&key.public)? {
            return Ok(Signing::With(Box::new(kept.key)));
        }
    }
    Ok(none)
}

impl Signing {
    /// The key to sign with, where there is one at hand.
    pub fn key(&self) -> Option<&SecretKey> {
        match self {
            Self::With(key) => Some(key),
            Self::NoKey | Self::KeyElsewhere => None,
        }
    }

    pub fn signed(&self, given: Given, program: &Program) -> Given {
        match self {
            Self::With(key) => credit::record::sign(given, &program.content.settings, key),
            Self::NoKey | Self::KeyElsewhere => credit::record::unsigned(given, &program.content.settings),
        }
    }
}

impl Credited {
    /// How many of these were credited for what, and the file that holds them.
    pub fn counts(given: &[Given], program: &Program) -> BTreeMap<(String, String), usize> {
        let credits = credit::credited(program, &Scope::default());
        let languages: BTreeMap<&str, Option<&str>> =
            credits.iter().map(|credit| (credit.given.number.plain(), credit.language())).collect();
        let language_of = |given: &Given| languages.get(given.number.plain()).copied().flatten();
        // Each day has a file of its own where there are several.
        let mut days: BTreeMap<_, BTreeSet<Date>> = BTreeMap::new();
        for given in program.people.register.valid() {
            days.entry((given.occasion.key(), language_of(given))).or_default().insert(given.day);
        }
        let mut counts = BTreeMap::new();
        for given in given {
            let language = language_of(given);
            let several = days.get(&(given.occasion.key(), language)).is_some_and(|days| days.len() > 1);
            let path = certificates::run_path(&given.occasion, language, several.then_some(given.day));
            *counts.entry((given.occasion.name().to_owned(), path)).or_default() += 1;
        }
        counts
    }
}

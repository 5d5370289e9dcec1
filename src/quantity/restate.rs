//! Restating: the words of a figure changed so that they say what a fact holds, in the writer's form.
//!
//! Words stay words and digits digits; thousands marks, decimals, units and their spelling, hedges and
//! limit words stay; a number keeps the precision that was shown, unless that would say something
//! wrong. What is proposed is read again as prose, and taken only where it then agrees: nothing here
//! can write a figure that proofreading would report.

mod bound;
mod numbers;
mod proposals;
pub(super) mod sentence;
pub(super) mod tail;
#[cfg(test)]
mod tests;

use super::agree::{self, halves_agree};
use super::own::{self, OwnUnits};
use super::reader::read_by;
use super::{Agreement, Figure, Hedge, Held};
use crate::capital::capital;
use proposals::propose;
use std::ops::Range;
use std::sync::Arc;

use numbers::takes_an;

/// Writes words anew so that the figure in them says what is held: `a ten-foot` for `a six-foot`.
///
/// Words that agree already are given back as they are.
///
/// # Errors
/// A sentence that says why it cannot be done by rule: there is no figure in the words, or more than
/// one, or its unit is of another kind, or its form has no room for the value.
pub fn restate(words: &str, held: &Held) -> Result<String, String> {
    restate_in(words, &(0..words.len()), held)
}

/// As [`restate`], for words that stand in a text and are read in it: `[six feet]` in "at most six feet
/// long". Only the words themselves are changed; what stands around them must fit as it is.
///
/// # Errors
/// As [`restate`].
pub fn restate_in(text: &str, words: &Range<usize>, held: &Held) -> Result<String, String> {
    restate_in_by(text, words, held, &own::NONE)
}

/// The same in a program that has units of its own.
pub(super) fn restate_in_by(
    text: &str,
    words: &Range<usize>,
    held: &Held,
    units: &Arc<OwnUnits>,
) -> Result<String, String> {
    in_context(text, words, held, units)
        .or_else(|error| {
            let alone = &text[words.clone()];
            if alone == text || error == LIMIT_OUTSIDE {
                return Err(error);
            }
            // "[200 horses] a day": the words count by themselves
            in_context(alone, &(0..alone.len()), held, units).map_err(|_| error)
        })
        .map(|now| with_capitals_of(&text[words.clone()], now))
        .map_err(str::to_owned)
}

/// Words with the capitals of those that they take the place of: at the start of a sentence, and all through.
pub(super) fn with_capitals_of(was: &str, now: String) -> String {
    let is_loud = !was.chars().any(char::is_lowercase)
        && was.split(|letter: char| !letter.is_alphabetic()).any(|word| word.chars().count() > 2);
    match (is_loud, was.starts_with(char::is_uppercase)) {
        (true, _) => now.to_uppercase(),
        (false, true) => capital(&now),
        (false, false) => now,
    }
}

/// Whether the one figure that stands in some words says what is held.
pub(super) fn says_in(text: &str, words: &Range<usize>, held: &Held, units: &Arc<OwnUnits>) -> bool {
    let draft = Draft { text: text.to_owned(), words: words.clone(), units: Arc::clone(units) };
    draft.figure().is_ok_and(|figure| draft_agrees(&figure, held) == Agreement::Agrees)
}

const NO_FIGURE: &str = "There is no figure in its words.";
const SEVERAL: &str = "There is more than one figure in its words.";
const OTHER_UNIT: &str = "Its unit is of another kind than the fact's.";
const LIMIT_OUTSIDE: &str =
    "It turns the limit of the fact round, with words that have to be changed by hand.";
const NUMBER_OUTSIDE: &str = "The number stands outside of the link's words.";
const NO_ROOM: &str = "No wording of this form says what the fact says.";

type Refused = &'static str;

/// A change to a text.
#[derive(Clone, Debug)]
struct Edit {
    at: Range<usize>,
    to: String,
}

/// Which half of a dual statement is at work.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Of {
    First,
    Second,
}

/// Words in their text, as far as they are restated.
struct Draft {
    text: String,
    words: Range<usize>,
    units: Arc<OwnUnits>,
}

fn in_context(
    text: &str,
    words: &Range<usize>,
    held: &Held,
    units: &Arc<OwnUnits>,
) -> Result<String, Refused> {
    let mut draft = Draft { text: text.to_owned(), words: words.clone(), units: Arc::clone(units) };
    // limit, first half, second half: each is put right at most once
    for _ in 0..4 {
        let figure = draft.figure()?;
        draft = match draft_agrees(&figure, held) {
            Agreement::Agrees => return Ok(draft.text[draft.words].to_owned()),
            Agreement::OtherUnit => return Err(OTHER_UNIT),
            Agreement::LimitTurned => draft.turned(&figure, held)?,
            Agreement::Off { .. } | Agreement::TooFine { .. } => {
                draft.renumbered(&figure, held, Of::First)?
            }
            Agreement::DualDisagrees => draft.renumbered(&figure, held, Of::Second)?,
        };
    }
    Err(NO_ROOM)
}

impl Draft {
    /// The one figure that stands in the words, as it is read in the text.
    fn figure(&self) -> Result<Figure, Refused> {
        let overlaps =
            |figure: &Figure| figure.span.start < self.words.end && self.words.start < figure.span.end;
        let mut figures = read_by(&self.text, &self.units).into_iter().filter(overlaps);
        match (figures.next(), figures.next()) {
            (Some(figure), None) => Ok(figure),
            (None, _) => Err(NO_FIGURE),
            (Some(_), Some(_)) => Err(SEVERAL),
        }
    }

    /// The draft with edits made; `None` where one lies outside of the words.
    fn with(&self, edits: &[Edit]) -> Option<Self> {
        let mut edits: Vec<&Edit> =
            edits.iter().filter(|edit| self.text[edit.at.clone()] != edit.to).collect();
        edits.sort_by_key(|edit| std::cmp::Reverse(edit.at.start));
        let (mut text, mut end) = (self.text.clone(), self.words.end);
        for edit in edits {
            if edit.at.start < self.words.start || self.words.end < edit.at.end {
                return None;
            }
            text.replace_range(edit.at.clone(), &edit.to);
            end = end + edit.to.len() - edit.at.len();
        }
        Some(Self { text, words: self.words.start..end, units: Arc::clone(&self.units) })
    }

    fn turned(&self, figure: &Figure, held: &Held) -> Result<Self, Refused> {
        let edits = bound::turned(&self.text, figure, held);
        let drafts = edits.into_iter().filter_map(|edit| self.with(&[edit]));
        let mut drafts = drafts.filter(|draft| {
            draft.figure().is_ok_and(|figure| agree::agree(&figure, held) != Agreement::LimitTurned)
        });
        drafts.next().ok_or(LIMIT_OUTSIDE)
    }

    /// The draft with other numbers in one of its halves: the first proposal that reads right.
    fn renumbered(&self, figure: &Figure, held: &Held, of: Of) -> Result<Self, Refused> {
        let half = match (&figure.dual, of) {
            (Some(dual), Of::Second) => dual,
            _ => figure,
        };
        let proposals = propose(&self.text, half, held, &self.units)?;
        let mut outside = true;
        // first those that keep a limit on its safe side
        for strict in [of == Of::First, false] {
            for proposal in &proposals {
                if strict && !proposal.safe {
                    continue;
                }
                let Some(draft) = self.with(&self.inside(&proposal.edits)) else { continue };
                outside = false;
                if draft.figure().is_ok_and(|read| fits(&read, figure, held, of)) {
                    return Ok(draft);
                }
            }
        }
        Err(if outside { NUMBER_OUTSIDE } else { NO_ROOM })
    }

    /// Edits without a change of article that lies before the words.
    fn inside(&self, edits: &[Edit]) -> Vec<Edit> {
        edits.iter().filter(|edit| edit.at.end > self.words.start).cloned().collect()
    }
}

/// Holds a draft against the fact. One that the writer hedged may stand beside the bound itself ("at least eight inches,
/// which is about 20 cm"): where it does not, proofreading tells of it as it did before.
fn draft_agrees(figure: &Figure, held: &Held) -> Agreement {
    match figure.hedge {
        Some(Hedge::About) => agree::agree_beside(figure, held),
        _ => agree::agree(figure, held),
    }
}

fn fits(read: &Figure, before: &Figure, held: &Held, of: Of) -> bool {
    let (unit, own) = (&read.quantity.unit, &before.quantity.unit);
    // "1 wild horse" is read by its first word, and 0.07 hour may be said in minutes
    let same_unit = unit == own || unit.same_dimension(own);
    let alike = (read.hedge, read.limit) == (before.hedge, before.limit)
        && same_unit
        && read.dual.is_some() == before.dual.is_some();
    let agrees = |figure: &Figure| draft_agrees(figure, held) == Agreement::Agrees;
    alike
        && match of {
            Of::First => agrees(&Figure { dual: None, ..read.clone() }),
            Of::Second => agrees(read) && halves_agree(read),
        }
}

/// The article that ends a text, with the one that belongs before `number` where that is another.
pub fn other_article(before: &str, number: &str) -> Option<(Range<usize>, String)> {
    let bare = before.trim_end();
    let start = bare
        .rfind(|letter: char| !letter.is_alphabetic())
        .map_or(0, |at| at + bare[at..].chars().next().map_or(1, char::len_utf8));
    let article = &bare[start..];
    if bare.len() == before.len() {
        return None;
    }
    let to = match (article, takes_an(number)) {
        ("a", true) => "an",
        ("A", true) => "An",
        ("an", false) => "a",
        ("An", false) => "A",
        _ => return None,
    };
    Some((start..bare.len(), to.to_owned()))
}

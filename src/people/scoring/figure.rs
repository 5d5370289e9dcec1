//! Answers that state a figure: held against the fact just as proofreading holds prose against it.

use super::key::words_with_limit;
use super::wording::{self, Word};
use super::{Judged, quoted};
use crate::languages::Vocabulary;
use crate::program::lesson::Inline;
use crate::program::questions::Question;
use crate::quantity::{self, Agreement, Amount, Exact, Figure, Hedge, Held, Language, Limit};
use crate::understand::{Understood, plain_text};

/// What a figure question asks for.
pub(super) struct FigureQuestion<'q> {
    pub question: &'q Question,
    pub fact: &'q str,
    pub unit: Option<&'q str>,
    /// The words of the language in which it was asked.
    pub words: &'static Vocabulary,
}

pub(super) fn judge(understood: &Understood, asked: &FigureQuestion, answer: &str) -> Judged {
    let Some(held) = understood.held(asked.fact) else {
        return Judged::look("The facts file has no figure for this question: see `packstring proofread`.");
    };
    let fact = words_with_limit(understood, asked.fact).unwrap_or_default();
    let figure = match read(understood.language(), asked, answer) {
        Ok(figure) => figure,
        Err(why) => return Judged::look(why),
    };
    if figure.quantity.unit.is_none() && !held.quantity.unit.is_count() {
        return Judged::look(format!("It has no unit, and the question names none; the fact is {fact}."));
    }
    // An answer is no rule that somebody follows: in another unit it may be rounded to the nearest.
    match quantity::agree_beside(&figure, held) {
        Agreement::Agrees | Agreement::Off { .. } if is_one_sided(&figure) && !is_bound(held) => {
            Judged::look(format!("It says more or less than a number, and the fact is {fact}."))
        }
        Agreement::Agrees if is_range(&figure) && !is_held_range(held) && !is_narrow(&figure) => {
            Judged::look(format!("It gives a wide range, and the fact is {fact}."))
        }
        Agreement::Agrees => Judged::right(format!("It agrees with the fact: {fact}.")),
        Agreement::Off { .. } if is_held_range(held) && quantity::lies_within(&figure, held) => {
            Judged::right(format!("It lies within the fact: {fact}."))
        }
        Agreement::Off { .. } if is_range(&figure) && !is_held_range(held) => {
            Judged::look(format!("It gives a range, and the fact is {fact}."))
        }
        Agreement::Off { .. } => Judged::wrong(format!("The fact is {fact}.")),
        Agreement::LimitTurned => {
            Judged::wrong(format!("Its limit is the other way round: the fact is {fact}."))
        }
        Agreement::TooFine { expected } => Judged::look(format!(
            "It is finer than the fact is known; fairly rounded it would be {expected}."
        )),
        Agreement::DualDisagrees => Judged::look("Its two halves are not the same quantity."),
        Agreement::OtherUnit => other_unit(understood, asked, &figure, &fact),
    }
}

/// The one figure of an answer: alone, with words that the question has itself, or as a bare number in the
/// unit that is asked for. Else a sentence that says why it cannot be read.
fn read(language: &Language, asked: &FigureQuestion, answer: &str) -> Result<Figure, String> {
    let figures = language.read(answer);
    let [figure] = &*figures else {
        return Err(match figures.len() {
            0 => "No figure can be read in it.".to_owned(),
            _ => "There is more than one figure in it.".to_owned(),
        });
    };
    let (start, end) = (figure.reach.start, figure.reach.end.max(figure.span.end));
    let of_question = wording::words(&plain_text(&asked.question.ask.inlines), asked.words);
    let beside = wording::words(&format!("{} {}", &answer[..start], &answer[end..]), asked.words);
    let is_known =
        |word: &&Word| word.is_harmless() || of_question.iter().any(|asked| asked.plain == word.plain);
    if let Some(word) = beside.iter().find(|word| word.turns() || !is_known(word)) {
        return Err(format!("Beside the figure it says “{}”, which may change what is meant.", word.plain));
    }
    // A sign that the reader of prose leaves out could be part of the number.
    if answer[..start].trim_end().ends_with(['-', '−', '<', '>', '≤', '≥', '~', '=']) {
        return Err("There is a sign before the figure that may change what is meant.".to_owned());
    }
    if !figure.quantity.unit.is_none() {
        return Ok(figure.clone());
    }
    let Some(unit) = asked.unit else { return Ok(figure.clone()) };
    let with_unit = format!("{} {unit}", answer[start..end].trim_end_matches('.'));
    language.read_one(&with_unit).map_err(|_| format!("It cannot be read as a number of {unit}."))
}

fn is_range(figure: &Figure) -> bool {
    matches!(figure.quantity.amount, Amount::Range(..))
}

/// Whether two ends are no further apart than a reader takes for one number: one part in twenty.
fn is_narrow(figure: &Figure) -> bool {
    match &figure.quantity.amount {
        Amount::Range(low, high) => (high - low) * Exact::from_integer(20.into()) <= *high,
        Amount::One(_) => true,
    }
}

/// Whether it says that something is more, or less, than its number.
fn is_one_sided(figure: &Figure) -> bool {
    matches!(figure.hedge, Some(Hedge::Over | Hedge::Under))
        || matches!(figure.limit, Some(Limit::AtMost | Limit::AtLeast))
}

/// Whether the fact itself is a limit, which an answer may say.
fn is_bound(held: &Held) -> bool {
    matches!(held.limit, Some(Limit::AtMost | Limit::AtLeast))
}

fn is_held_range(held: &Held) -> bool {
    matches!(held.quantity.amount, Amount::Range(..))
}

/// A figure of another kind may still be what was taught: the explanation may quote a fact that it is.
fn other_unit(understood: &Understood, asked: &FigureQuestion, figure: &Figure, fact: &str) -> Judged {
    let because = asked.question.because.as_ref().map_or(&[][..], |prose| &prose.inlines);
    let agreeing = because.iter().find_map(|inline| match inline {
        Inline::Backed(backed) => {
            let held = understood.held(&backed.fact)?;
            (quantity::agree(figure, held) == Agreement::Agrees).then(|| understood.words_of(backed))
        }
        _ => None,
    });
    Judged::look(match agreeing {
        Some(words) => format!(
            "It is in another kind of unit than the fact, {fact}, but agrees with {}, which the explanation quotes.",
            quoted(&words)
        ),
        None => format!("It is in another kind of unit than the fact, {fact}."),
    })
}

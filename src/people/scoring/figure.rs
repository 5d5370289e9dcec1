//! Answers that state a figure: held against the fact just as proofreading holds prose against it.

use super::key::words_with_limit;
use super::wording::{self, Word};
use super::{Judged, Reason, Verdict, quoted};
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
        return Judged::look("no-figure-fact", &[]);
    };
    let words = words_with_limit(understood, asked.fact).unwrap_or_default();
    let fact = [("fact", words.as_str())];
    let figure = match read(understood.language(), asked, answer) {
        Ok(figure) => figure,
        Err(why) => return Judged::new(Verdict::Look, why),
    };
    if figure.quantity.unit.is_none() && !held.quantity.unit.is_count() {
        return Judged::look("no-unit", &fact);
    }
    // An answer is no rule that somebody follows: in another unit it may be rounded to the nearest.
    match quantity::agree_beside(&figure, held) {
        Agreement::Agrees | Agreement::Off { .. } if is_one_sided(&figure) && !is_bound(held) => {
            Judged::look("one-sided", &fact)
        }
        Agreement::Agrees if is_range(&figure) && !is_held_range(held) && !is_narrow(&figure) => {
            Judged::look("wide-range", &fact)
        }
        Agreement::Agrees => Judged::right("agrees", &fact),
        Agreement::Off { .. } if is_held_range(held) && quantity::lies_within(&figure, held) => {
            Judged::right("within", &fact)
        }
        Agreement::Off { .. } if is_range(&figure) && !is_held_range(held) => Judged::look("range", &fact),
        Agreement::Off { .. } => Judged::wrong("off", &fact),
        Agreement::LimitTurned => Judged::wrong("limit-turned", &fact),
        Agreement::TooFine { expected } => Judged::look("too-fine", &[("expected", &expected.to_string())]),
        Agreement::DualDisagrees => Judged::look("dual", &[]),
        Agreement::OtherUnit => other_unit(understood, asked, &figure, &words),
    }
}

/// The one figure of an answer: alone, with words that the question has itself, or as a bare number in the
/// unit that is asked for. Else why it cannot be read.
fn read(language: &Language, asked: &FigureQuestion, answer: &str) -> Result<Figure, Reason> {
    let figures = language.read(answer);
    let [figure] = &*figures else {
        return Err(match figures.len() {
            0 => Reason::of("no-figure", &[]),
            _ => Reason::of("several-figures", &[]),
        });
    };
    let (start, end) = (figure.reach.start, figure.reach.end.max(figure.span.end));
    let of_question = wording::words(&plain_text(&asked.question.ask.inlines), asked.words);
    let beside = wording::words(&format!("{} {}", &answer[..start], &answer[end..]), asked.words);
    let is_known =
        |word: &&Word| word.is_harmless() || of_question.iter().any(|asked| asked.plain == word.plain);
    if let Some(word) = beside.iter().find(|word| word.turns() || !is_known(word)) {
        return Err(Reason::of("beside", &[("words", &quoted(&word.plain))]));
    }
    // A sign that the reader of prose leaves out could be part of the number.
    if answer[..start].trim_end().ends_with(['-', '−', '<', '>', '≤', '≥', '~', '=']) {
        return Err(Reason::of("sign", &[]));
    }
    if !figure.quantity.unit.is_none() {
        return Ok(figure.clone());
    }
    let Some(unit) = asked.unit else { return Ok(figure.clone()) };
    let with_unit = format!("{} {unit}", answer[start..end].trim_end_matches('.'));
    language.read_one(&with_unit).map_err(|_| Reason::of("no-number", &[("unit", unit)]))
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
    let thing = figure
        .quantity
        .unit
        .thing()
        .filter(|_| !understood.held(asked.fact).is_some_and(|held| held.quantity.unit.is_count()));
    match agreeing {
        None if thing.is_some() => {
            let unit = quoted(thing.unwrap_or_default());
            Judged::new(
                Verdict::Look,
                Reason::of("unit-unknown", &[("unit", &unit)]).and("off", &[("fact", fact)]),
            )
        }
        Some(words) => Judged::look("other-unit-but", &[("fact", fact), ("words", &quoted(&words))]),
        None => Judged::look("other-unit", &[("fact", fact)]),
    }
}

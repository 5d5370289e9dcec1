//! A fact's wording does not agree with its value.

use super::figure_too_fine::is_near;
use super::unit_unfit::unknown_units;
use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::languages;
use crate::particulars::{self, Kind, Verdict};
use crate::quantity;
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "wording-unfit",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A fact's wording does not agree with its value.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fact in &print.understood.facts {
        let Some(wording) = &fact.wording else { continue };
        if let Some((kind, says)) = fact.kind.zip(print.understood.says(&fact.name)) {
            let file = print.understood.content.language_of(&wording.place.file);
            let words = &languages::of_or_english(file).particulars;
            let read = particulars::read_one(kind, &wording.text, words);
            let is_fit = read.is_ok_and(|read| particulars::agree(&read, says, false) == Verdict::Agrees);
            // words of another language are the translator's
            let is_foreign = kind == Kind::Text && wording.place.file != fact.place.file;
            if !is_fit && !is_foreign {
                let message = format!("The wording of the fact “{}” is not its value.", fact.name);
                findings.push(
                    Finding::of(&RULE, &wording.place, message)
                        .says(&*wording.text)
                        .fact_says(print.quote(fact))
                        .mend("Say in it what the value says, or correct the value.")
                        .stops_press(fact.safety),
                );
            }
            continue;
        }
        let Some(held) = print.understood.held(&fact.name) else { continue };
        let language = print.understood.language_for(&wording.place.file);
        let figures = language.read(&wording.text);
        let mut judgements = figures.iter().map(|figure| Judgement::from(quantity::agree(figure, held)));
        let unfit = judgements.find(|judgement| *judgement != Judgement::Agrees);
        let (message, mend) = match unfit {
            None if figures.is_empty() => (
                format!("The wording of the fact “{}” holds no figure.", fact.name),
                "State the fact's figure in its wording.".to_owned(),
            ),
            None => continue,
            Some(Judgement::Off { expected }) => (
                format!("The wording of the fact “{}” is not what its value rounds to.", fact.name),
                format!("Write “{}”, or correct the value.", language.put(&expected)),
            ),
            Some(Judgement::TooFine { expected }) => (
                format!("The wording of the fact “{}” is more exact than its value is known.", fact.name),
                match is_near(language, &expected, Some(held)) {
                    true => format!("Round it: “{}”.", language.put(&expected)),
                    false => "Say it no more exactly than the value does.".to_owned(),
                },
            ),
            Some(Judgement::LimitTurned) => (
                format!("The wording of the fact “{}” reverses its limit.", fact.name),
                "Word the limit as the fact's “limit” gives it.".to_owned(),
            ),
            Some(Judgement::DualApart) => (
                format!(
                    "The wording of the fact “{}” says two different things in its two units.",
                    fact.name
                ),
                "Correct the half that is wrong, rounded no finer than the other.".to_owned(),
            ),
            Some(_) => (
                format!(
                    "The wording of the fact “{}” has no unit of the kind that its value has.{}",
                    fact.name,
                    unknown_units(figures.first().map(|figure| &figure.quantity.unit), Some(held))
                ),
                "State it in a unit of the same kind.".to_owned(),
            ),
        };
        findings.push(
            Finding::of(&RULE, &wording.place, message)
                .says(&*wording.text)
                .fact_says(print.quote(fact))
                .mend(mend)
                .stops_press(fact.safety),
        );
    }
    findings
}

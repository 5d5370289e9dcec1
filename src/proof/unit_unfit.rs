//! A figure is of another dimension than its fact, or a backed one holds no figure at all.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::nearest::nearest;
use crate::particulars::Kind;
use crate::program::facts::Stated;
use crate::program::series_column;
use crate::quantity::{self, Agreement, Held, Unit};
use crate::statements::judgement::Judgement;
use crate::statements::{PrintContext, Statement};

pub static RULE: Rule = Rule {
    name: "unit-unfit",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A figure lacks a unit of its fact's kind, or backed words hold no figure.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = units_of_series(print);
    findings.extend(units_of_values(print));
    for statement in &print.statements {
        findings.extend(unbacked(print, statement));
        let (Some(backed), Some(fact)) = (statement.backed, statement.fact) else { continue };
        let held = print.understood.held(&fact.name);
        findings.extend(unit_of_link(print, statement));
        let (message, mend) = match &statement.judgement {
            // An open link is printed in the fact's own words; a unit that these cannot take on is the
            // link's mistake.
            _ if backed.is_open() => match (&backed.unit, held) {
                (Some(name), Some(held)) => match print.understood.language().unit_called(name) {
                    None => (
                        format!("packstring does not know the unit “{name}”."),
                        "Correct the unit after “?unit=”, or define it under [units] in facts.toml.",
                    ),
                    Some(unit) if quantity::say(held, Some(&unit)).is_err() => (
                        format!("The fact “{}” cannot be stated in “{name}”.", fact.name),
                        "Ask for a unit of the same kind as the fact's.",
                    ),
                    Some(_) => continue,
                },
                (Some(_), None) if fact.kind.is_some() => (
                    format!("The fact “{}” is not a quantity, so it has no unit.", fact.name),
                    "Leave “?unit=” out.",
                ),
                _ if matches!(fact.stated, Stated::Series(_)) => (
                    format!(
                        "The fact “{}” is a series, which has no words of its own to print here.",
                        fact.name
                    ),
                    "Write the figure that is meant between the brackets.",
                ),
                _ => continue,
            },
            // In English words, which another rule tells.
            Judgement::OtherUnit if is_only_foreign(print, statement) => continue,
            Judgement::OtherUnit => (
                format!(
                    "“{}” has no unit of the kind that the fact “{}” has.{}",
                    statement.words,
                    fact.name,
                    unknown_units(statement.unit.as_ref(), held)
                ),
                "State the figure in a unit of the same kind, or link to the fact that is meant.",
            ),
            Judgement::LeavesOut { thing } => (
                format!(
                    "“{}” does not say that the fact “{}” is per {thing}, and nothing around it does.",
                    statement.words, fact.name
                ),
                "Say in the figure or beside it what it is per, or link to the fact that is meant.",
            ),
            Judgement::NoFigure if fact.kind.is_some() => (
                format!(
                    "“{}” is backed by the fact “{}”, but holds no {}, or more than one.",
                    statement.words,
                    fact.name,
                    fact.kind.map_or("figure", Kind::name)
                ),
                "Write it in full between the brackets, or remove the link.",
            ),
            Judgement::NoFigure => (
                format!("“{}” is backed by the fact “{}”, but holds no figure.", statement.words, fact.name),
                "Write the figure with its unit between the brackets, or remove the link.",
            ),
            _ => continue,
        };
        findings.push(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(mend));
    }
    findings
}

/// What is added where two units are of different kinds because one of them is no unit that packstring knows: such a
/// word is taken for things that are counted.
pub(super) fn unknown_units(stated: Option<&Unit>, held: Option<&Held>) -> String {
    let held = held.map(|held| &held.quantity.unit);
    let (stated_things, held_things) = (stated.and_then(Unit::thing), held.and_then(Unit::thing));
    match (stated_things, held_things) {
        (Some(word), None) if held.is_some_and(|unit| !unit.is_none()) => {
            format!(" packstring does not know the unit “{word}” and reads it as things that are counted.")
        }
        (None, Some(word)) if stated.is_some_and(|unit| !unit.is_none()) => format!(
            " packstring does not know the unit “{word}” of the fact and reads it as things that are counted."
        ),
        _ => String::new(),
    }
}

/// Whether the words say the fact in English, in a text of another language.
fn is_only_foreign(print: &PrintContext, statement: &Statement) -> bool {
    let language = print.understood.language_for(&statement.place.file);
    let held = statement.fact.and_then(|fact| print.understood.held(&fact.name));
    let Some(held) = held.filter(|_| language.english_word(&statement.words).is_some()) else { return false };
    let read = language.read_one_in_english(&statement.words);
    read.is_ok_and(|figure| quantity::agree(&figure, held) == Agreement::Agrees)
}

/// A unit behind “?unit=” that nobody knows, also where the link has words of its own.
fn unit_of_link(print: &PrintContext, statement: &Statement) -> Option<Finding> {
    let backed = statement.backed.filter(|backed| !backed.is_open())?;
    let name = backed.unit.as_ref()?;
    let unit = print.understood.language().unit_called(name);
    let held = print.understood.held(&backed.fact)?;
    let message = match unit {
        None => format!("packstring does not know the unit “{name}” of this link."),
        Some(unit) if quantity::say(held, Some(&unit)).is_err() => {
            format!("The fact “{}” cannot be given in “{name}”, the unit of this link.", backed.fact)
        }
        Some(_) => return None,
    };
    Some(at(&RULE, statement, message).mend("Correct the unit after “?unit=”, or leave it out."))
}

/// A value that is so many of something a day or an hour, whose name is nearly that of a unit. Of what is counted by
/// itself nobody can tell.
fn units_of_values(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fact in &print.understood.facts {
        let Stated::Value(value) = &fact.stated else { continue };
        let unit = print.understood.held(&fact.name).map(|held| &held.quantity.unit);
        let Some(unit) = unit.filter(|unit| unit.per_time().is_some()) else { continue };
        let Some((word, near)) = unit.thing().and_then(|word| Some((word, unit_nearly(word)?))) else {
            continue;
        };
        let message =
            format!("packstring does not know the unit “{word}” and reads it as things that are counted.");
        let language = print.understood.language_for(&value.place.file);
        findings.push(
            Finding::of(&RULE, &value.place, message)
                .says(&*value.text)
                .weighs(Level::Warning)
                .mend(format!("Did you mean “{}”?", language.unit(near))),
        );
    }
    findings
}

/// The name of more than one of the unit that a mistyped word most likely means: `gallons` for `galon`. Short names are
/// near to too many other words.
fn unit_nearly(word: &str) -> Option<&'static str> {
    const SHORTEST: usize = 5;
    if word.chars().count() + 1 < SHORTEST {
        return None;
    }
    let names = || quantity::unit_names().filter(|(one, _)| one.len() >= SHORTEST);
    let near = nearest(word, names().map(|(one, _)| one))?;
    names().find(|(one, _)| *one == near).map(|(_, several)| several)
}

/// A column of a series whose heading has a unit in parentheses that nobody knows.
fn units_of_series(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for fact in &print.understood.facts {
        let Stated::Series(series) = &fact.stated else { continue };
        for column in &series.columns {
            let (_, unit) = series_column(&column.text);
            let language = print.understood.language_for(&column.place.file);
            let known = language.unit_called(&unit);
            if unit.is_empty() || known.is_some_and(|unit| unit.thing().is_none()) {
                continue;
            }
            let message =
                format!("packstring does not know the unit “{unit}” of the column “{}”.", column.text);
            let mend =
                "Correct it, or define it under [units] in facts.toml. What is counted needs no parentheses.";
            findings.push(
                Finding::of(&RULE, &column.place, message)
                    .says(&*column.text)
                    .weighs(Level::Warning)
                    .mend(mend),
            );
        }
    }
    findings
}

/// An unbacked figure in a sentence that names a fact: the fact's number, and a unit that it has not.
fn unbacked(print: &PrintContext, statement: &Statement) -> Option<Finding> {
    let (Judgement::OtherUnit, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
    else {
        return None;
    };
    let message = format!(
        "“{}” has the number of the fact “{}”, which its sentence names, but a unit of another kind.",
        statement.words, fact.name
    );
    let finding = at(&RULE, statement, message).fact_says(print.quote(fact)).mend(format!(
        "If this fact is meant, write “[…](fact:{})”; if not, back the figure by its own fact.",
        fact.name
    ));
    Some(finding.weighs(Level::Warning))
}

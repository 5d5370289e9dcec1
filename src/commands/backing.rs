//! `packstring backing`: where a fact comes from, what hangs on it, and what is due to be checked.

use super::report::{self, counted, plain};
use super::{Desk, Outcome, Trouble, open_program};
use crate::nearest::nearest;
use crate::pieces::{self, Selection, Shelf};
use crate::place::{LineColumn, Place};
use crate::program::facts::{Fact, Stated};
use crate::program::lesson::Block;
use crate::program::questions::{Kind, RightChoice};
use crate::program::{self, Program};
use crate::proof::walk;
use crate::quantity::{self, Limit};
use crate::understand::{Passage, Understood};
use clap::builder::styling::Style;
use jiff::civil::Date;
use std::io::{self, Write};
use std::path::Path;

/// Tells of one fact; with `due`, of what is to be checked again, the earliest first.
pub fn run(
    folder: Option<&Path>,
    fact: Option<&str>,
    due: bool,
    desk: &Desk,
    out: &mut dyn Write,
) -> Result<Outcome, Trouble> {
    let program = open_program(folder, desk)?;
    let understood = Understood::new(&program);
    let mut teller = Teller { understood: &understood, today: desk.today, bold: desk.terminal, out };
    let Some(name) = fact else {
        teller.due(&to_check(&program, None))?;
        return Ok(Outcome::Clear);
    };
    match understood.fact(name) {
        Some(_) if due => teller.due(&to_check(&program, Some(name)))?,
        Some(fact) => teller.fact(fact)?,
        None => return Err(unknown(name, &program)),
    }
    Ok(Outcome::Clear)
}

fn unknown(name: &str, program: &Program) -> Trouble {
    let hint = match nearest(name, program.facts.iter().map(|fact| fact.name.as_str())) {
        Some(known) => format!("Did you mean “{known}”?"),
        None => "`packstring backing --due` lists the facts by name.".to_owned(),
    };
    Trouble::said(format!("There is no fact “{}” in facts.toml. {hint}", plain(name)))
}

struct Teller<'a> {
    understood: &'a Understood<'a>,
    today: Date,
    bold: bool,
    out: &'a mut dyn Write,
}

/// Where a fact is used, and by which words.
struct Use {
    place: Place,
    words: String,
    /// The sentence around the words, where they stand in one.
    sentence: Option<String>,
}

impl Teller<'_> {
    fn fact(&mut self, fact: &Fact) -> io::Result<()> {
        self.title(&format!("{}: {}", fact.name, value_of(self.understood, fact)))?;
        self.labelled("Printed as", fact.wording.as_ref().map(|wording| wording.text.as_str()))?;
        self.labelled(
            "Called",
            Some(&fact.called.join(", ")).filter(|called| !called.is_empty()).map(|c| &**c),
        )?;
        self.labelled("Source", fact.source.as_ref().map(|source| source.text.as_str()))?;
        self.labelled("Address", fact.url.as_deref())?;
        self.labelled("As of", fact.as_of.map(|day| day.to_string()).as_deref())?;
        let review =
            fact.review_by.as_ref().map(|(day, _)| format!("{day}, {}", days_left(self.today, *day)));
        self.labelled("Review by", review.as_deref())?;
        self.labelled("Safety", fact.safety.then_some("a wrong or overdue figure stops the press"))?;
        self.labelled("Note", fact.note.as_deref())?;
        self.series(fact)?;
        self.at_events(fact)?;
        self.worked(fact)?;
        self.uses(fact)?;
        self.printed(fact)
    }

    fn series(&mut self, fact: &Fact) -> io::Result<()> {
        let Stated::Series(series) = &fact.stated else { return Ok(()) };
        let cells = |row: &[program::facts::Written]| {
            row.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | ")
        };
        writeln!(self.out)?;
        self.title(&cells(&series.columns))?;
        series.rows.iter().try_for_each(|row| writeln!(self.out, "  {}", plain(&cells(row))))
    }

    /// What the fact is at events where it is otherwise, or is worked from what is otherwise there.
    fn at_events(&mut self, fact: &Fact) -> io::Result<()> {
        let common = self.understood;
        let mut others = Vec::new();
        for (event, local) in &common.at_events {
            let Some(there) = local.fact(&fact.name) else { continue };
            if there.at.is_some() || local.held(&fact.name) != common.held(&fact.name) {
                others.push((*event, value_of(local, there)));
            }
        }
        if others.is_empty() {
            return Ok(());
        }
        writeln!(self.out)?;
        self.title("At events")?;
        let width = others.iter().map(|(event, _)| event.chars().count()).max().unwrap_or(0);
        others.iter().try_for_each(|(event, value)| writeln!(self.out, "  {event:width$}  {}", plain(value)))
    }

    /// What the fact is worked from, and what is worked from it.
    fn worked(&mut self, fact: &Fact) -> io::Result<()> {
        let inputs = self.understood.worth.get(fact.name.as_str()).map(|worth| &worth.worked_from[..]);
        if let Stated::WorkedFrom(expression) = &fact.stated {
            writeln!(self.out)?;
            self.title(&format!("Worked from {}", expression.text))?;
            self.values(inputs.unwrap_or_default().iter().map(String::as_str))?;
        }
        let uses_it = |name: &&str| self.understood.worth[name].worked_from.contains(&fact.name);
        let facts = self.understood.program.facts.iter().map(|fact| fact.name.as_str());
        let outputs: Vec<&str> =
            facts.filter(|name| self.understood.worth.contains_key(name)).filter(uses_it).collect();
        if outputs.is_empty() {
            return Ok(());
        }
        writeln!(self.out)?;
        self.title("Worked from it")?;
        self.values(outputs.into_iter())
    }

    fn values<'n>(&mut self, names: impl Iterator<Item = &'n str>) -> io::Result<()> {
        let known: Vec<(&str, String)> = names
            .filter_map(|name| Some((name, value_of(self.understood, self.understood.fact(name)?))))
            .collect();
        let width = known.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        known.iter().try_for_each(|(name, value)| writeln!(self.out, "  {name:width$}  {}", plain(value)))
    }

    fn uses(&mut self, fact: &Fact) -> io::Result<()> {
        let uses = uses_of(self.understood, &fact.name);
        writeln!(self.out)?;
        if uses.is_empty() {
            return self.title("Quoted nowhere");
        }
        self.title(&format!("Quoted in {}", counted(uses.len(), "place")))?;
        for found in uses {
            let LineColumn { line, column } = self.understood.program.sources.line_column(&found.place);
            writeln!(self.out, "  {}:{line}:{column}  {}", found.place.file, plain(&found.words))?;
            if let Some(sentence) = found.sentence.filter(|sentence| *sentence != found.words) {
                writeln!(self.out, "    {}", plain(&sentence))?;
            }
        }
        Ok(())
    }

    fn printed(&mut self, fact: &Fact) -> io::Result<()> {
        let jobs = pieces::plan(self.understood, &Selection::default());
        let mut paths: Vec<String> = Vec::new();
        for job in jobs.iter().filter(|job| job.quoted_facts().contains(&fact.name)) {
            let shelf = match job.shelf {
                Shelf::Open => "open",
                Shelf::Staff => "staff",
                Shelf::Private => "private",
            };
            paths.push(format!("{shelf}/{}", job.path));
        }
        if paths.is_empty() {
            return Ok(());
        }
        writeln!(self.out)?;
        self.title(&format!("Printed in {}", counted(paths.len(), "piece")))?;
        paths.iter().try_for_each(|path| writeln!(self.out, "  {}", plain(path)))
    }

    /// What is to be checked again, the earliest first.
    fn due(&mut self, facts: &[&Fact]) -> io::Result<()> {
        let due = dated(facts);
        let width = due.iter().map(|(_, fact)| full_name(fact).chars().count()).max().unwrap_or(0);
        for (day, fact) in &due {
            let left = days_left(self.today, *day);
            let safety = if fact.safety { ", safety" } else { "" };
            let source = fact.source.as_ref().map_or("", |source| source.text.as_str());
            writeln!(self.out, "{day}  {:width$}  {left}{safety}", full_name(fact))?;
            if !source.is_empty() {
                writeln!(self.out, "            {}", plain(source))?;
            }
        }
        let overdue = due.iter().filter(|(day, _)| *day < self.today).count();
        // What is worked from other facts is as old as they are.
        let undated =
            |fact: &&&Fact| fact.review_by.is_none() && !matches!(fact.stated, Stated::WorkedFrom(_));
        let without = match facts.iter().filter(undated).count() {
            0 => String::new(),
            without => format!("; {} without a date", counted(without, "fact")),
        };
        writeln!(
            self.out,
            "{}{} to check again, {overdue} overdue{without}.",
            if due.is_empty() { "" } else { "\n" },
            counted(due.len(), "fact")
        )
    }

    fn title(&mut self, words: &str) -> io::Result<()> {
        let style = if self.bold { Style::new().bold() } else { Style::new() };
        writeln!(self.out, "{style}{}{style:#}", plain(words))
    }

    fn labelled(&mut self, label: &str, words: Option<&str>) -> io::Result<()> {
        match words {
            Some(words) => report::labelled(self.out, self.bold, label, &plain(words)),
            None => Ok(()),
        }
    }
}

/// The facts to be checked again (of one name, or all), and those that an event has to itself with a day
/// of their own.
fn to_check<'p>(program: &'p Program, name: Option<&str>) -> Vec<&'p Fact> {
    let days = |fact: &Fact| fact.review_by.clone();
    let is_own = |fact: &&Fact| {
        let common = program.facts.iter().find(|common| common.name == fact.name);
        fact.review_by.is_some() && common.and_then(days) != days(fact)
    };
    let local = program.at_events.iter().flat_map(|at| &at.facts).filter(is_own);
    let all = program.facts.iter().chain(local);
    all.filter(|fact| name.is_none_or(|name| fact.name == name)).collect()
}

/// Those that have a day, the earliest first.
fn dated<'p>(facts: &[&'p Fact]) -> Vec<(Date, &'p Fact)> {
    let mut due: Vec<(Date, &Fact)> =
        facts.iter().filter_map(|fact| Some((fact.review_by.as_ref()?.0, *fact))).collect();
    due.sort_by(|(a, one), (b, other)| (a, &one.name, &one.at).cmp(&(b, &other.name, &other.at)));
    due
}

/// `lead-length`, `lead-length at sand-creek`.
fn full_name(fact: &Fact) -> String {
    match &fact.at {
        Some(event) => format!("{} at {event}", fact.name),
        None => fact.name.clone(),
    }
}

/// `at most 6 ft`; of a computed fact what it comes to.
fn value_of(understood: &Understood, fact: &Fact) -> String {
    let words = match (&fact.stated, understood.held(&fact.name)) {
        (Stated::Value(value), _) => value.text.clone(),
        (Stated::Series(series), _) => format!("a series of {}", counted(series.rows.len(), "row")),
        (Stated::WorkedFrom(_), Some(held)) => {
            quantity::say(held, None).unwrap_or_else(|reason| format!("not to be said: {reason}"))
        }
        (Stated::WorkedFrom(_), None) => "not to be worked out; see “packstring proofread”".to_owned(),
    };
    let limit = match fact.limit {
        Some(Limit::AtMost) => "at most ",
        Some(Limit::AtLeast) => "at least ",
        Some(Limit::About) => "about ",
        Some(Limit::Exactly) => "exactly ",
        None => "",
    };
    if words.starts_with(limit) { words } else { format!("{limit}{words}") }
}

/// `due in 40 days`, `due today`, `overdue by 12 days`.
fn days_left(today: Date, day: Date) -> String {
    let days = (day - today).get_days();
    let count = counted(days.unsigned_abs() as usize, "day");
    match days {
        0 => "due today".to_owned(),
        1.. => format!("due in {count}"),
        _ => format!("overdue by {count}"),
    }
}

fn uses_of(understood: &Understood, name: &str) -> Vec<Use> {
    let program = understood.program;
    let mut uses = Vec::new();
    for passage in &understood.passages {
        for (range, backed) in passage.backed.iter().filter(|(_, backed)| backed.fact == name) {
            uses.push(Use {
                place: backed.words_place.clone(),
                words: passage.text[range.clone()].to_owned(),
                sentence: Some(sentence(passage, range)),
            });
        }
    }
    for block in program.lessons.iter().flat_map(walk::blocks) {
        if let Block::Series(view) = block
            && view.fact == name
        {
            let form = if view.as_table { "table" } else { "chart" };
            let words = format!("{} ({form})", view.title);
            uses.push(Use { place: view.place.clone(), words, sentence: None });
        }
    }
    uses.extend(keys(program, name));
    uses.sort_by(|a, b| a.place.cmp(&b.place));
    uses
}

/// The questions whose key is the fact.
fn keys<'p>(program: &'p Program, name: &'p str) -> impl Iterator<Item = Use> {
    program.questions.list.iter().filter_map(move |question| {
        let fact = match &question.kind {
            Kind::Choice { right: RightChoice::Fact(fact), .. } | Kind::Figure { fact, .. } => fact,
            _ => return None,
        };
        (fact.text == name).then(|| Use {
            place: fact.place.clone(),
            words: format!("the key of the question {}", question.id),
            sentence: None,
        })
    })
}

fn sentence(passage: &Passage, range: &std::ops::Range<usize>) -> String {
    passage.text[crate::proof::called::sentence(&passage.text, range)].trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_are_told_from_today() {
        let today = date(2026, 3, 31);
        assert_eq!(days_left(today, date(2026, 5, 10)), "due in 40 days");
        assert_eq!(days_left(today, date(2026, 4, 1)), "due in 1 day");
        assert_eq!(days_left(today, today), "due today");
        assert_eq!(days_left(today, date(2026, 3, 19)), "overdue by 12 days");
    }
}

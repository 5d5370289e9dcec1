//! `packstring backing`: where a fact comes from and what hangs on it. What is due to be checked again
//! stands in [`super::due`].

use super::due::{self, days_left};
use super::report::{self, counted, plain};
use super::{CommandError, Outcome};
use crate::finding::{LineColumn, Place};
use crate::job::Shelf;
use crate::nearest::nearest;
use crate::people::scoring::Scores;
use crate::pieces::{self, Selection};
use crate::program::facts::{Fact, SourceRead, Stated, given};
use crate::program::history::{Entry, State, Which};
use crate::program::walk::{self, Met};
use crate::program::{self, Program};
use crate::quantity::{self, Limit};
use crate::session::{Environment, open_program};
use crate::understand::{Passage, Understood};
use clap::builder::styling::Style;
use jiff::civil::Date;
use std::io::{self, Write};
use std::path::Path;

/// Tells of one fact; with `due`, of what is to be checked again, the earliest first. `calendar` names
/// the file that is to hold that instead.
pub fn run(
    folder: Option<&Path>,
    fact: Option<&str>,
    due: bool,
    calendar: Option<&Path>,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let program = open_program(folder, environment)?;
    let understood = Understood::new(&program);
    let known =
        fact.map(|name| understood.fact(name).ok_or_else(|| unknown(name, &understood))).transpose()?;
    match (known, calendar) {
        (_, Some(file)) => due::write_calendar(&understood, fact, file, out)?,
        (Some(known), None) if !due => {
            let mut teller =
                Teller { understood: &understood, today: environment.today, bold: environment.terminal, out };
            teller.fact(known)?;
        }
        _ => due::tell(&program, fact, environment.today, out)?,
    }
    Ok(Outcome::Clear)
}

fn unknown(name: &str, understood: &Understood) -> CommandError {
    let hint = match nearest(name, understood.fact_names()) {
        Some(known) => format!("Did you mean “{known}”?"),
        None if given::is_named_so(name) => format!("Write {}.", given::FORM),
        None if understood.content.facts.is_empty() => "The facts file is empty.".to_owned(),
        None => "Write a name as in brackets in facts.toml.".to_owned(),
    };
    CommandError::said(format!("There is no fact “{}” in facts.toml. {hint}", plain(name)))
}

struct Teller<'a> {
    understood: &'a Understood<'a>,
    today: Date,
    bold: bool,
    out: &'a mut dyn Write,
}

/// Where a fact is used, and by which words.
pub(super) struct Use {
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
        self.labelled("Read", fact.read.as_ref().map(SourceRead::words).as_deref())?;
        self.labelled("As of", fact.as_of.map(|day| day.to_string()).as_deref())?;
        let review =
            fact.review_by.as_ref().map(|(day, _)| format!("{day}, {}", days_left(self.today, *day)));
        self.labelled("Review by", review.as_deref())?;
        self.labelled("Safety", fact.safety.then_some("a wrong or overdue figure stops the press"))?;
        self.labelled("Note", fact.note.as_deref())?;
        self.series(fact)?;
        self.at_events(fact)?;
        self.worked(fact)?;
        self.history(fact)?;
        self.uses(fact)?;
        self.printed(fact)
    }

    fn series(&mut self, fact: &Fact) -> io::Result<()> {
        let Stated::Series(series) = &fact.stated else { return Ok(()) };
        let cells = |row: &[program::Written]| {
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

    /// What the fact was, since when, and by which source.
    fn history(&mut self, fact: &Fact) -> io::Result<()> {
        let history = &self.understood.root.history;
        let of_each =
            history.of_name(&fact.name).flat_map(|which| history.of(which).map(move |entry| (which, entry)));
        let entries: Vec<(&Which, &Entry)> = of_each.collect();
        if history.is_broken {
            writeln!(self.out)?;
            return self.title("Its history is broken; see “packstring proofread”");
        }
        if entries.is_empty() {
            return Ok(());
        }
        writeln!(self.out)?;
        self.title("History, by the day of the first making")?;
        for ((_, at), entry) in entries {
            let at = at.as_ref().map(|event| format!(" at {event}")).unwrap_or_default();
            match entry {
                Entry::Gone(gone) => writeln!(self.out, "  {}{at}  taken out of the facts file", gone.day)?,
                Entry::Fact(state) => {
                    writeln!(self.out, "  {}{at}  {}", state.day, plain(&state.words()))?;
                    let by = by_what(state);
                    if !by.is_empty() {
                        writeln!(self.out, "    {}", plain(&by))?;
                    }
                }
            }
        }
        Ok(())
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
        let facts = self.understood.content.facts.iter().map(|fact| fact.name.as_str());
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
            let LineColumn { line, column } = self.understood.root.sources.line_column(&found.place);
            writeln!(self.out, "  {}:{line}:{column}  {}", found.place.file, plain(&found.words))?;
            if let Some(sentence) = found.sentence.filter(|sentence| *sentence != found.words) {
                writeln!(self.out, "    {}", plain(&sentence))?;
            }
        }
        Ok(())
    }

    fn printed(&mut self, fact: &Fact) -> io::Result<()> {
        let jobs = pieces::plan(self.understood, &Scores::of(self.understood), &Selection::default());
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

/// What a line of the history goes by: `Basin rule 4.2, as of 2026-03-01, read at the source`.
fn by_what(state: &State) -> String {
    let worked = state.worked_from.as_ref().map(|expression| format!("worked from {expression}"));
    let as_of = state.as_of.map(|day| format!("as of {day}"));
    let read = state.read.as_ref().map(|read| format!("read {read}"));
    [worked, state.source.clone(), as_of, read].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// `at most 6 ft`; of a computed fact what it comes to.
pub(super) fn value_of(understood: &Understood, fact: &Fact) -> String {
    let words = match (&fact.stated, understood.held(&fact.name)) {
        (Stated::Value(value), _) => value.text.clone(),
        (Stated::Series(series), _) => format!("a series of {}", counted(series.rows.len(), "row")),
        (Stated::WorkedFrom(_), Some(held)) => {
            quantity::say(held, None).unwrap_or_else(|reason| format!("not to be said: {reason}"))
        }
        (Stated::WorkedFrom(_), None) => "cannot be worked out; see “packstring proofread”".to_owned(),
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

pub(super) fn uses_of(understood: &Understood, name: &str) -> Vec<Use> {
    let program = understood.root;
    let mut uses = Vec::new();
    for passage in understood.all_passages() {
        for (range, backed) in passage.backed.iter().filter(|(_, backed)| backed.fact == name) {
            uses.push(Use {
                place: backed.words_place.clone(),
                words: passage.text[range.clone()].to_owned(),
                sentence: Some(sentence(passage, range)),
            });
        }
    }
    let of_editions = program.editions.iter().flat_map(|edition| {
        let own = edition.content.lessons.iter().filter(|lesson| edition.owns(&lesson.file));
        own.flat_map(|lesson| walk::lesson(lesson))
    });
    let met = walk::lessons(&program.content).chain(of_editions);
    for view in met.filter_map(Met::series).filter(|view| view.fact == name) {
        let form = if view.as_table { "table" } else { "chart" };
        let words = format!("{} ({form})", view.title);
        uses.push(Use { place: view.place.clone(), words, sentence: None });
    }
    uses.extend(keys(program, name));
    uses.sort_by(|a, b| a.place.cmp(&b.place));
    uses
}

/// The questions whose key is the fact.
fn keys<'p>(program: &'p Program, name: &'p str) -> impl Iterator<Item = Use> {
    program.content.questions.list.iter().filter_map(move |question| {
        let fact = question.key_fact()?;
        (fact.text == name).then(|| Use {
            place: fact.place.clone(),
            words: format!("the key of the question {}", question.id),
            sentence: None,
        })
    })
}

fn sentence(passage: &Passage, range: &std::ops::Range<usize>) -> String {
    passage.text[crate::statements::called::sentence(&passage.text, range)].trim().to_owned()
}

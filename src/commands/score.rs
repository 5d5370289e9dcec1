//! `score`: scores the answers, tells who passes, and makes the table and the sheet for the ranger's eye.
//!
//! What is told holds no names: it may be kept in a log. The sheet has them.

mod record;

pub use record::ScoreRecord;

use super::arguments::ScoreArguments;
use super::make::{tell, tell_as, tell_count};
use super::progress::Bar;
use super::report::{As, counted};
use super::tally::TellAs;
use super::{CommandError, Outcome, decisions, open_or_tell};
use crate::finding::Place;
use crate::people::scoring::{Passed, Scores, Scoring, Verdict};
use crate::pieces::scores::is_wanted;
use crate::program::questions::Kind;
use crate::session::{Environment, check_selection, unknown_decisions};
use crate::understand::{Understood, plain_text};
use std::io::{self, Write};

/// The rules of proofreading whose findings make scores wrong.
const RULES: [&str; 2] = ["answerer-unknown", "answers-doubled"];

pub fn run(
    asked: &ScoreArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let is_text = asked.tell_as == TellAs::Text;
    let folders = (asked.program.folder.as_deref(), asked.printing.into.as_deref());
    let Some(mut session) = open_or_tell(folders, is_text, environment, out)? else {
        return Ok(Outcome::NotDone);
    };
    let selection = asked.selection();
    check_selection(session.program(), &selection)?;
    session.take_in_decisions()?;
    if session.program().people.answers.rows.is_empty() {
        return Err(CommandError::said(
            "There are no answers to score. Write them into people/answers.csv, one row for each person and event, with the columns event, name, email and one for each question.",
        ));
    }
    let known = session.know();
    let stops = known.stops();
    if !stops.is_empty() {
        let form = if is_text { As::Text } else { As::Json };
        tell_as(form, &stops, &known.understood, environment, out)?;
        if is_text {
            writeln!(
                out,
                "Nothing was scored: a safety fact must be right before answers are compared with it."
            )?;
        }
        return Ok(Outcome::Findings);
    }

    let wanted = known.scores.list.iter().filter(|scoring| is_wanted(scoring, &selection)).collect();
    let told = ScoreReport { understood: &known.understood, scores: &known.scores, wanted };
    if is_text {
        told.write(out)?;
    }
    let bar = Bar::new(environment);
    let made = session.make_of(&known, selection, &mut |progress| bar.show(progress))?;
    bar.clear();
    if is_text {
        writeln!(out)?;
        tell_count(&made.count, session.out(), out)?;
        if !made.held_back.is_empty() {
            writeln!(out)?;
            tell(&made.held_back, &known.understood, environment, out)?;
        }
    } else {
        record::write(&told, &made.held_back, out)?;
    }
    // An answer that waits for the ranger's eye is work and no mistake; a decision that means nothing is one.
    let of_answers = known.findings.iter().filter(|finding| RULES.contains(&finding.rule.name));
    let outcome = Outcome::of(of_answers.chain(&made.held_back), false);
    let is_understood = unknown_decisions(session.program()).is_empty();
    Ok(if is_understood { outcome } else { Outcome::Findings })
}

/// All that is told.
struct ScoreReport<'s> {
    understood: &'s Understood<'s>,
    scores: &'s Scores<'s>,
    wanted: Vec<&'s Scoring<'s>>,
}

impl ScoreReport<'_> {
    /// How many answers wait for the ranger's eye.
    fn looks(&self) -> usize {
        self.wanted.iter().map(|scoring| scoring.count(Verdict::Look)).sum()
    }

    fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        tell_looks(self.understood, &self.wanted, out)?;
        tell_events(self.understood, self.scores, &self.wanted, out)?;
        tell_unplaced(self.understood, self.scores, out)?;
        decisions::tell(self.understood.root, self.scores.leftover.len(), out)
    }
}

/// How many answers wait for the ranger's eye, by question.
fn tell_looks(understood: &Understood, wanted: &[&Scoring], out: &mut dyn Write) -> io::Result<()> {
    let questions = &understood.content.questions.list;
    let waiting = |at: usize| {
        let answers = wanted.iter().map(|scoring| &scoring.answers[at]);
        answers.filter(|scored| scored.verdict() == Verdict::Look).count()
    };
    let all: usize = (0..questions.len()).map(waiting).sum();
    if all == 0 {
        writeln!(out, "There is no answer for you to judge.")?;
    } else {
        writeln!(out, "{} for you to judge:", counted(all, "answer"))?;
    }
    for (at, question) in questions.iter().enumerate().filter(|(at, _)| waiting(*at) > 0) {
        let ask = shortened(&plain_text(&question.ask.inlines));
        let open = if matches!(question.kind, Kind::Open { .. }) { " (open)" } else { "" };
        writeln!(out, "  {:>4} to question {}, {}{open}: {ask}", waiting(at), at + 1, question.id)?;
    }
    writeln!(out)
}

fn shortened(words: &str) -> String {
    const LONGEST: usize = 60;
    match words.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{} …", words[..end].trim_end()),
        None => words.to_owned(),
    }
}

/// Per event, who passes.
fn tell_events(
    understood: &Understood,
    scores: &Scores,
    wanted: &[&Scoring],
    out: &mut dyn Write,
) -> io::Result<()> {
    for event in &understood.content.settings.events {
        let here: Vec<&&Scoring> =
            wanted.iter().filter(|scoring| scoring.participant.event == event.id).collect();
        if here.is_empty() {
            continue;
        }
        let count =
            |passed: Passed| here.iter().filter(|one| scores.passed(one.participant) == passed).count();
        let answered = if here.len() == 1 { "1 person" } else { &format!("{} people", here.len()) };
        write!(out, "{}: {answered} answered; ", event.name)?;
        if understood.content.questions.passing.is_none() {
            writeln!(out, "questions.toml has no rule for who passes.")?;
            continue;
        }
        let (yes, no, waits) = (count(Passed::Yes), count(Passed::No), count(Passed::Waits));
        // Most answers that wait decide nothing: who passes without them is not held up.
        write!(out, "{yes} passed, {no} not passed")?;
        match waits {
            0 => writeln!(out, ".")?,
            waits => writeln!(out, ", {waits} not decided until you judge.")?,
        }
        let otherwise = here.iter().filter(|one| {
            let by_rule = one.by_rule;
            scores.by_roster(one.participant)
                && matches!(by_rule, Passed::Yes | Passed::No)
                && by_rule != scores.passed(one.participant)
        });
        let otherwise = otherwise.count();
        if otherwise > 0 {
            writeln!(out, "  For {otherwise}, the roster differs from the answers; the roster counts.")?;
        }
    }
    Ok(())
}

/// Rows of answers that belong to nobody, or that a later one replaces.
fn tell_unplaced(understood: &Understood, scores: &Scores, out: &mut dyn Write) -> io::Result<()> {
    let row = |place: &Place| understood.root.sources.row(place);
    let rows = |places: Vec<&Place>| decisions::rows(&places.into_iter().map(row).collect::<Vec<_>>());
    if !scores.strangers.is_empty() {
        let places = scores.strangers.iter().map(|stranger| &stranger.row.place).collect();
        writeln!(
            out,
            "For {} of the answers it is not clear which person on the roster they belong to, so they are not scored: see `packstring proofread`.",
            rows(places)
        )?;
    }
    if !scores.superseded.is_empty() {
        let places = scores.superseded.iter().map(|(earlier, _)| &earlier.place).collect();
        writeln!(out, "A later row of the same person counts instead of {} of the answers.", rows(places))?;
    }
    Ok(())
}

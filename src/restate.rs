//! Restate: what has to change in the files so that each quoted figure says what its fact says.
//!
//! Pure: what was understood goes in, a [`Plan`] comes out, and [`edited`] gives a file's new text.
//! Nothing is written or printed here. How a figure is written in another's form is for
//! [`crate::quantity`]; here is where it stands, what may be changed, and what it takes to put words
//! into Markdown and into a string of a TOML file.

mod source;

use crate::finding::{FileName, Place};
use crate::program::lesson::{Backed, Block, Inline};
use crate::program::walk::{self, Met};
use crate::program::{Fact, Written};
use crate::quantity::{self, Agreement};
use crate::statements::judgement::{self, Judgement};
use crate::statements::{PrintContext, called, put_right_of_kind, quote};
use crate::understand::{Passage, Understood, history};
use jiff::civil::Date;
use source::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// What is to change, and what has to be left to the editor; both in the order of files and places.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    pub changes: Vec<Change>,
    pub left: Vec<Left>,
    /// So many open links stay open, for their facts are what they were when pieces were made last.
    pub open: usize,
}

/// Which of the links that leave their words to their fact are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Open {
    /// Those whose fact has changed since pieces were made last, or was not there.
    OfChanged,
    All,
}

/// A figure that gets other words.
#[derive(Clone, Debug)]
pub struct Change {
    pub place: Place,
    /// The words as they stand, with an article before them that changes too.
    pub was: String,
    pub now: String,
    pub sentence: String,
    /// The fact as it is quoted to the editor: `at most 10 ft (lead-length)`.
    pub fact_says: String,
    /// Why the sentence has to be read again, where words around the figure may have to change with it.
    pub reread: Option<&'static str>,
    /// What is put where in the file.
    edits: Vec<(Range<usize>, String)>,
}

/// A figure that does not say what its fact says, and cannot be restated by rule.
#[derive(Clone, Debug)]
pub struct Left {
    pub place: Place,
    pub words: String,
    pub sentence: String,
    /// The fact as it is quoted to the editor.
    pub fact_says: String,
    /// Why it is left, as a sentence.
    pub why: String,
}

impl Plan {
    fn in_order(mut self) -> Self {
        self.changes.sort_by(|a, b| a.place.cmp(&b.place));
        self.left.sort_by(|a, b| a.place.cmp(&b.place));
        self
    }

    /// How many sentences have to be read again once they are changed.
    pub fn to_reread(&self) -> usize {
        self.changes.iter().filter(|change| change.reread.is_some()).count()
    }

    /// The files in which something is to change.
    pub fn files(&self) -> BTreeSet<&FileName> {
        self.changes.iter().map(|change| &change.place.file).collect()
    }

    /// A file's text with its changes made, and nothing else in it touched.
    pub fn edited(&self, file: &str, text: &str) -> String {
        let here = self.changes.iter().filter(|change| &*change.place.file == file);
        let mut edits: Vec<&(Range<usize>, String)> = here.flat_map(|change| &change.edits).collect();
        edits.sort_by_key(|(at, _)| at.start);
        let mut new = String::with_capacity(text.len() + 64);
        let mut done = 0;
        for (at, to) in edits {
            new.push_str(&text[done..at.start]);
            new.push_str(to);
            done = at.end;
        }
        new.push_str(&text[done..]);
        new
    }
}

/// The text of a TOML file with another value in the place of one, written as that was, and nothing else in it touched.
///
/// # Errors
/// A sentence: it stands there in a way that cannot be followed.
pub fn with_value(understood: &Understood, value: &Written, now: &str) -> Result<String, String> {
    let source = Source::of_value(understood, &value.place);
    let mut edits = source.rewritten(&value.place.range, &value.text, now)?;
    edits.sort_by_key(|(at, _)| at.start);
    let mut new = String::with_capacity(source.text.len() + now.len());
    let mut done = 0;
    for (at, to) in &edits {
        new.push_str(&source.text[done..at.start]);
        new.push_str(to);
        done = at.end;
    }
    new.push_str(&source.text[done..]);
    Ok(new)
}

/// What has to change so that every backed figure, and every wording of a worked fact, says what the
/// facts file says. `[…](fact:…)` gets the words that it prints, where it is one of the `open` that do.
pub fn plan(understood: &Understood, open: Open) -> Plan {
    let mut plan = Plan::default();
    add_changes(understood, open, &|_| true, &mut plan);
    for (edition, own) in understood.root.editions.iter().zip(&understood.editions) {
        add_changes(own, open, &|file| edition.owns(file), &mut plan);
    }
    plan.in_order()
}

/// What has to change in some files of a program.
fn add_changes(understood: &Understood, open: Open, is_here: &dyn Fn(&str) -> bool, plan: &mut Plan) {
    let stays = |name: &str| {
        let fact = understood.fact(name);
        open == Open::OfChanged && fact.is_some_and(|fact| history::is_as_it_was(understood, fact))
    };
    let wordings = wordings(understood, is_here, plan);
    for passage in understood.passages.iter().filter(|passage| is_here(&passage.place.file)) {
        for (range, backed) in &passage.backed {
            let quoted = Quoted { understood, passage, range, backed };
            if backed.is_open() && stays(&backed.fact) {
                plan.open += 1;
            } else if backed.is_open() {
                quoted.written_in(&wordings, plan);
            } else {
                quoted.restated(plan);
            }
        }
    }
}

/// A figure in prose that is backed.
struct Quoted<'q, 'p> {
    understood: &'q Understood<'p>,
    passage: &'q Passage<'p>,
    range: &'q Range<usize>,
    backed: &'p Backed,
}

impl Quoted<'_, '_> {
    fn restated(&self, plan: &mut Plan) {
        let fact = self.understood.fact(&self.backed.fact).filter(|fact| fact.kind.is_some());
        if let Some(fact) = fact.filter(|fact| self.understood.says(&fact.name).is_some()) {
            return self.restated_of_kind(fact, plan);
        }
        let Some(held) = self.understood.held(&self.backed.fact) else { return };
        if judgement::against_its_fact(self.passage, self.range, held) == Judgement::Agrees {
            return;
        }
        let now = match judgement::put_right(self.passage, self.range, held) {
            Ok(now) => now,
            Err(why) => return plan.left.push(self.left(why)),
        };
        match self.changed(&now) {
            Ok(change) => plan.changes.push(change),
            Err(why) => plan.left.push(self.left(why)),
        }
    }

    /// The same of a fact that is no quantity.
    fn restated_of_kind(&self, fact: &Fact, plan: &mut Plan) {
        let was = &self.passage.text[self.range.clone()];
        let now = put_right_of_kind(self.understood, self.passage, self.range, fact);
        match now.and_then(|now| if now == was { Ok(None) } else { self.changed(&now).map(Some) }) {
            Ok(change) => plan.changes.extend(change),
            Err(why) => plan.left.push(self.left(why)),
        }
    }

    fn changed(&self, now: &str) -> Result<Change, String> {
        let source = Source::of(self.understood, self.passage);
        let was = &self.backed.words;
        let place = &self.backed.words_place;
        let mut change = Change {
            place: place.clone(),
            was: was.clone(),
            now: now.to_owned(),
            sentence: sentence(self.passage, self.range),
            fact_says: self.fact_says(),
            reread: self.passage.language.to_reread(&self.passage.text, self.range, now),
            edits: source.rewritten(&place.range, was, now)?,
        };
        if !self.passage.language.is_english() {
            return Ok(change);
        }
        let before = &self.passage.text[..self.range.start];
        let Some((article, to)) = quantity::other_article(before, now) else { return Ok(change) };
        if quantity::other_article(before, was).is_some() {
            // it is no article of this number
            return Ok(change);
        }
        let before_link = &source.text[..self.backed.place.range.start];
        let Some((at, _)) = quantity::other_article(before_link, now) else {
            return Err(format!("“{}” before the link would have to be “{to}”.", &before[article]));
        };
        change.was = format!("{} {was}", &before_link[at.clone()]);
        change.now = format!("{to} {now}");
        change.place.range.start = at.start;
        change.edits.push((at, to));
        Ok(change)
    }

    /// `[…](fact:…)` gets the words that it prints.
    ///
    /// Not where an event has a fact of its own: its pieces print that one's words.
    fn written_in(&self, wordings: &BTreeMap<&str, Option<String>>, plan: &mut Plan) {
        let own = self.understood.words_of(self.backed);
        let mut at_events = self.understood.at_events.values();
        if at_events.any(|at_event| at_event.words_of(self.backed) != own) {
            return;
        }
        let restated = wordings.get(self.backed.fact.as_str()).filter(|_| self.backed.unit.is_none());
        let now = match restated {
            Some(Some(now)) => now,
            Some(None) => {
                let why = "The wording of the fact does not hold, and has to be put right first.";
                return plan.left.push(self.left(why.into()));
            }
            None => &own,
        };
        if *now == self.backed.words {
            return plan.left.push(self.left("The fact has no words of its own to write in.".into()));
        }
        if self.turns_round(now) {
            let why = "What stands around the link says something else than the fact, and has to be put right first.";
            return plan.left.push(self.left(why.into()));
        }
        let source = Source::of(self.understood, self.passage);
        match source.written(now) {
            Ok(to) => plan.changes.push(Change {
                place: self.backed.words_place.clone(),
                was: self.backed.words.clone(),
                now: now.clone(),
                sentence: sentence(self.passage, self.range),
                fact_says: self.fact_says(),
                reread: None,
                edits: vec![(self.backed.words_place.range.clone(), to)],
            }),
            Err(why) => plan.left.push(self.left(why)),
        }
    }

    /// Whether the sentence, with words that say what the fact does, says something else.
    fn turns_round(&self, words: &str) -> bool {
        let Some(held) = self.understood.held(&self.backed.fact) else { return false };
        let (read, place) = self.passage.with_words(self.range, words);
        judgement::says_by_itself(&read, &place, held)
            && judgement::against_its_fact(&read, &place, held).is_off()
    }

    fn fact_says(&self) -> String {
        let fact = self.understood.fact(&self.backed.fact);
        fact.map(|fact| quote(self.understood, fact, None)).unwrap_or_default()
    }

    fn left(&self, why: String) -> Left {
        Left {
            place: self.backed.words_place.clone(),
            words: self.passage.text[self.range.clone()].to_owned(),
            sentence: sentence(self.passage, self.range),
            fact_says: self.fact_says(),
            why,
        }
    }
}

/// The wordings of facts that have to change, by the fact's name, with what they are changed to where a rule
/// can do it; they are put into the plan.
fn wordings<'u>(
    understood: &'u Understood,
    is_here: &dyn Fn(&str) -> bool,
    plan: &mut Plan,
) -> BTreeMap<&'u str, Option<String>> {
    let mut restated = BTreeMap::new();
    let has_own = |fact: &Fact| fact.wording.as_ref().is_some_and(|wording| is_here(&wording.place.file));
    for fact in understood.facts.iter().filter(|fact| has_own(fact)) {
        if let Some(now) = wording(understood, fact, plan) {
            restated.insert(fact.name.as_str(), now);
        }
    }
    for at_event in understood.at_events.values() {
        for fact in at_event.facts.iter().filter(|fact| fact.at.is_some() && has_own(fact)) {
            wording(at_event, fact, plan);
        }
    }
    restated
}

/// What a fact's wording is changed to where it does not hold: `Some(None)` where no rule can put it right.
fn wording(understood: &Understood, fact: &Fact, plan: &mut Plan) -> Option<Option<String>> {
    let (wording, held) = (fact.wording.as_ref()?, understood.held(&fact.name)?);
    let language = understood.language_for(&wording.place.file);
    let figures = language.read(&wording.text);
    if figures.iter().all(|figure| quantity::agree(figure, held) == Agreement::Agrees) {
        return None;
    }
    let source = Source::of_value(understood, &wording.place);
    let text = &wording.text;
    let changed = language.restate_in(text, &(0..text.len()), held).and_then(|now| {
        let edits = source.rewritten(&wording.place.range, &wording.text, &now)?;
        Ok((now, edits))
    });
    let (place, sentence) = (wording.place.clone(), wording.text.clone());
    let fact_says = quote(understood, fact, None);
    match changed {
        Ok((now, edits)) => {
            let was = wording.text.clone();
            let now_said = now.clone();
            plan.changes.push(Change { place, was, now: now_said, sentence, fact_says, reread: None, edits });
            Some(Some(now))
        }
        Err(why) => {
            plan.left.push(Left { place, words: wording.text.clone(), sentence, fact_says, why });
            Some(None)
        }
    }
}

/// What has to change so that each figure which agrees with a fact that its sentence names becomes a
/// backed one: `[six feet](fact:lead-length)` for `six feet`.
pub fn plan_backing(understood: &Understood, today: Date) -> Plan {
    let mut plan = Plan::default();
    add_backing(understood, today, &|_| true, &mut plan);
    for (edition, own) in understood.root.editions.iter().zip(&understood.editions) {
        add_backing(own, today, &|file| edition.owns(file), &mut plan);
    }
    plan.in_order()
}

fn add_backing(understood: &Understood, today: Date, is_here: &dyn Fn(&str) -> bool, plan: &mut Plan) {
    let closed = closed_to_links(understood);
    let print = PrintContext::lay_out(understood, today);
    for statement in print.statements.iter().filter(|statement| is_here(&statement.place.file)) {
        let (Judgement::Agrees, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let place = &statement.place;
        let holds = |passage: &&Passage| {
            passage.place.file == place.file && is_within(&place.range, &passage.place.range)
        };
        let Some(passage) = understood.passages.iter().find(holds) else { continue };
        let at = text_at(passage, place.range.start);
        let source = Source::of(understood, passage);
        let stands = &source.text[place.range.clone()];
        let name_is_plain =
            fact.name.chars().all(|letter| letter.is_ascii_alphanumeric() || "-_.".contains(letter));
        let range = at.zip(text_end(passage, place.range.end)).map(|(start, end)| start..end);
        let why = if !source::stands_as(stands, &statement.words) || stands.contains(['[', ']']) {
            Some("There is markup within its words.")
        } else if closed.iter().any(|other| other.file == place.file && meet(&other.range, &place.range)) {
            Some("It stands in a link, in code or in a heading, where no link can be put.")
        } else if !name_is_plain {
            Some("The name of the fact cannot stand in a link as it is.")
        } else if range.is_some_and(|range| !print.holds_as_link(passage, &range, fact)) {
            Some("As a link it would say more than the fact does, or less.")
        } else {
            None
        };
        let sentence = at.map_or_else(|| statement.words.clone(), |at| sentence(passage, &(at..at + 1)));
        match why {
            None => plan.changes.push(Change {
                place: place.clone(),
                was: statement.words.clone(),
                now: format!("[{}](fact:{})", statement.words, fact.name),
                sentence,
                fact_says: print.quote(fact),
                reread: None,
                edits: vec![
                    (place.range.start..place.range.start, "[".into()),
                    (place.range.end..place.range.end, format!("](fact:{})", fact.name)),
                ],
            }),
            Some(why) => plan.left.push(Left {
                place: place.clone(),
                words: statement.words.clone(),
                sentence,
                fact_says: print.quote(fact),
                why: why.to_owned(),
            }),
        }
    }
}

/// Links, code and headings: where no link can be put.
fn closed_to_links(understood: &Understood) -> Vec<Place> {
    let content = understood.content;
    let mut closed: Vec<Place> = Vec::new();
    for lesson in &content.lessons {
        closed.push(lesson.title_place.clone());
        closed.extend(lesson.sections.iter().map(|section| section.place.clone()));
    }
    let met = walk::lessons(content).chain(walk::settings(content));
    closed.extend(met.filter_map(|met| match met {
        Met::Block(Block::Heading { place, .. })
        | Met::Inline(Inline::Link { place, .. } | Inline::Code { place, .. }) => Some(place.clone()),
        Met::Inline(Inline::Backed(backed)) => Some(backed.place.clone()),
        _ => None,
    }));
    closed
}

/// Where a byte of the file stands in a passage's text.
fn text_at(passage: &Passage, at: usize) -> Option<usize> {
    let run = passage.runs.iter().find(|run| run.source.contains(&at))?;
    Some(run.text.start + (at - run.source.start))
}

/// The same of a byte before which something ends.
fn text_end(passage: &Passage, end: usize) -> Option<usize> {
    text_at(passage, end.checked_sub(1)?).map(|last| last + 1)
}

fn sentence(passage: &Passage, range: &Range<usize>) -> String {
    passage.text[called::sentence(&passage.text, range)].trim().to_owned()
}

fn is_within(inner: &Range<usize>, outer: &Range<usize>) -> bool {
    outer.start <= inner.start && inner.end <= outer.end
}

fn meet(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}

//! Telephone numbers, days, clock times, addresses and ratios that stand in print without a link, held against the
//! contacts, events and facts that are named beside them.
//!
//! A contact's number and an event's day are facts by themselves: where a sentence, or the row of a table, names one of
//! them and states another, that is told. A telephone number that nobody has is told wherever it stands.

use super::called;
use super::judgement::overlap;
use crate::finding::Place;
use crate::languages::Vocabulary;
use crate::particulars::{self, Clock, Day, Kind, Particular, Says, Verdict};
use crate::program::Fact;
use crate::understand::{Passage, Understood};
use std::collections::BTreeMap;
use std::ops::Range;
use std::rc::Rc;

/// A particular without a link that is not as it is known, or that nobody knows.
pub struct Mention<'u> {
    pub place: Place,
    pub words: String,
    pub kind: Kind,
    pub wrong: Wrong<'u>,
}

/// What is wrong with it.
pub enum Wrong<'u> {
    /// It is not what stands for what is named beside it.
    Apart(Rc<Known<'u>>),
    /// Nobody in the program has it.
    Unknown,
}

/// What the program knows by a name.
pub struct Known<'u> {
    pub kind: Kind,
    says: Vec<Says>,
    pub of: Of<'u>,
    /// As the program writes it.
    pub written: String,
    names: Vec<String>,
    /// Whether somebody may come to harm by another.
    pub is_grave: bool,
}

/// What a known particular is of.
pub enum Of<'u> {
    Contact(&'u str),
    Event(&'u str),
    Fact(&'u Fact),
}

/// All that is known, by its kind.
type ByKind<'u> = BTreeMap<Kind, Vec<Rc<Known<'u>>>>;

/// Each particular without a link that is wrong, in the order of the passages.
pub(super) fn wrong<'u, 'd>(
    understood: &'u Understood<'u>,
    days: impl Fn() -> &'d [Vec<Particular>],
) -> Vec<Mention<'u>> {
    let known = known(understood);
    let days = if known.contains_key(&Kind::Date) { days() } else { &[] };
    let mut wrong = Vec::new();
    for (at, passage) in understood.passages.iter().enumerate() {
        let days = days.get(at).map_or(&[][..], Vec::as_slice);
        wrong.extend(wrong_in(passage, days, &known, super::words_for(understood, passage)));
    }
    wrong
}

fn known<'u>(understood: &'u Understood<'u>) -> ByKind<'u> {
    let words = &understood.vocabulary_of_values().particulars;
    let settings = &understood.content.settings;
    let mut all: Vec<Known> = Vec::new();
    for contact in &settings.contacts {
        for (kind, value) in [(Kind::Phone, &contact.phone), (Kind::Address, &contact.email)] {
            let Some(value) = value else { continue };
            let says: Vec<Says> = match particulars::read_one(kind, value, words) {
                Ok(read) => vec![read.says],
                // "555-0100 or 555-0101"
                Err(_) => particulars::find(kind, value, words).into_iter().map(|read| read.says).collect(),
            };
            if says.is_empty() {
                continue;
            }
            all.push(Known {
                kind,
                says,
                of: Of::Contact(&contact.name),
                written: value.clone(),
                names: vec![contact.name.clone()],
                is_grave: contact.emergency,
            });
        }
    }
    for contact in &settings.contacts {
        let Some(hours) = &contact.hours else { continue };
        let read = particulars::find(Kind::Time, hours, words);
        // "7 a.m. to 6 p.m.", and nothing else that could be meant
        let [Particular { says: Says::Times(times), .. }] = &read[..] else { continue };
        let [from, to] = times[..] else { continue };
        let says = vec![Says::Times(vec![from, to]), Says::Times(vec![from]), Says::Times(vec![to])];
        all.push(Known {
            kind: Kind::Time,
            says,
            of: Of::Contact(&contact.name),
            written: hours.clone(),
            names: vec![contact.name.clone()],
            is_grave: contact.emergency,
        });
    }
    for event in &settings.events {
        let (day, start) = (Day::of(event.date), Clock::of(event.start));
        let end = start.later(event.minutes);
        let own = &super::vocabulary(understood).particulars;
        let times = vec![Says::Times(vec![start]), Says::Times(vec![end]), Says::Times(vec![start, end])];
        for (kind, says) in [(Kind::Date, vec![Says::Days(vec![day])]), (Kind::Time, times)] {
            all.push(Known {
                kind,
                written: particulars::say(&says[0], own).unwrap_or_default(),
                says,
                of: Of::Event(&event.name),
                names: vec![event.name.clone()],
                is_grave: false,
            });
        }
    }
    for fact in &understood.facts {
        let Some((kind, says)) = fact.kind.zip(understood.says(&fact.name)) else { continue };
        all.push(Known {
            kind,
            says: vec![says.clone()],
            of: Of::Fact(fact),
            written: understood.own_words(&fact.name).unwrap_or_default(),
            names: fact.called.clone(),
            is_grave: fact.safety,
        });
    }
    let mut by_kind = ByKind::new();
    for known in all {
        by_kind.entry(known.kind).or_default().push(Rc::new(known));
    }
    by_kind
}

/// What is wrong in a passage, in which these days stand.
fn wrong_in<'u>(
    passage: &Passage,
    days: &[Particular],
    known: &ByKind<'u>,
    language: &Vocabulary,
) -> Vec<Mention<'u>> {
    let mut wrong = Vec::new();
    let could_be = |kind: &Kind| match kind {
        Kind::Phone | Kind::Date | Kind::Time | Kind::Ratio => {
            passage.text.contains(|it: char| it.is_ascii_digit()) || *kind != Kind::Phone
        }
        Kind::Address => true,
        Kind::Text => false,
    };
    for (kind, known) in known.iter().filter(|(kind, _)| could_be(kind)) {
        let mut found = match kind {
            Kind::Date => days.to_vec(),
            _ => particulars::find(*kind, &passage.text, &language.particulars),
        };
        found.retain(|found| !passage.backed.iter().any(|(at, _)| overlap(at, &found.span)));
        if found.is_empty() {
            continue;
        }
        let here = Here { passage, known, language, kind: *kind, found: &found };
        for at in 0..found.len() {
            wrong.extend(here.judged(at));
        }
    }
    wrong
}

struct Here<'h, 'u> {
    passage: &'h Passage<'h>,
    known: &'h [Rc<Known<'u>>],
    language: &'h Vocabulary,
    kind: Kind,
    found: &'h [Particular],
}

impl<'h, 'u> Here<'h, 'u> {
    fn judged(&self, at: usize) -> Option<Mention<'u>> {
        let found = &self.found[at];
        let text = &self.passage.text;
        let sentence = called::sentence(text, &found.span);
        let mut named = self.named(&text[sentence.clone()], sentence.start, &found.span);
        if named.is_empty()
            && let Some(row) = &self.passage.row
        {
            named = self.named(row, 0, &(0..0));
        }
        let is = |known: &Known, found: &Particular| {
            known.says.iter().any(|says| particulars::agree(found, says, true) == Verdict::Agrees)
        };
        let in_sentence: Vec<&Particular> =
            self.found.iter().filter(|other| overlap(&other.span, &sentence)).collect();
        let tell = |wrong| {
            Some(Mention {
                place: self.passage.place_of(&found.span),
                words: text[found.span.clone()].to_owned(),
                kind: self.kind,
                wrong,
            })
        };
        if self.kind == Kind::Phone && named.len() > 1 && named.len() == in_sentence.len() {
            // as many numbers as names: they go together in their order
            named.sort_by_key(|(_, place)| place.start);
            let which = in_sentence.iter().position(|other| other.span == found.span)?;
            let own = named[which].0;
            return if is(own, found) { None } else { tell(Wrong::Apart(Rc::clone(own))) };
        }
        if named.iter().any(|(known, _)| is(known, found)) {
            return None;
        }
        let nearest = named.iter().min_by_key(|(_, place)| called::distance(place, &found.span));
        match nearest {
            // another of the sentence is the one that is meant
            Some((own, _)) if in_sentence.iter().any(|other| is(own, other)) && self.kind != Kind::Phone => {
                None
            }
            Some((own, place)) if self.is_of(own, place, found) => tell(Wrong::Apart(Rc::clone(own))),
            Some(_) => None,
            None if self.kind == Kind::Phone && !self.known.iter().any(|known| is(known, found)) => {
                tell(Wrong::Unknown)
            }
            None => None,
        }
    }

    /// What is named in a text that starts at `start` of the passage, and where.
    fn named(
        &self,
        text: &str,
        start: usize,
        except: &Range<usize>,
    ) -> Vec<(&'h Rc<Known<'u>>, Range<usize>)> {
        let mut named = Vec::new();
        for known in self.known {
            let places = known.names.iter().filter_map(|name| called::find(text, name, self.language));
            let places = places.map(|at| at.start + start..at.end + start);
            named.extend(places.min_by_key(|at| called::distance(at, except)).map(|at| (known, at)));
        }
        named
    }

    /// Whether a particular that is named beside something is meant to be its own: a term to sign up by is no day of
    /// an event, and an event has other clock times than the one at which it starts.
    fn is_of(&self, known: &Known, name: &Range<usize>, stated: &Particular) -> bool {
        let found = &stated.span;
        // a page of the web beside somebody with an e-mail address is no other e-mail address
        let form = |says: &Says| match says {
            Says::Web(address) => 1 + u8::from(address.contains('@')),
            _ => 0,
        };
        if !known.says.iter().any(|says| form(says) == form(&stated.says)) {
            return false;
        }
        let text = &self.passage.text;
        let words = &self.language.particulars;
        if !matches!(known.of, Of::Event(_)) {
            return true;
        }
        let before = text[..found.start].trim_end().to_lowercase();
        let ends_with = |word: &String| {
            let rest = before.strip_suffix(word.as_str());
            rest.is_some_and(|rest| !rest.ends_with(char::is_alphanumeric))
        };
        match self.kind {
            Kind::Date => !words.terms.iter().any(ends_with),
            _ => {
                let gap = match name.end <= found.start {
                    true => text.get(name.end..found.start),
                    false => text.get(found.end..name.start),
                };
                let days = particulars::find(Kind::Date, gap.unwrap_or_default(), words);
                let mut rest = gap.unwrap_or_default().to_owned();
                days.iter().rev().for_each(|day| rest.replace_range(day.span.clone(), " "));
                let mut left = rest.split(|it: char| !it.is_alphanumeric()).filter(|word| !word.is_empty());
                gap.is_some() && left.all(|word| words.starts.contains(&word.to_lowercase()))
            }
        }
    }
}

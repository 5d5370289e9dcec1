//! Understand: what the program's files mean.
//!
//! Takes a [`Program`] and gives an [`Understood`]: each fact with the quantity that it holds
//! (computed where it is worked from others), and each passage of prose with the figures that stand
//! in it and the facts that back them. Nothing is judged here; what cannot be understood at all (a
//! value that is no figure, a circle of facts) is a finding that comes with the value.

mod facts;
pub mod history;
mod passages;
mod remembered;
mod shuffle;
pub mod versions;

use crate::finding::{Finding, Place};
use crate::job::wanted;
use crate::languages::{self, Vocabulary};
use crate::particulars::{self, Says};
use crate::program::facts::{Fact, Series, Stated, given};
use crate::program::lesson::{Backed, Inline, Lesson};
use crate::program::{Content, Program};
use crate::quantity::{self, Agreement, Figure, Held, Language, Unit};
use std::collections::{BTreeMap, BTreeSet};

pub use facts::FactValue;
pub use passages::{Carrier, Passage, Run};
pub use remembered::Remembered;
pub use versions::{Version, VersionQuestion};

/// A program and what it means.
pub struct Understood<'p> {
    /// The program that it is an edition of.
    pub root: &'p Program,
    pub content: &'p Content,
    /// The facts in the order of the file; of an event, as they are there.
    pub facts: Vec<&'p Fact>,
    /// What each fact is worth, by name. A series, or a fact that could not be worked out, has none.
    pub worth: BTreeMap<&'p str, FactValue>,
    /// What each fact says that is no quantity, by name.
    says: BTreeMap<&'p str, Says>,
    /// All prose, in the order lessons, questions, kits, settings.
    pub passages: Vec<Passage<'p>>,
    /// What could not be understood.
    pub findings: Vec<Finding>,
    /// The same of each event at which facts are otherwise, by its id.
    pub at_events: BTreeMap<&'p str, Understood<'p>>,
    /// The program in its other languages, as [`Program::editions`] has them; of the main edition alone.
    pub editions: Vec<Understood<'p>>,
    languages: Languages,
    /// The open links beside which the text says by itself how the figure binds.
    bound: BTreeSet<&'p Place>,
}

/// The languages in which a program's texts are read.
#[derive(Clone)]
struct Languages {
    own: Language,
    /// Of what an edition has from the main one.
    main: Language,
}

impl Languages {
    fn of(content: &Content, remembered: &Remembered) -> Self {
        let own = remembered.language(&content.settings.language, &content.nouns, &content.units);
        let main = content.fallback_language.as_ref();
        let main = main.map_or_else(|| own.clone(), |main| remembered.language(main, &[], &content.units));
        Self { own, main }
    }
}

impl<'p> Understood<'p> {
    pub fn new(program: &'p Program) -> Self {
        Self::remembering(program, &Remembered::default())
    }

    /// The same, where a program that is held open was understood before: a text that it had then is not read again.
    pub fn remembering(program: &'p Program, remembered: &Remembered) -> Self {
        remembered.turn_over();
        let mut understood = Self::everywhere(program, &program.content, remembered);
        let editions =
            program.editions.iter().map(|edition| Self::everywhere(program, &edition.content, remembered));
        understood.editions = editions.collect();
        understood
    }

    /// One edition, and what is otherwise in it at some events.
    fn everywhere(root: &'p Program, content: &'p Content, remembered: &Remembered) -> Self {
        let languages = Languages::of(content, remembered);
        let mut understood = Self::with(root, content, languages.clone(), content.facts.iter().collect());
        for at in &content.at_events {
            let event = at.event.text.as_str();
            let local = Self::with(root, content, languages.clone(), content.facts_at(event));
            understood.at_events.insert(event, local);
        }
        understood
    }

    fn with(root: &'p Program, content: &'p Content, languages: Languages, facts: Vec<&'p Fact>) -> Self {
        let mut findings = Vec::new();
        let worth = facts::work_out(&facts, &languages.main, &mut findings);
        let of_kind: Vec<&Fact> = facts.iter().copied().chain(&content.given).collect();
        let says = facts::says(&of_kind, &vocabulary_of_values(content).particulars, &mut findings);
        let mut understood = Self {
            root,
            content,
            facts,
            worth,
            says,
            passages: Vec::new(),
            findings,
            at_events: BTreeMap::new(),
            editions: Vec::new(),
            languages,
            bound: BTreeSet::new(),
        };
        (understood.passages, understood.bound) = passages::gather(&understood);
        understood
    }

    /// The open links whose fact has no words: what prints them is held.
    pub fn without_words(&self) -> impl Iterator<Item = &'p Backed> {
        let backed = self.passages.iter().flat_map(|passage| &passage.backed);
        let backed = backed.map(|(_, backed)| *backed);
        backed.filter(|backed| backed.is_open() && self.own_words_of(backed).is_none())
    }

    /// The program as it is to be understood at an event: by its local rules, where it has any.
    pub fn at(&self, event: &str) -> &Self {
        self.at_events.get(event).unwrap_or(self)
    }

    /// The language in which what stands in a file is read.
    pub fn language_for(&self, file: &str) -> &Language {
        let own = self.content.language_of(file) == self.content.settings.language;
        if own { &self.languages.own } else { &self.languages.main }
    }

    /// The language in which packstring itself says figures.
    pub fn language(&self) -> &Language {
        &self.languages.own
    }

    /// The prose of every edition: of another one than the main what stands in its own files.
    pub fn all_passages(&self) -> impl Iterator<Item = &Passage<'p>> {
        let editions = self.root.editions.iter().zip(&self.editions);
        let own = editions.flat_map(|(edition, own)| {
            own.passages.iter().filter(|passage| edition.owns(&passage.place.file))
        });
        self.passages.iter().chain(own)
    }

    /// The fact of a name: of the facts file, or what `program.toml` says of a contact or an event.
    pub fn fact(&self, name: &str) -> Option<&'p Fact> {
        if given::is_named_so(name) {
            return self.content.given.iter().find(|fact| fact.name == name);
        }
        self.facts.iter().find(|fact| fact.name == name).copied()
    }

    /// The names of all facts that a text can link to.
    pub fn fact_names(&self) -> impl Iterator<Item = &'p str> {
        self.facts.iter().copied().chain(&self.content.given).map(|fact| fact.name.as_str())
    }

    pub fn held(&self, name: &str) -> Option<&Held> {
        self.worth.get(name).map(|worth| &worth.held)
    }

    pub fn lesson(&self, id: &str) -> Option<&'p Lesson> {
        self.content.lessons.iter().map(|lesson| &**lesson).find(|lesson| lesson.id == id)
    }

    pub fn series(&self, name: &str) -> Option<&'p Series> {
        match &self.fact(name)?.stated {
            Stated::Series(series) => Some(series),
            Stated::Value(_) | Stated::WorkedFrom(_) => None,
        }
    }

    /// How a fact is printed where the words are left to it: its own wording, its value as written,
    /// or its computed value said for print. `None` where it has no value.
    pub fn own_words(&self, name: &str) -> Option<String> {
        let fact = self.fact(name)?;
        if let Some(says) = self.says(name) {
            return self.words_that_say(fact, says);
        }
        // nothing can be held against what could not be read, and nobody may go by it
        let _ = self.worth.get(name)?;
        match (&fact.wording, &fact.stated) {
            (Some(wording), _) => Some(wording.text.clone()),
            // A value is written in the main language.
            (None, Stated::Value(value)) if self.is_foreign(value) => self.said(fact),
            (None, Stated::Value(value)) => Some(value.text.clone()),
            (None, Stated::WorkedFrom(_)) => self.said(fact),
            (None, Stated::Series(_)) => None,
        }
    }

    /// Whether a value is in other words than the program's: in those of the main language, or in English.
    pub fn is_foreign(&self, value: &crate::program::Written) -> bool {
        self.content.fallback_language.is_some() || self.language().english_word(&value.text).is_some()
    }

    /// What a fact that is no quantity says, in print: an edition puts it into its own words where it can.
    fn words_that_say(&self, fact: &Fact, says: &Says) -> Option<String> {
        let Stated::Value(value) = &fact.stated else { return None };
        if let Some(wording) = &fact.wording {
            return Some(wording.text.clone());
        }
        let own = &languages::of_or_english(&self.content.settings.language).particulars;
        let said = self.content.fallback_language.as_ref().and_then(|_| particulars::say(says, own));
        Some(said.unwrap_or_else(|| value.text.clone()))
    }

    /// What a fact says that is no quantity.
    pub fn says(&self, name: &str) -> Option<&Says> {
        self.says.get(name)
    }

    /// The words of the language in which facts are written.
    pub fn vocabulary_of_values(&self) -> &'static Vocabulary {
        vocabulary_of_values(self.content)
    }

    /// A fact's value said in the program's language, with its limit, where it has no wording. An edition says the
    /// figure of the main one's wording; a time that was worked out is said in a unit of which it is one or more.
    pub fn said(&self, fact: &Fact) -> Option<String> {
        let held = self.held(&fact.name)?;
        let figure =
            fact.main_wording.as_ref().and_then(|main| self.languages.main.read_one(&main.text).ok());
        if let Some(figure) = figure.filter(|figure| quantity::agree(figure, held) == Agreement::Agrees) {
            return self.language().say(&Held::stated(&figure, None), None).ok();
        }
        let unit = match &fact.stated {
            Stated::WorkedFrom(_) => quantity::finer_time(held),
            Stated::Value(_) | Stated::Series(_) => None,
        };
        self.language().say(held, unit.as_ref()).ok()
    }

    /// The words that a backed figure prints: its own, or the fact's where it leaves them to it. These say
    /// which way the fact binds (`at most 10 ft`), unless the text beside the link does.
    pub fn words_of(&self, backed: &Backed) -> String {
        self.words_beside(backed, self.bound.contains(&backed.place))
    }

    /// The same, where it is known whether the text beside the link says which way the figure binds.
    fn words_beside(&self, backed: &Backed, is_bound: bool) -> String {
        match backed.is_open() {
            true => self.open_words_of(backed, is_bound).unwrap_or_else(|| backed.words.clone()),
            false => backed.words.clone(),
        }
    }

    /// The same for print: where an open link's fact has no words, what is held for want of them
    /// ([`crate::job::wanted`]).
    pub fn printed_words_of(&self, backed: &Backed) -> String {
        match backed.is_open() {
            true => self.own_words_of(backed).unwrap_or_else(|| wanted(&backed.fact)),
            false => backed.words.clone(),
        }
    }

    /// What an open link prints; `None` where its fact has no words.
    fn own_words_of(&self, backed: &Backed) -> Option<String> {
        self.open_words_of(backed, self.bound.contains(&backed.place))
    }

    fn open_words_of(&self, backed: &Backed, is_bound: bool) -> Option<String> {
        match &backed.unit {
            None => self.open_words(&backed.fact, is_bound),
            Some(unit) => self
                .languages
                .own
                .unit_called(unit)
                .and_then(|unit| self.said_beside(&backed.fact, Some(&unit), is_bound)),
        }
    }

    fn open_words(&self, name: &str, is_bound: bool) -> Option<String> {
        let fact = self.fact(name)?;
        let own = self.own_words(name)?;
        if fact.kind.is_some() {
            return Some(own);
        }
        match (&fact.wording, &fact.stated, fact.limit) {
            (Some(_), ..) | (None, Stated::Series(_), _) => Some(own),
            (None, Stated::Value(value), limit) if !self.is_foreign(value) => {
                let binds = |figure: &Figure| figure.limit.is_some() || figure.hedge.is_some();
                let says_so = self.languages.main.read(&own).iter().any(binds);
                Some(match limit.and_then(quantity::bound).filter(|_| !is_bound && !says_so) {
                    Some(bound) => format!("{} {own}", self.languages.main.put(bound)),
                    None => own,
                })
            }
            _ if !is_bound => Some(own),
            (None, Stated::WorkedFrom(_), _) => {
                let unit = self.held(name).and_then(quantity::finer_time);
                self.said_beside(name, unit.as_ref(), true)
            }
            _ => self.said_beside(name, None, true),
        }
    }

    /// What a fact is worth, said for print.
    fn said_beside(&self, name: &str, unit: Option<&Unit>, is_bound: bool) -> Option<String> {
        let held = self.held(name)?;
        let language = self.language();
        if is_bound { language.say_plain(held, unit) } else { language.say(held, unit) }.ok()
    }

    /// Inlines as they are read out in print: without markup, with the words of open figures.
    pub fn text_of(&self, inlines: &[Inline]) -> String {
        let mut text = String::new();
        push_plain(inlines, &|backed| self.printed_words_of(backed), &mut text);
        text
    }
}

/// The words of the language in which facts are written.
fn vocabulary_of_values(content: &Content) -> &'static Vocabulary {
    let main = content.fallback_language.as_ref().unwrap_or(&content.settings.language);
    languages::of_or_english(main)
}

/// Inlines as a reader would read them out, without markup; breaks are spaces. Open backed figures
/// stay as they are written.
pub fn plain_text(inlines: &[Inline]) -> String {
    let mut text = String::new();
    push_plain(inlines, &|backed| backed.words.clone(), &mut text);
    text
}

fn push_plain(inlines: &[Inline], words_of: &dyn Fn(&Backed) -> String, text: &mut String) {
    for inline in inlines {
        match inline {
            Inline::Text { text: words, .. } | Inline::Code { text: words, .. } => text.push_str(words),
            Inline::Emphasis { inlines } | Inline::Strong { inlines } | Inline::Struck { inlines } => {
                push_plain(inlines, words_of, text);
            }
            Inline::Link { inlines, .. } => push_plain(inlines, words_of, text),
            Inline::Backed(backed) => text.push_str(&words_of(backed)),
            Inline::Picture(picture) => text.push_str(&picture.alt),
            Inline::Footnote { .. } => {}
            Inline::SoftBreak | Inline::HardBreak => text.push(' '),
        }
    }
}

//! Which facts are other than they were, and whether words that were printed still say them.

use super::record::{FactThen, PrintRecord};
use super::told::FactChange;
use crate::particulars::{self, Kind};
use crate::program::history::{State, Which};
use crate::quantity::{self, Agreement, Figure, Language};
use crate::understand::{Understood, history};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A fact that is another now.
pub struct Changed {
    pub then: FactThen,
    /// None: it is gone.
    pub now: Option<State>,
    pub kind: Option<Kind>,
    pub safety: bool,
}

/// All facts of two times.
pub struct Facts<'u> {
    understood: &'u Understood<'u>,
    changed: BTreeMap<Which, Changed>,
    safety: BTreeMap<Which, bool>,
}

impl<'u> Facts<'u> {
    pub fn of(old: &PrintRecord, understood: &'u Understood<'u>) -> Self {
        let now: BTreeMap<Which, (State, bool)> =
            history::states(understood, Date::ZERO).into_iter().map(|it| (it.0.which(), it)).collect();
        let mut changed = BTreeMap::new();
        let mut safety: BTreeMap<Which, bool> = now.iter().map(|(which, it)| (which.clone(), it.1)).collect();
        for then in &old.facts {
            let which = (then.name.clone(), then.at.clone());
            let there = then.at.as_ref().map_or(understood, |event| understood.at(event));
            let fact = there.fact(&then.name).filter(|fact| fact.at == then.at);
            let is_same = fact.is_some_and(|fact| history::has_value_of(there, fact, &then.state()));
            let now = now.get(&which);
            let either = then.safety || now.is_some_and(|(_, safety)| *safety);
            *safety.entry(which.clone()).or_default() |= either;
            if !is_same {
                let now = now.map(|(state, _)| state.clone());
                let kind = fact.and_then(|fact| fact.kind).or_else(|| given_kind(&then.name));
                changed.insert(which, Changed { then: then.clone(), now, kind, safety: either });
            }
        }
        Self { understood, changed, safety }
    }

    /// Those that are another now, as they are told.
    pub fn told(&self) -> Vec<FactChange> {
        let mut told: Vec<FactChange> = self.changed.values().map(fact_change).collect();
        told.sort_by_key(|change| (!change.safety, change.name.clone(), change.at.clone()));
        told
    }

    /// A fact that a file quotes and that is another now. Of an event's own file, as it is there.
    pub fn changed(&self, name: &str, event: Option<&str>) -> Option<&Changed> {
        let at = |event: Option<&str>| (name.to_owned(), event.map(str::to_owned));
        if event.is_some() && self.safety.contains_key(&at(event)) {
            return self.changed.get(&at(event));
        }
        self.changed.get(&at(None))
    }

    pub fn all_changed(&self) -> impl Iterator<Item = &Changed> {
        self.changed.values()
    }

    pub fn is_safety(&self, name: &str, event: Option<&str>) -> bool {
        let at = |event: Option<&str>| (name.to_owned(), event.map(str::to_owned));
        let own = event.and_then(|_| self.safety.get(&at(event)));
        own.or_else(|| self.safety.get(&at(None))).copied().unwrap_or(false)
    }

    /// Whether words that were printed of a fact still say what it is.
    pub fn still_says(&self, name: &str, words: &str, event: Option<&str>, edition: &Understood) -> bool {
        let local = event.map_or(self.understood, |event| self.understood.at(event));
        // What is gone can be held against nothing.
        let Some(fact) = local.fact(name) else { return true };
        if let (Some(kind), Some(says)) = (fact.kind, local.says(name)) {
            let own = &crate::languages::of_or_english(&edition.content.settings.language).particulars;
            let main = &self.understood.vocabulary_of_values().particulars;
            let read =
                |vocabulary| particulars::read_one(kind, words, vocabulary).is_ok_and(|it| it.says == *says);
            return read(own) || read(main);
        }
        let Some(held) = local.held(name) else { return true };
        let languages = [edition.language(), self.understood.language()];
        languages.iter().any(|language| {
            let figures = language.read(words);
            !figures.is_empty()
                && figures.iter().all(|figure| quantity::agree(figure, held) == Agreement::Agrees)
        })
    }
}

impl Changed {
    /// Whether a text that quotes nothing says what the fact was.
    pub fn stood_in(&self, text: &str, language: &Language) -> bool {
        stands_in(&self.then.value, self.kind, text, language)
    }

    /// Whether it says what the fact is.
    pub fn stands_in(&self, text: &str, language: &Language) -> bool {
        self.now.as_ref().is_none_or(|now| stands_in(&now.value, self.kind, text, language))
    }

    /// Whether it is the day of an event.
    pub fn is_day_of_event(&self) -> bool {
        self.then.name.starts_with("event.") && self.kind == Some(Kind::Date)
    }
}

fn stands_in(value: &str, kind: Option<Kind>, text: &str, language: &Language) -> bool {
    match kind {
        Some(_) => has_words(text, value),
        None => {
            let of = |text: &str| -> Vec<Figure> { language.read(text).to_vec() };
            let own = of(value);
            let stated = if own.is_empty() { Vec::new() } else { of(text) };
            !own.is_empty()
                && own.iter().all(|own| stated.iter().any(|figure| figure.quantity == own.quantity))
        }
    }
}

/// Whether words stand in a text, and not within others.
fn has_words(text: &str, words: &str) -> bool {
    let is_apart = |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphanumeric());
    !words.is_empty()
        && text.match_indices(words).any(|(at, _)| {
            is_apart(text[..at].chars().next_back()) && is_apart(text[at + words.len()..].chars().next())
        })
}

/// What `program.toml` says of a contact or an event that is gone.
fn given_kind(name: &str) -> Option<Kind> {
    if !crate::program::facts::given::is_named_so(name) {
        return None;
    }
    match name.rsplit('.').next()? {
        "phone" => Some(Kind::Phone),
        "email" => Some(Kind::Address),
        "date" => Some(Kind::Date),
        "start" | "end" => Some(Kind::Time),
        _ => Some(Kind::Text),
    }
}

fn fact_change(changed: &Changed) -> FactChange {
    let Changed { then, now, safety, .. } = changed;
    let then_state = then.state();
    // What it was worked from has sources of its own.
    let is_worked = then.worked_from.is_some() && then.source.is_none() && then.as_of.is_none();
    let asked = now.as_ref().is_some_and(|now| {
        !is_worked
            && !crate::program::facts::given::is_named_so(&now.name)
            && (&now.source, now.as_of) == (&then_state.source, then_state.as_of)
            // What is worked out follows what it is worked from.
            && (now.worked_from.is_none() || now.worked_from != then.worked_from)
    });
    FactChange {
        name: then.name.clone(),
        at: then.at.clone(),
        safety: *safety,
        was: then.words(),
        now: now.as_ref().map(State::words),
        source: now.as_ref().map_or(then.source.clone(), |now| now.source.clone()),
        as_of: now.as_ref().and_then(|now| now.as_of).or(then_state.as_of).map(|day| day.to_string()),
        asked,
    }
}

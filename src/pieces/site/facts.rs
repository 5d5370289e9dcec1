//! The facts pages: each fact with its source, how it is worked out, and every place that quotes it.

use super::address;
use super::downloads::Download;
use super::pages::{PageAddress, Pages};
use super::reading::Quote;
use crate::pieces::tree::{join_number_and_unit, series_data};
use crate::program::facts::{Fact, Stated};
use crate::quantity::{self, Limit};
use crate::understand::Understood;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What is told of each fact, in the order of the facts file.
pub struct FactsPage<'u> {
    pub understood: &'u Understood<'u>,
    pub page: &'u PageAddress,
    pub pages: &'u Pages,
    /// The titles of the pages that quotes stand on, by path.
    pub titles: &'u BTreeMap<String, String>,
    pub quotes: &'u [Quote],
    pub downloads: &'u [Download],
}

impl FactsPage<'_> {
    /// The facts that this page tells of.
    pub fn data(&self, facts: &[Fact]) -> Value {
        facts.iter().map(|fact| self.fact(fact)).collect()
    }

    /// Every fact, with a link to where it is told of.
    pub fn list(&self) -> Value {
        self.understood.content.facts.iter().map(|fact| self.link(&fact.name)).collect()
    }

    fn link(&self, name: &str) -> Value {
        json!({"title": self.title(name), "href": self.href(name)})
    }

    fn title(&self, name: &str) -> String {
        self.understood.fact(name).map(title_of).unwrap_or_default()
    }

    fn href(&self, name: &str) -> Option<String> {
        self.pages.fact(name).map(|page| self.page.link_to(page, Some(name)))
    }

    fn fact(&self, fact: &Fact) -> Value {
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let own_words = self.understood.own_words(&fact.name);
        let value = self.value(fact);
        let url = fact.url.as_deref();
        let limit = fact.limit.map(limit_name);
        let (before_words, beside) = if self.needs_limit(fact) { (limit, None) } else { (None, limit) };
        json!({
            "kind": "fact",
            "fact": fact.name,
            "name": fact.name,
            "title": title_of(fact),
            "words": own_words.as_deref().map(&joined),
            // Said once where the fact is printed as its value.
            "value": value.filter(|value| own_words.as_ref() != Some(value)).as_deref().map(joined),
            // Before the words where they are the bare value; in a row of its own where the words are
            // the program's, which may say it already.
            "limit_before": before_words,
            "limit": beside,
            "called": fact.called,
            "safety": fact.safety,
            "source": fact.source.as_ref().map(|source| source.text.as_str()),
            "followed": url.and_then(address::followable),
            "address": url,
            "as_of": fact.as_of.map(date),
            "review_by": fact.review_by.as_ref().map(|(by, _)| date(*by)),
            "worked": self.worked(fact),
            "helps": self.helped_by(&fact.name),
            "series": self.series(fact),
            "elsewhere": self.at_events(&fact.name),
            "quotes": self.quotes_of(&fact.name),
            "prints": self.prints_of(&fact.name),
        })
    }

    /// Whether the words printed of a fact are its value as written, without what binds it.
    fn needs_limit(&self, fact: &Fact) -> bool {
        let (Stated::Value(value), None) = (&fact.stated, &fact.wording) else { return false };
        quantity::read_one(&value.text).is_ok_and(|figure| figure.limit.is_none() && figure.hedge.is_none())
    }

    fn value(&self, fact: &Fact) -> Option<String> {
        match &fact.stated {
            Stated::Value(value) => Some(value.text.clone()),
            Stated::WorkedFrom(_) => {
                self.understood.held(&fact.name).and_then(|held| quantity::say(held, None).ok())
            }
            Stated::Series(_) => None,
        }
    }

    /// The expression in parts: names of facts with a link, and what stands between them.
    fn worked(&self, fact: &Fact) -> Option<Value> {
        let Stated::WorkedFrom(expression) = &fact.stated else { return None };
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let parts = parts_of(&expression.text, |word| self.pages.fact(word).is_some());
        let parts = parts.into_iter().map(|part| match part {
            Part::Fact(name) => json!({
                "title": self.title(name),
                "href": self.href(name),
                "words": self.understood.own_words(name).as_deref().map(joined),
            }),
            Part::Between(text) => json!({"text": printed_operators(text)}),
        });
        Some(parts.collect())
    }

    /// The facts that are worked out from this one.
    fn helped_by(&self, name: &str) -> Value {
        let uses_it = |fact: &&Fact| match &fact.stated {
            Stated::WorkedFrom(expression) => parts_of(&expression.text, |word| word == name)
                .iter()
                .any(|part| matches!(part, Part::Fact(_))),
            Stated::Value(_) | Stated::Series(_) => false,
        };
        let helped = self.understood.content.facts.iter().filter(uses_it);
        helped.map(|fact| self.link(&fact.name)).collect()
    }

    fn series(&self, fact: &Fact) -> Option<Value> {
        match &fact.stated {
            Stated::Series(series) => Some(series_data(fact, series, &title_of(fact), true)),
            Stated::Value(_) | Stated::WorkedFrom(_) => None,
        }
    }

    /// What the fact is at events where it is otherwise, with the event's name.
    fn at_events(&self, name: &str) -> Value {
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let events = self.understood.content.settings.events.iter();
        let otherwise = events.filter_map(|event| {
            let local = self.understood.at_events.get(event.id.as_str())?;
            let fact = local.fact(name).filter(|fact| fact.at.is_some())?;
            let limit = fact.limit.map(limit_name).filter(|_| self.needs_limit(fact));
            Some(json!({
                "event": event.name,
                "date": date(event.date),
                "limit": limit,
                "words": local.own_words(name).as_deref().map(joined),
                "source": fact.source.as_ref().map(|source| source.text.as_str()),
                "followed": fact.url.as_deref().and_then(address::followable),
                "as_of": fact.as_of.map(date),
            }))
        });
        otherwise.collect()
    }

    fn quotes_of(&self, name: &str) -> Value {
        let quotes = self.quotes.iter().filter(|quote| quote.fact == name);
        quotes
            .map(|quote| {
                json!({
                    "href": self.page.link_to(&quote.page, Some(&quote.id)),
                    "page": self.titles.get(&quote.page),
                    // Pages of questions are called by the theme.
                    "named": super::named_by_theme(&quote.page),
                    "section": quote.section,
                    "words": quote.words,
                })
            })
            .collect()
    }

    fn prints_of(&self, name: &str) -> Value {
        let prints =
            self.downloads.iter().filter(|download| download.is_plain() && download.facts.contains(name));
        prints.map(|download| download.data(self.page)).collect()
    }
}

/// A fact's name as a heading: `lead-length` → `Lead length`.
pub fn title_of(fact: &Fact) -> String {
    heading(&fact.readable())
}

fn heading(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn limit_name(limit: Limit) -> &'static str {
    match limit {
        Limit::AtMost => "at_most",
        Limit::AtLeast => "at_least",
        Limit::About => "about",
        Limit::Exactly => "exactly",
    }
}

fn date(date: Date) -> Value {
    json!({"iso": date.to_string(), "year": date.year(), "month": date.month(), "day": date.day()})
}

#[derive(Debug, PartialEq, Eq)]
enum Part<'t> {
    Fact(&'t str),
    Between(&'t str),
}

/// Cuts an expression at the names in it that `is_fact` knows.
fn parts_of<'t>(expression: &'t str, is_fact: impl Fn(&str) -> bool) -> Vec<Part<'t>> {
    let is_name = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_');
    let mut parts = Vec::new();
    let (mut between, mut at) = (0, 0);
    while at < expression.len() {
        let rest = &expression[at..];
        let word = &rest[..rest.find(|letter| !is_name(letter)).unwrap_or(rest.len())];
        if is_fact(word) {
            if between < at {
                parts.push(Part::Between(&expression[between..at]));
            }
            parts.push(Part::Fact(word));
            between = at + word.len();
        }
        at += if word.is_empty() { rest.chars().next().map_or(1, char::len_utf8) } else { word.len() };
    }
    if between < expression.len() {
        parts.push(Part::Between(&expression[between..]));
    }
    parts
}

/// The signs of arithmetic as they are printed: `*` is ×, `/` is ÷, and a minus is longer than a hyphen.
fn printed_operators(text: &str) -> String {
    text.replace(" - ", " \u{2212} ").replace('*', "\u{d7}").replace(" / ", " \u{f7} ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_expression_is_cut_at_the_names_of_facts() {
        let known = |word: &str| ["horses", "manure-daily"].contains(&word);
        assert_eq!(
            parts_of("horses * (manure-daily - 3 lb) * 365 days", known),
            [
                Part::Fact("horses"),
                Part::Between(" * ("),
                Part::Fact("manure-daily"),
                Part::Between(" - 3 lb) * 365 days"),
            ]
        );
        assert_eq!(parts_of("½ * ü", known), [Part::Between("½ * ü")]);
        assert_eq!(printed_operators(" * ("), " × (");
        assert_eq!(printed_operators(" - 3 lb/day / 2"), " − 3 lb/day ÷ 2");
    }

    #[test]
    fn a_name_is_a_heading() {
        assert_eq!(heading("lead length"), "Lead length");
        assert_eq!(heading("éclair"), "Éclair");
        assert_eq!(heading(""), "");
    }
}

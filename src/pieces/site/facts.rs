//! The facts pages: each fact with its source, how it is worked out, and every place that quotes it.

use super::PageHead;
use super::address;
use super::downloads::{Download, DownloadLink};
use super::pages::{PageAddress, Pages};
use super::reading::Quote;
use super::tree::{PageDay, PageLink};
use crate::capital::capital;
use crate::languages::fold;
use crate::pieces::common::SourceRead;
use crate::pieces::tree::{SeriesAlone, SeriesForm, join_number_and_unit, series_data};
use crate::program::facts::{Fact, Stated};
use crate::program::lesson::Lesson;
use crate::quantity::Limit;
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `facts.html` is given.
#[derive(Serialize, JsonSchema)]
pub struct FactsTold<'p> {
    #[serde(flatten)]
    pub head: PageHead<'p>,
    /// The facts that this page tells of, by lesson.
    pub groups: Vec<FactGroup<'p>>,
    /// Every fact of the program, by the alphabet.
    pub list: Vec<FactLink>,
    /// The address of the script.
    pub script: String,
    /// Which of the pages of facts this is, from 1.
    pub number: usize,
    /// How many of them there are.
    pub count: usize,
    /// The page before; null on the first.
    pub before: Option<String>,
    /// The page after; null on the last.
    pub after: Option<String>,
}

/// The facts of a lesson, in the order in which it quotes them.
#[derive(Serialize, JsonSchema)]
pub struct FactGroup<'p> {
    /// The lesson that is the first to quote them; null for those that none quotes.
    lesson: Option<PageLink>,
    facts: Vec<FactEntry<'p>>,
}

/// A fact with its source, how it is worked out, and every place that quotes it.
#[derive(Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum FactEntry<'p> {
    Fact(Box<FactOnPage<'p>>),
}

/// What is told of a fact.
#[derive(Serialize, JsonSchema)]
#[schemars(inline)]
pub struct FactOnPage<'p> {
    /// The name of the fact in `facts.toml`.
    fact: &'p str,
    /// The same; its id on the page.
    name: &'p str,
    /// The same as a heading: Lead length.
    title: String,
    /// How it is printed where nothing else is said; null where it has no words.
    words: Option<String>,
    /// Its value, where the words say it otherwise.
    value: Option<String>,
    /// How its value binds (a key of the theme's words), before the words where they are the bare value.
    limit_before: Option<LimitName>,
    /// The same in a row of its own, where the words are the program's, which may say it already.
    limit: Option<LimitName>,
    /// What it is called in prose.
    called: &'p [String],
    /// Whether the fact is one of safety.
    safety: bool,
    /// Where it comes from.
    source: Option<&'p str>,
    /// The address of the source, where it may be followed.
    followed: Option<String>,
    /// The address of the source as it is written.
    address: Option<&'p str>,
    /// How the source was read; null where that is not said.
    read: Option<SourceRead>,
    /// The day on which the source was looked at.
    as_of: Option<PageDay>,
    /// The day by which it is to be looked at again.
    review_by: Option<PageDay>,
    /// The expression that it is worked from, in parts; null where it is stated.
    worked: Option<Vec<WorkedPart>>,
    /// The facts that are worked out from this one.
    helps: Vec<FactLink>,
    series: Option<SeriesAlone>,
    /// What it is at events where it is otherwise.
    elsewhere: Vec<FactElsewhere<'p>>,
    quotes: Vec<QuotedAt<'p>>,
    /// The pieces that print it.
    prints: Vec<DownloadLink>,
}

/// How a value binds, as the theme's words name it.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum LimitName {
    AtMost,
    AtLeast,
    About,
    Exactly,
}

/// Something that leads to where a fact is told of.
#[derive(Serialize, JsonSchema)]
pub struct FactLink {
    /// The name of the fact as a heading: Lead length.
    title: String,
    /// Relative to this page.
    href: Option<String>,
}

/// A part of an expression.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum WorkedPart {
    Fact {
        /// The name of the fact as a heading: Lead length.
        title: String,
        /// Relative to this page.
        href: Option<String>,
        words: Option<String>,
    },
    /// What stands between them.
    Between { text: String },
}

/// What a fact is at an event where it is otherwise.
#[derive(Serialize, JsonSchema)]
struct FactElsewhere<'p> {
    /// The name of the event.
    event: &'p str,
    date: PageDay,
    /// Its other days; mostly none.
    later_days: Vec<PageDay>,
    limit: Option<LimitName>,
    words: Option<String>,
    source: Option<&'p str>,
    /// The address of the source, where it may be followed.
    followed: Option<String>,
    /// How the source was read; null where that is not said.
    read: Option<SourceRead>,
    /// The day on which the source was looked at.
    as_of: Option<PageDay>,
}

/// A place that quotes a fact.
#[derive(Serialize, JsonSchema)]
struct QuotedAt<'p> {
    /// Relative to this page.
    href: String,
    /// The title of the page that it stands on.
    page: Option<&'p str>,
    /// Pages of questions are called by the theme: the key of its words.
    named: Option<&'static str>,
    /// The heading that it stands under; null for what stands before the first.
    section: Option<&'p str>,
    /// As they are printed.
    words: &'p str,
}

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

impl<'u> FactsPage<'u> {
    /// Facts that this page tells of, and the lesson that they stand with.
    pub fn group(&self, lesson: Option<&'u Lesson>, facts: &[&'u Fact]) -> FactGroup<'u> {
        let lesson = lesson.map(|lesson| PageLink {
            title: plain_text(&lesson.title),
            href: self.page.link_to(&PageAddress::of_lesson(&lesson.id).path, None),
        });
        let facts = facts.iter().map(|fact| FactEntry::Fact(Box::new(self.fact(fact)))).collect();
        FactGroup { lesson, facts }
    }

    /// Every fact, with a link to where it is told of.
    pub fn list(&self) -> Vec<FactLink> {
        let mut list: Vec<FactLink> =
            self.understood.content.facts.iter().map(|fact| self.link(&fact.name)).collect();
        list.sort_by_cached_key(|link| fold(&link.title));
        list
    }

    fn link(&self, name: &str) -> FactLink {
        FactLink { title: self.title(name), href: self.href(name) }
    }

    fn title(&self, name: &str) -> String {
        self.understood.fact(name).map(title_of).unwrap_or_default()
    }

    fn href(&self, name: &str) -> Option<String> {
        self.pages.fact(name).map(|page| self.page.link_to(page, Some(name)))
    }

    fn fact(&self, fact: &'u Fact) -> FactOnPage<'u> {
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let own_words = self.understood.own_words(&fact.name);
        let value = self.value(fact);
        let url = fact.url.as_deref();
        let limit = fact.limit.map(LimitName::from);
        let (limit_before, limit) = match limit {
            limit if self.needs_limit(fact) => (limit, None),
            Some(limit) if !matches!(limit, LimitName::Exactly) && self.says_limit(fact) => (None, None),
            limit => (None, limit),
        };
        FactOnPage {
            fact: &fact.name,
            name: &fact.name,
            title: title_of(fact),
            words: own_words.as_deref().map(&joined),
            // Said once where the fact is printed as its value.
            value: value.filter(|value| own_words.as_ref() != Some(value)).as_deref().map(joined),
            limit_before,
            limit,
            called: &fact.called,
            safety: fact.safety,
            source: fact.source.as_ref().map(|source| source.text.as_str()),
            followed: url.and_then(address::followable),
            address: url,
            read: SourceRead::of(fact),
            as_of: fact.as_of.map(PageDay::from),
            review_by: fact.review_by.as_ref().map(|(by, _)| (*by).into()),
            worked: self.worked(fact),
            helps: self.helped_by(&fact.name),
            series: self.series(fact),
            elsewhere: self.at_events(&fact.name),
            quotes: self.quotes_of(&fact.name),
            prints: self.prints_of(&fact.name),
        }
    }

    /// Whether the words printed of a fact are its value as written, without what binds it.
    fn needs_limit(&self, fact: &Fact) -> bool {
        let (Stated::Value(value), None) = (&fact.stated, &fact.wording) else { return false };
        if self.understood.is_foreign(value) {
            return false;
        }
        let read = self.understood.language().read_one_in_english(&value.text);
        read.is_ok_and(|figure| figure.limit.is_none() && figure.hedge.is_none())
    }

    /// Whether packstring itself words the value, and with it what binds it.
    fn says_limit(&self, fact: &Fact) -> bool {
        fact.wording.is_none()
            && matches!(&fact.stated, Stated::Value(value) if self.understood.is_foreign(value))
    }

    fn value(&self, fact: &Fact) -> Option<String> {
        match &fact.stated {
            Stated::Value(value) if fact.kind.is_none() && self.understood.is_foreign(value) => {
                self.in_own_words(fact)
            }
            Stated::Value(value) => Some(value.text.clone()),
            Stated::WorkedFrom(_) => self.in_own_words(fact),
            Stated::Series(_) => None,
        }
    }

    /// The figure in the words of the language in which the page is.
    fn in_own_words(&self, fact: &Fact) -> Option<String> {
        let held = self.understood.held(&fact.name)?;
        self.understood.language().say(held, None).ok()
    }

    /// The expression in parts: names of facts with a link, and what stands between them.
    fn worked(&self, fact: &Fact) -> Option<Vec<WorkedPart>> {
        let Stated::WorkedFrom(expression) = &fact.stated else { return None };
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let parts = parts_of(&expression.text, |word| self.pages.fact(word).is_some());
        let parts = parts.into_iter().map(|part| match part {
            Part::Fact(name) => WorkedPart::Fact {
                title: self.title(name),
                href: self.href(name),
                words: self.understood.own_words(name).as_deref().map(joined),
            },
            Part::Between(text) => WorkedPart::Between { text: printed_operators(text) },
        });
        Some(parts.collect())
    }

    /// The facts that are worked out from this one.
    fn helped_by(&self, name: &str) -> Vec<FactLink> {
        let uses_it = |fact: &&Fact| match &fact.stated {
            Stated::WorkedFrom(expression) => parts_of(&expression.text, |word| word == name)
                .iter()
                .any(|part| matches!(part, Part::Fact(_))),
            Stated::Value(_) | Stated::Series(_) => false,
        };
        let helped = self.understood.content.facts.iter().filter(uses_it);
        helped.map(|fact| self.link(&fact.name)).collect()
    }

    fn series(&self, fact: &Fact) -> Option<SeriesAlone> {
        match &fact.stated {
            Stated::Series(series) => {
                let series = series_data(fact, series, &title_of(fact), SeriesForm::Table);
                Some(SeriesAlone::Series(series))
            }
            Stated::Value(_) | Stated::WorkedFrom(_) => None,
        }
    }

    fn at_events(&self, name: &str) -> Vec<FactElsewhere<'u>> {
        let joined = |words: &str| join_number_and_unit(self.understood.language(), words);
        let events = self.understood.content.settings.events.iter();
        let otherwise = events.filter_map(|event| {
            let local = self.understood.at_events.get(event.id.as_str())?;
            let fact = local.fact(name).filter(|fact| fact.at.is_some())?;
            let limit = fact.limit.filter(|_| self.needs_limit(fact));
            Some(FactElsewhere {
                event: &event.name,
                date: event.date.into(),
                later_days: PageDay::of_all(&event.later_days),
                limit: limit.map(LimitName::from),
                words: local.own_words(name).as_deref().map(joined),
                source: fact.source.as_ref().map(|source| source.text.as_str()),
                followed: fact.url.as_deref().and_then(address::followable),
                read: SourceRead::of(fact),
                as_of: fact.as_of.map(PageDay::from),
            })
        });
        otherwise.collect()
    }

    fn quotes_of(&self, name: &str) -> Vec<QuotedAt<'u>> {
        let quotes = self.quotes.iter().filter(|quote| quote.fact == name);
        let told = quotes.map(|quote| QuotedAt {
            href: self.page.link_to(&quote.page, Some(&quote.id)),
            page: self.titles.get(&quote.page).map(String::as_str),
            named: super::named_by_theme(&quote.page),
            section: quote.section.as_deref(),
            words: &quote.words,
        });
        told.collect()
    }

    fn prints_of(&self, name: &str) -> Vec<DownloadLink> {
        let prints =
            self.downloads.iter().filter(|download| download.is_plain() && download.facts.contains(name));
        prints.map(|download| download.data(self.page)).collect()
    }
}

/// A fact's name as a heading: `lead-length` → `Lead length`.
pub fn title_of(fact: &Fact) -> String {
    capital(&fact.readable())
}

impl From<Limit> for LimitName {
    fn from(limit: Limit) -> Self {
        match limit {
            Limit::AtMost => Self::AtMost,
            Limit::AtLeast => Self::AtLeast,
            Limit::About => Self::About,
            Limit::Exactly => Self::Exactly,
        }
    }
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
}

//! Which of the words that facts are called by name a thing, and so earn an entry in the index.
//!
//! Facts are called by whatever stands beside their figures: "cathole", but "deep" too. A reader looks up things. That a
//! word names one shows in the lessons themselves: somewhere it stands between a word such as "the" and the end of its
//! phrase ("the cathole, "), or it begins a sentence that says what it does ("Lightning can"). "Six inches deep" shows
//! neither. Words that are several by themselves ("lead rope") name a thing unless they begin or end with a small word
//! ("between animals"). Of a language whose small words are not known, every word is taken.

use crate::languages::{self, IndexWords};
use crate::pieces::terms::key;
use crate::understand::Understood;
use std::collections::BTreeSet;

/// No called word of one piece has more parts: "day's-waste".
const MOST_PARTS: usize = 3;

pub struct Things {
    words: &'static IndexWords,
    /// Those of one piece that were seen to name a thing, their parts with a space between them.
    seen: BTreeSet<String>,
}

impl Things {
    pub fn of(understood: &Understood) -> Self {
        let facts = understood.content.facts.iter();
        let called = facts.flat_map(|fact| fact.called.iter().map(String::as_str));
        let texts = understood.passages.iter().map(|passage| passage.text.as_str());
        let words = &languages::of_or_none(&understood.content.settings.language).index;
        Self::seen_in(words, called, texts)
    }

    fn seen_in<'t>(
        words: &'static IndexWords,
        called: impl Iterator<Item = &'t str>,
        texts: impl Iterator<Item = &'t str>,
    ) -> Self {
        let wanted: BTreeSet<String> = called.filter(|words| is_one(words)).map(singular).collect();
        let mut things = Self { words, seen: BTreeSet::new() };
        for text in texts {
            things.look(text, &wanted);
        }
        things
    }

    /// Whether called words name a thing.
    pub fn has(&self, called: &str) -> bool {
        if self.words.naming.is_empty() {
            return true;
        }
        let parts = parts(called);
        let is_small = |part: Option<&Part>| part.is_none_or(|part| self.is_small(&part.word));
        let edges = is_small(parts.first()) || is_small(parts.last());
        !edges && (!is_one(called) || self.seen.contains(&singular(called)))
    }

    fn is_small(&self, word: &str) -> bool {
        let IndexWords { naming, being, small } = self.words;
        [naming, being, small].into_iter().any(|words| has(words, word))
    }

    fn look(&mut self, text: &str, wanted: &BTreeSet<String>) {
        let parts = parts(text);
        for at in 0..parts.len() {
            let begins = at == 0 || !parts[at].joined;
            let named = !begins && has(&self.words.naming, &parts[at - 1].word);
            if !begins && !named {
                continue;
            }
            for to in at..parts.len().min(at + MOST_PARTS) {
                if to > at && !parts[to].joined {
                    break;
                }
                let next = parts.get(to + 1).filter(|next| next.joined);
                let ends = next.is_none_or(|next| self.is_small(&next.word));
                let does = next.is_some_and(|next| has(&self.words.being, &next.word));
                if (named && ends) || (begins && does) {
                    let words: Vec<&str> = parts[at..=to].iter().map(|part| part.word.as_str()).collect();
                    self.seen
                        .extend(Some(without_s(&words.join(" "))).filter(|words| wanted.contains(words)));
                }
            }
        }
    }
}

/// A word of a text.
struct Part {
    /// As words are told apart.
    word: String,
    /// Whether it goes on from the word before, with nothing but a space, a hyphen or an apostrophe between them.
    joined: bool,
}

fn parts(text: &str) -> Vec<Part> {
    let mut parts = Vec::new();
    let (mut word, mut joined) = (String::new(), false);
    for letter in text.chars().chain(Some(' ')) {
        if letter.is_alphanumeric() {
            word.push(letter);
            continue;
        }
        if !word.is_empty() {
            parts.push(Part { word: key(&word), joined });
            word.clear();
            joined = true;
        }
        joined &= letter.is_whitespace() && letter != '\n' || matches!(letter, '-' | '\u{2011}' | '\'' | '’');
    }
    parts
}

fn is_one(called: &str) -> bool {
    !called.trim().contains(char::is_whitespace)
}

/// Called words as they are looked up: a plural in "s" is the word too.
fn singular(called: &str) -> String {
    let words: Vec<String> = parts(called).into_iter().map(|part| part.word).collect();
    without_s(&words.join(" "))
}

fn without_s(words: &str) -> String {
    words.strip_suffix('s').unwrap_or(words).to_owned()
}

fn has(words: &[String], word: &str) -> bool {
    words.iter().any(|known| known == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Which of the words earn an entry, as the text uses them.
    fn earned<'w>(language: &str, text: &str, called: &[&'w str]) -> Vec<&'w str> {
        let words = &languages::of_or_none(language).index;
        let things = Things::seen_in(words, called.iter().copied(), std::iter::once(text));
        called.iter().copied().filter(|words| things.has(words)).collect()
    }

    #[test]
    fn things_are_entered_and_what_stands_beside_figures_is_not() {
        let text = "Dig the cathole in soft soil, six inches deep. Tie them 20 feet apart, and multiply by four. Lightning can strike \
                    from far. Keep weed-free hay. Notice a bear, and see lakes near your camp.";
        let called = [
            "cathole",
            "deep",
            "apart",
            "multiply",
            "lightning",
            "weed-free",
            "notice",
            "bears",
            "lead rope",
            "between animals",
            "on the road",
        ];
        assert_eq!(earned("en", text, &called), ["cathole", "lightning", "bears", "lead rope"]);
    }

    #[test]
    fn in_spanish() {
        let text = "Cava el hoyo a 15 cm de hondo. Átalos lejos, aparte de la recua. El rayo cae; multiplica por cuatro.";
        let called = ["hoyo", "recua", "aparte", "multiplica", "lejos", "línea de amarre", "entre animales"];
        assert_eq!(earned("es-US", text, &called), ["hoyo", "recua", "línea de amarre"]);
    }

    #[test]
    fn in_french() {
        let text = "Creusez le trou à 15 cm de l’eau. Gardez les chevaux à part, et multipliez par quatre. L’éclair, puis \
                    le tonnerre.";
        let called = ["trou", "eau", "éclairs", "à part", "multipliez", "corde de guidage", "sur la route"];
        assert_eq!(earned("fr", text, &called), ["trou", "eau", "éclairs", "corde de guidage"]);
    }

    #[test]
    fn of_an_unknown_language_every_word_is_taken() {
        assert_eq!(earned("cs", "hluboko", &["hluboko"]), ["hluboko"]);
    }
}

//! A text of another language put into the reader's words, with the way back to the text as it was written.

use super::super::Figure;
use super::Lexicon;
use super::table::{Kind, Row};
use std::collections::HashSet;
use std::ops::Range;

/// A text in the reader's words, with the way back.
pub(super) struct Gloss {
    pub text: String,
    /// In order: where a part stands in the gloss, where in the text, and whether it is the same bytes.
    parts: Vec<(Range<usize>, Range<usize>, bool)>,
}

impl Gloss {
    /// `same`: each byte stands for the byte at its place.
    fn push(&mut self, words: &str, source: Range<usize>, same: bool) {
        let start = self.text.len();
        self.text.push_str(words);
        self.parts.push((start..self.text.len(), source, same));
    }

    /// White space at the end belongs to what stands before it.
    fn trim_end(&mut self) {
        self.text.truncate(self.text.trim_end().len());
        if let Some((gloss, _, same)) = self.parts.last_mut() {
            gloss.end = self.text.len();
            *same = false;
        }
    }

    pub fn start(&self, at: usize) -> usize {
        let part = self.parts.iter().find(|(gloss, ..)| at < gloss.end);
        match part {
            Some((gloss, source, true)) => source.start + at.saturating_sub(gloss.start),
            Some((_, source, false)) => source.start,
            None => self.parts.last().map_or(0, |(_, source, _)| source.end),
        }
    }

    pub fn end(&self, at: usize) -> usize {
        let part = self.parts.iter().find(|(gloss, ..)| at <= gloss.end);
        match part {
            Some((gloss, source, true)) => source.start + at.saturating_sub(gloss.start),
            Some((gloss, source, false)) if at > gloss.start => source.end,
            Some((_, source, false)) => source.start,
            None => self.parts.last().map_or(0, |(_, source, _)| source.end),
        }
    }

    /// Where a part of the text stands in the gloss.
    pub fn of_source(&self, range: &Range<usize>) -> Range<usize> {
        let first = self.parts.iter().find(|(_, source, _)| range.start < source.end);
        let start = first.map_or(self.text.len(), |(gloss, source, same)| match same {
            true => gloss.start + range.start.saturating_sub(source.start),
            false => gloss.start,
        });
        let last = self.parts.iter().find(|(_, source, _)| range.end <= source.end);
        let end = last.map_or(self.text.len(), |(gloss, source, same)| match same {
            true => gloss.start + range.end.saturating_sub(source.start),
            false => gloss.end,
        });
        start..end.max(start)
    }

    /// Whether the gloss may be cut there: at white space, and not within words that stand for one phrase.
    pub fn may_be_cut(&self, at: usize) -> bool {
        let is_space = |letter: Option<char>| letter.is_none_or(char::is_whitespace);
        let beside_space =
            is_space(self.text[..at].chars().next_back()) || is_space(self.text[at..].chars().next());
        let within = |(gloss, _, same): &(Range<usize>, Range<usize>, bool)| {
            !same && gloss.start < at && at < gloss.end
        };
        beside_space && !self.parts.iter().any(within)
    }

    pub fn lead_back(&self, figure: &mut Figure) {
        for range in [&mut figure.span, &mut figure.alone, &mut figure.number, &mut figure.reach] {
            let start = self.start(range.start);
            *range = start..self.end(range.end).max(start);
        }
        if let Some(dual) = &mut figure.dual {
            self.lead_back(dual);
        }
    }
}

impl Lexicon {
    pub(super) fn gloss(&self, text: &str) -> Gloss {
        let gloss = Gloss { text: String::with_capacity(text.len() + 16), parts: Vec::new() };
        let words = words_of(text);
        let mut reading = Reading { foreign: self, text, words: &words, at: 0, gloss, before: None };
        while reading.at < text.len() {
            reading.step();
        }
        reading.gloss
    }

    /// "si uno jadea": before a masculine noun the number is "un", so "uno" before a word that is none of the
    /// table's, as verbs are, is somebody.
    fn stands_for_somebody(&self, text: &str, words: &[Range<usize>]) -> bool {
        const VERBS: [&str; 6] = ["se", "no", "es", "está", "puede", "debe"];
        const JOINING: [&str; 6] = ["a", "para", "por", "y", "o", "u"];
        let [own, after, ..] = words else { return false };
        let gap = &text[own.end..after.start];
        let follows = !gap.is_empty() && gap.chars().all(char::is_whitespace);
        let next = text[after.clone()].to_lowercase();
        text[own.clone()].eq_ignore_ascii_case("uno")
            && follows
            && (VERBS.contains(&next.as_str())
                || self.row(&next).is_none() && !JOINING.contains(&next.as_str()))
    }

    /// Whether a number follows, in digits or words.
    fn is_number(&self, text: &str, at: usize) -> bool {
        let rest = text[at..].trim_start();
        let word = rest.split(|letter: char| !letter.is_alphabetic()).next().unwrap_or_default();
        rest.starts_with(|letter: char| letter.is_ascii_digit())
            || self.row(word).is_some_and(|row| row.kind.is_number())
    }

    fn row(&self, word: &str) -> Option<Row> {
        let word = word.to_lowercase();
        let own = self.nouns.get(&word).map(|english| Row { kind: Kind::Noun, english: english.clone() });
        own.or_else(|| self.table.reads.get(&word).cloned())
    }

    /// The longest phrase of the table that a text starts with: how many words, and where it ends. Hyphens stand
    /// for spaces (`vingt-cinq`), and an apostrophe belongs to the word before it (`d'un`).
    fn phrase(&self, text: &str, words: &[Range<usize>]) -> Option<(usize, usize, Row)> {
        let most = words.len().min(self.table.longest);
        let mut phrase = String::new();
        let mut found = None;
        for count in 1..=most {
            if count > 1 {
                let gap = &text[words[count - 2].end..words[count - 1].start];
                match gap {
                    "-" | "‐" | "‑" => phrase.push(' '),
                    "'" | "’" => phrase.push('\''),
                    _ if !gap.is_empty() && gap.chars().all(char::is_whitespace) => phrase.push(' '),
                    // "c. à soupe"
                    _ if gap.starts_with('.')
                        && gap[1..].trim().is_empty()
                        && words[count - 2].len() == 1 =>
                    {
                        phrase.push(' ');
                    }
                    _ => break,
                }
            }
            let last = &words[count - 1];
            phrase.push_str(&text[last.clone()]);
            let apostrophe = ["'", "’"].into_iter().find(|mark| {
                text[last.end..]
                    .strip_prefix(*mark)
                    .is_some_and(|rest| rest.starts_with(char::is_alphanumeric))
            });
            if let Some(row) = self.row(&phrase) {
                found = Some((count, last.end, row));
            }
            if let Some(mark) = apostrophe
                && let Some(mut row) = self.row(&format!("{phrase}'"))
            {
                row.english.push(' ');
                found = Some((count, last.end + mark.len(), row));
            }
        }
        found
    }

    /// A text without words, its numbers with the reader's marks; and whether it ends in a number.
    fn digits(&self, text: &str) -> (String, bool) {
        let ends = text.trim_end().ends_with(|letter: char| letter.is_ascii_digit());
        if self.decimal == '.' {
            return (text.to_owned(), ends);
        }
        let bytes = text.as_bytes();
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        // "1 200": a plain space between groups of three, which the reader takes for two numbers
        let groups = |at: usize| {
            let head = bytes[..at].iter().rev().take_while(|byte| byte.is_ascii_digit()).count();
            let fits = (1..=3).contains(&head) && bytes[at - head] != b'0';
            let inner = head == 3 && at > 3 && matches!(bytes[at - 4], b' ' | b',');
            self.grouping.is_some_and(char::is_whitespace)
                && (fits || inner)
                && (1..=3).all(|n| digit(at + n))
                && !digit(at + 4)
        };
        let swapped = text.char_indices().map(|(at, letter)| match letter {
            ',' if at > 0 && digit(at - 1) && digit(at + 1) => '.',
            '.' if at > 0 && digit(at - 1) && (1..=3).all(|n| digit(at + n)) && !digit(at + 4) => ',',
            ' ' if at > 0 && digit(at - 1) && groups(at) => ',',
            other => other,
        });
        (swapped.collect(), ends)
    }
}

/// A text that is being put into the reader's words, from its start.
struct Reading<'t> {
    foreign: &'t Lexicon,
    text: &'t str,
    /// Where those stand that are still to be read.
    words: &'t [Range<usize>],
    at: usize,
    gloss: Gloss,
    /// What stood last, where that was a phrase of the table or a number in digits.
    before: Option<Kind>,
}

impl Reading<'_> {
    /// What stands between words, a phrase of the table, or a word that is in none.
    fn step(&mut self) {
        let end = self.words.first().map_or(self.text.len(), |word| word.start);
        if end > self.at {
            return self.between(end);
        }
        match self.foreign.phrase(self.text, self.words) {
            Some((1, _, row)) if self.joins_ten(&row) => self.one_after_ten(),
            Some((count, end, row)) => self.phrase(count, end, row),
            None => {
                let word = &self.text[self.words[0].clone()];
                self.take(1, self.words[0].end, word, None);
            }
        }
    }

    fn between(&mut self, end: usize) {
        let (between, is_number) = self.foreign.digits(&self.text[self.at..end]);
        if is_number {
            self.before = Some(Kind::Number);
        } else if !between.trim().is_empty() {
            self.before = None;
        }
        // "un demi-litre"
        let hangs = matches!(&*between, "-" | "‐" | "‑") && self.gloss.text.ends_with(" a");
        let same = between.len() == end - self.at;
        self.gloss.push(if hangs { " " } else { &between }, self.at..end, same);
        self.at = end;
    }

    /// Puts English in the place of so many words, up to where they end.
    fn take(&mut self, count: usize, end: usize, english: &str, kind: Option<Kind>) {
        let same = english == &self.text[self.at..end];
        self.gloss.push(english, self.at..end, same);
        self.words = &self.words[count..];
        self.at = end;
        self.before = kind;
    }

    fn row_at(&self, at: usize) -> Option<Row> {
        self.foreign.row(&self.text[self.words.get(at)?.clone()])
    }

    /// Whether an "and" stands between a ten and what is added to it.
    fn joins_ten(&self, row: &Row) -> bool {
        let is_one = |row: Row| row.kind == Kind::One || row.english == "a";
        self.before == Some(Kind::Ten) && row.english == "and" && self.row_at(1).is_some_and(is_one)
    }

    /// "treinta y cinco": the white space on both sides belongs to the number.
    fn one_after_ten(&mut self) {
        self.gloss.trim_end();
        let one = self.row_at(1).map(|row| row.english).filter(|english| english != "a");
        let end = self.words[1].end;
        self.take(2, end, &format!("-{}", one.as_deref().unwrap_or("one")), Some(Kind::Number));
    }

    /// How many words that lead over to a number stand behind so many: `de`, `que los`.
    fn leading_over(&self, count: usize) -> usize {
        let is_any = |at: usize, known: &HashSet<String>| {
            self.words.get(at).is_some_and(|word| {
                let own = self.text[word.clone()].to_lowercase();
                let gap = &self.text[self.words[at - 1].end..word.start];
                gap.trim().is_empty() && known.contains(&own)
            })
        };
        let link = usize::from(is_any(count, &self.foreign.table.links));
        let article = usize::from(is_any(count + link, &self.foreign.table.articles));
        let all = link + article;
        let follows = all > 0 && self.foreign.is_number(self.text, self.words[count + all - 1].end);
        if follows { all } else { 0 }
    }

    fn phrase(&mut self, count: usize, end: usize, row: Row) {
        let before_number = match row.kind {
            Kind::Comparative | Kind::Passing => self.leading_over(count),
            _ => 0,
        };
        if before_number > 0 {
            let than = if row.kind == Kind::Comparative { " than" } else { "" };
            let english = format!("{}{than}", row.english);
            let end = self.words[count + before_number - 1].end;
            return self.take(count + before_number, end, &english, Some(row.kind));
        }
        if row.kind == Kind::Comparative && row.english == "less" && self.foreign.is_number(self.text, end) {
            // "menos diez grados": a sign, and no comparison
            return self.take(count, end, "minus", Some(Kind::Other));
        }
        let counts = self.before.is_some_and(Kind::is_number);
        let of_large = self.gloss.text.ends_with("hundred ") || self.gloss.text.ends_with("thousand ");
        let mut english = row.english;
        if counts && of_large && english == "a" {
            // "ciento un pies"
            english = "one".to_owned();
        }
        if count == 1 && english == "a" && self.is_one_of_unit() {
            // "un minuto", "une heure": the article is the number too
            english = "one".to_owned();
        }
        if english == "a" && self.text[self.at..end].starts_with(char::is_uppercase) {
            // it begins a sentence, and is no rate of what stands before
            english = "A".to_owned();
        }
        if count == 1 && !counts && self.foreign.stands_for_somebody(self.text, self.words) {
            "someone".clone_into(&mut english);
        }
        if english == "per" && self.is_span_of_time(count, end) {
            // "2 litros por 20 minutos": how long, and not how much in each
            "for".clone_into(&mut english);
        }
        if self.foreign.is_number(self.text, end) {
            // "del 1.5 al 2 por ciento", "entre las 3 y las 4": the article says nothing
            match english.as_str() {
                "to the" => "to".clone_into(&mut english),
                "of the" => "of".clone_into(&mut english),
                "the" if joins(&self.gloss.text) => english.clear(),
                _ => {}
            }
        }
        if row.kind == Kind::Thousand && !counts {
            english.insert_str(0, "one ");
        }
        // A noun ends here where the language goes on with words that describe it.
        let goes_on = |after: &Range<usize>| self.text[end..after.start].trim().is_empty();
        if row.kind == Kind::Noun
            && self.words.get(count).is_some_and(goes_on)
            && self.row_at(count).is_none()
        {
            english.push(',');
        }
        self.take(count, end, &english, Some(row.kind));
    }

    /// Whether a number with a unit of time follows so many words.
    fn is_span_of_time(&self, count: usize, end: usize) -> bool {
        const TIMES: [&str; 11] = [
            "min", "h", "second", "seconds", "minute", "minutes", "hour", "hours", "days", "weeks", "months",
        ];
        let is_number = |at: &usize| self.row_at(*at).is_some_and(|row| row.kind.is_number());
        let Some(unit) = (count..self.words.len()).find(|at| !is_number(at)) else { return false };
        let english = self
            .row_at(unit)
            .map_or_else(|| self.text[self.words[unit].clone()].to_owned(), |row| row.english);
        let near = self.text[end..self.words[unit].start].split_whitespace().count() <= unit - count + 1;
        self.foreign.is_number(self.text, end) && near && TIMES.contains(&&*english)
    }

    /// Whether a unit of measure follows the first word, of which an article says how many. "Un día" and "un nudo" are
    /// a day and a knot like any other, and "nomás un minuto" is a moment.
    fn is_one_of_unit(&self) -> bool {
        const AS_ANY: [&str; 4] = ["day", "night", "knot", "foot"];
        let Some(next) = self.words.get(1) else { return false };
        let gap = &self.text[self.words[0].end..next.start];
        let unit = || self.foreign.phrase(self.text, &self.words[1..]).map(|(.., row)| row);
        gap.trim().is_empty()
            && !self.gloss.text.ends_with("only ")
            && unit().is_some_and(|row| row.kind == Kind::Unit && !AS_ANY.contains(&&*row.english))
    }
}

/// Whether a text ends in a word that joins the ends of a range.
fn joins(gloss: &str) -> bool {
    let last = gloss.rsplit(|letter: char| !letter.is_alphabetic()).find(|word| !word.is_empty());
    last.is_some_and(|word| ["and", "to", "or"].contains(&word))
}

/// Where the words of a text stand: runs of letters.
fn words_of(text: &str) -> Vec<Range<usize>> {
    let mut words: Vec<Range<usize>> = Vec::new();
    for (at, letter) in text.char_indices() {
        if letter.is_alphabetic() {
            match words.last_mut() {
                Some(word) if word.end == at => word.end += letter.len_utf8(),
                _ => words.push(at..at + letter.len_utf8()),
            }
        }
    }
    words
}

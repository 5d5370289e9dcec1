//! Tongues: figures in texts of other languages than English.
//!
//! The reader of figures is written for English and measured there. A text of another language is put into
//! its words first, phrase by phrase from a table (`tongues/es.csv`): number words, units, what loosens or
//! binds, rates, dates. All else stays as it is. What the reader finds is then led back to the text
//! as it was written. The order of words may stay, for in the languages that have a table a number stands
//! before its unit and a bound beside the number.
//!
//! The same table, read the other way, puts a figure that packstring says itself into the language. How numbers are written
//! (`1,5`, `1.5`, `12 345`) follows CLDR for the language's tag, through icu4x.

mod spell;

use super::{Figure, Held, Unit, Verdict, agree, read, say};
use icu_decimal::DecimalFormatter;
use icu_decimal::input::Decimal;
use icu_locale_core::Locale;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;
use std::sync::{Arc, LazyLock};

/// The language that a text is read in.
#[derive(Clone, Debug, Default)]
pub struct Tongue(Option<Arc<Foreign>>);

/// A language's phrases with the reader's words for them, and how it writes numbers.
#[derive(Clone, Debug)]
pub struct Phrasebook<'t> {
    /// The mark before decimals.
    pub decimal: char,
    /// In small letters.
    pub phrases: BTreeMap<&'t str, &'t str>,
}

/// A language other than English.
#[derive(Debug)]
struct Foreign {
    table: &'static Table,
    /// Words of the program's own for things that are counted.
    nouns: HashMap<String, String>,
    /// The marks of a number, by CLDR.
    marks: Marks,
    locale: Locale,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Marks {
    decimal: char,
}

/// A language's phrases. Built once from its file.
#[derive(Debug)]
struct Table {
    /// By the words of the phrase, in lower case.
    reads: HashMap<String, Row>,
    /// The first phrase of the language for an English one.
    says: HashMap<String, String>,
    /// Words in the longest phrase, in both directions.
    longest: usize,
}

#[derive(Clone, Debug)]
struct Row {
    kind: Kind,
    english: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// 1 to 9, which may follow a ten with "and" between.
    One,
    /// 20, 30 … 90.
    Ten,
    /// Other words of numbers.
    Number,
    /// What English calls "one thousand" where no number stands before it.
    Thousand,
    /// A thing that is counted.
    Noun,
    Other,
}

static SPANISH: LazyLock<Table> = LazyLock::new(|| Table::read(include_str!("tongues/es.csv"), None));

/// Where no region is named, and in Spain, a plain ton is a metric one (CLDR: `es` against `es-419`).
static SPANISH_OF_SPAIN: LazyLock<Table> =
    LazyLock::new(|| Table::read(include_str!("tongues/es.csv"), Some("spain")));

impl Table {
    /// A row of a region stands before the others and holds only there.
    fn read(file: &str, region: Option<&str>) -> Self {
        let mut table = Self { reads: HashMap::new(), says: HashMap::new(), longest: 1 };
        for record in csv::Reader::from_reader(file.as_bytes()).records() {
            let record = record.expect("the table is checked by a test");
            if &record[0] == "spain" && region != Some("spain") {
                continue;
            }
            let kind = match &record[0] {
                "one" => Kind::One,
                "ten" => Kind::Ten,
                "number" => Kind::Number,
                "thousand" => Kind::Thousand,
                "noun" => Kind::Noun,
                _ => Kind::Other,
            };
            let (own, english) = (record[1].to_lowercase(), record[2].to_owned());
            let words = |text: &str| text.split(' ').count();
            table.longest = table.longest.max(words(&own)).max(words(&english));
            table.says.entry(english.clone()).or_insert_with(|| record[1].to_owned());
            table.reads.entry(own).or_insert(Row { kind, english });
        }
        table
    }
}

impl Tongue {
    /// The tongue of a BCP 47 tag; English where there is no table. `nouns` are words of the text's own for
    /// things that are counted, each with its English.
    pub fn of(language: &str, nouns: &[(String, String)]) -> Self {
        let primary = language.split('-').next().unwrap_or_default().to_lowercase();
        let locale: Locale = language.parse().unwrap_or(icu_locale_core::locale!("es"));
        let region = locale.id.region.map(|region| region.to_string());
        let table = match (primary.as_str(), region.as_deref()) {
            ("es", None | Some("ES")) => &*SPANISH_OF_SPAIN,
            ("es", Some(_)) => &*SPANISH,
            _ => return Self(None),
        };
        let nouns = nouns.iter().map(|(own, english)| (own.to_lowercase(), english.clone())).collect();
        let marks = Marks { decimal: decimal_mark(&locale) };
        Self(Some(Arc::new(Foreign { table, nouns, marks, locale })))
    }

    /// Whether it is the language that the reader is written for.
    pub fn is_english(&self) -> bool {
        self.0.is_none()
    }

    /// Every figure of a text, in order.
    pub fn read(&self, text: &str) -> Vec<Figure> {
        let Some(foreign) = &self.0 else { return read(text) };
        let gloss = foreign.gloss(text);
        let mut figures = read(&gloss.text);
        figures.iter_mut().for_each(|figure| gloss.lead_back(figure));
        figures
    }

    /// The one figure that a text consists of; see [`super::read_one`].
    ///
    /// # Errors
    /// A sentence that says why it is not one figure.
    pub fn read_one(&self, text: &str) -> Result<Figure, String> {
        let Some(foreign) = &self.0 else { return super::read_one(text) };
        let gloss = foreign.gloss(text);
        let mut figure = super::read_one(&gloss.text)?;
        gloss.lead_back(&mut figure);
        Ok(figure)
    }

    /// What a page's script needs to put an answer into the reader's words; `None` where it is in them.
    pub fn phrasebook(&self) -> Option<Phrasebook<'_>> {
        let foreign = self.0.as_ref()?;
        let rows = foreign.table.reads.iter().map(|(own, row)| (own.as_str(), row.english.as_str()));
        let nouns = foreign.nouns.iter().map(|(own, english)| (own.as_str(), english.as_str()));
        Some(Phrasebook { decimal: foreign.marks.decimal, phrases: rows.chain(nouns).collect() })
    }

    /// Words in a text written anew so that the figure in them says what is held; see [`super::restate_in`].
    ///
    /// # Errors
    /// A sentence that says why it cannot be done by rule.
    pub fn restate_in(&self, text: &str, words: &Range<usize>, held: &Held) -> Result<String, String> {
        match &self.0 {
            None => super::restate_in(text, words, held),
            Some(foreign) => foreign.restate_in(text, words, held),
        }
    }

    /// Whether a text states figures and each agrees with a held quantity.
    pub fn states_only(&self, text: &str, held: &Held) -> bool {
        let figures = self.read(text);
        !figures.is_empty() && figures.iter().all(|figure| agree(figure, held) == Verdict::Agrees)
    }

    /// A held quantity for print; see [`super::say`].
    ///
    /// # Errors
    /// A sentence, where the unit does not fit.
    pub fn say(&self, held: &Held, unit: Option<&Unit>) -> Result<String, String> {
        Ok(self.put(&say(held, unit)?))
    }

    /// A unit by itself, of more than one: `ft` stays in English and is `pies` in Spanish.
    pub fn unit(&self, english: &str) -> String {
        let two = super::read_one(&format!("2 {english}"));
        let said = two
            .ok()
            .filter(|_| !self.is_english())
            .and_then(|two| self.say(&Held::stated(&two, None), None).ok());
        let unit = said.and_then(|said| said.strip_prefix("2").map(|unit| unit.trim_start().to_owned()));
        unit.unwrap_or_else(|| english.to_owned())
    }

    /// A figure in packstring's English put into the tongue: `about 1.5 gallons a day` → `alrededor de 1,5
    /// galones al día`.
    pub fn put(&self, english: &str) -> String {
        match &self.0 {
            None => english.to_owned(),
            Some(foreign) => foreign.put(english),
        }
    }
}

/// The mark before decimals where a language is written.
fn decimal_mark(locale: &Locale) -> char {
    let formatter = DecimalFormatter::try_new(locale.into(), Default::default());
    let half: Option<Decimal> = "0.5".parse().ok();
    let written = formatter.ok().zip(half).map(|(formatter, half)| formatter.format(&half).to_string());
    written.and_then(|text| text.chars().nth(1)).unwrap_or('.')
}

/// A text in the reader's words, with the way back.
struct Gloss {
    text: String,
    /// In order: where a part stands in the gloss, where in the text, and whether it is the same bytes.
    parts: Vec<(Range<usize>, Range<usize>, bool)>,
}

impl Gloss {
    fn push(&mut self, words: &str, source: Range<usize>) {
        let start = self.text.len();
        self.text.push_str(words);
        let same = words.len() == source.len();
        self.parts.push((start..self.text.len(), source, same));
    }

    fn start(&self, at: usize) -> usize {
        let part = self.parts.iter().find(|(gloss, ..)| at < gloss.end);
        match part {
            Some((gloss, source, true)) => source.start + at.saturating_sub(gloss.start),
            Some((_, source, false)) => source.start,
            None => self.parts.last().map_or(0, |(_, source, _)| source.end),
        }
    }

    fn end(&self, at: usize) -> usize {
        let part = self.parts.iter().find(|(gloss, ..)| at <= gloss.end);
        match part {
            Some((gloss, source, true)) => source.start + at.saturating_sub(gloss.start),
            Some((gloss, source, false)) if at > gloss.start => source.end,
            Some((_, source, false)) => source.start,
            None => self.parts.last().map_or(0, |(_, source, _)| source.end),
        }
    }

    /// Where a part of the text stands in the gloss.
    fn of_source(&self, range: &Range<usize>) -> Range<usize> {
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
    fn may_be_cut(&self, at: usize) -> bool {
        let is_space = |letter: Option<char>| letter.is_none_or(char::is_whitespace);
        let beside_space =
            is_space(self.text[..at].chars().next_back()) || is_space(self.text[at..].chars().next());
        let within = |(gloss, _, same): &(Range<usize>, Range<usize>, bool)| {
            !same && gloss.start < at && at < gloss.end
        };
        beside_space && !self.parts.iter().any(within)
    }

    fn lead_back(&self, figure: &mut Figure) {
        for range in [&mut figure.span, &mut figure.alone, &mut figure.number, &mut figure.reach] {
            let start = self.start(range.start);
            *range = start..self.end(range.end).max(start);
        }
        if let Some(dual) = &mut figure.dual {
            self.lead_back(dual);
        }
    }
}

impl Foreign {
    fn gloss(&self, text: &str) -> Gloss {
        let mut gloss = Gloss { text: String::with_capacity(text.len() + 16), parts: Vec::new() };
        let words = words_of(text);
        let (mut at, mut next) = (0, 0);
        let mut before: Option<Kind> = None;
        while at < text.len() {
            while next < words.len() && words[next].start < at {
                next += 1;
            }
            let Some(word) = words.get(next).cloned() else {
                let (rest, _) = self.digits(&text[at..]);
                gloss.push(&rest, at..text.len());
                break;
            };
            if word.start > at {
                let (between, number) = self.digits(&text[at..word.start]);
                if number {
                    before = Some(Kind::Number);
                } else if !between.trim().is_empty() {
                    before = None;
                }
                gloss.push(&between, at..word.start);
                at = word.start;
                continue;
            }
            match self.phrase(text, &words[next..]) {
                Some((count, row)) => {
                    let source = word.start..words[next + count - 1].end;
                    let joined = before == Some(Kind::Ten) && count == 1 && row.english == "and";
                    let one = words.get(next + 1).and_then(|range| self.row(&text[range.clone()]));
                    if joined
                        && one.as_ref().is_some_and(|row| matches!(row.kind, Kind::One) || row.english == "a")
                    {
                        // "treinta y cinco": the white space on both sides belongs to the number
                        gloss.text.truncate(gloss.text.trim_end().len());
                        if let Some(last) = gloss.parts.last_mut() {
                            last.0.end = gloss.text.len();
                            last.2 = false;
                        }
                        let end = words[next + 1].end;
                        let english = one.map_or("one".to_owned(), |row| {
                            if row.english == "a" { "one".to_owned() } else { row.english }
                        });
                        gloss.push(&format!("-{english}"), source.start..end);
                        at = end;
                        before = Some(Kind::Number);
                        continue;
                    }
                    let counts =
                        matches!(before, Some(Kind::One | Kind::Ten | Kind::Number | Kind::Thousand));
                    let mut english = row.english.clone();
                    let of_large = gloss.text.ends_with("hundred ") || gloss.text.ends_with("thousand ");
                    if counts && of_large && english == "a" {
                        // "ciento un pies"
                        english = "one".to_owned();
                    }
                    if self.is_number(text, source.end) {
                        // "del 1.5 al 2 por ciento", "entre las 3 y las 4": the article says nothing
                        match english.as_str() {
                            "to the" => "to".clone_into(&mut english),
                            "of the" => "of".clone_into(&mut english),
                            "the" if joins(&gloss.text) => english.clear(),
                            _ => {}
                        }
                    }
                    if row.kind == Kind::Thousand && !counts {
                        english.insert_str(0, "one ");
                    }
                    // A noun ends here where the language goes on with words that describe it.
                    let after = words.get(next + count);
                    let described = row.kind == Kind::Noun
                        && after.is_some_and(|range| {
                            text[source.end..range.start].trim().is_empty()
                                && self.row(&text[range.clone()]).is_none()
                        });
                    if described {
                        english.push(',');
                    }
                    at = source.end;
                    before = Some(row.kind);
                    gloss.push(&english, source);
                }
                None => {
                    gloss.push(&text[word.clone()], word.clone());
                    at = word.end;
                    before = None;
                }
            }
        }
        gloss
    }

    /// Whether a number follows, in digits or words.
    fn is_number(&self, text: &str, at: usize) -> bool {
        let rest = text[at..].trim_start();
        let word = rest.split(|letter: char| !letter.is_alphabetic()).next().unwrap_or_default();
        rest.starts_with(|letter: char| letter.is_ascii_digit())
            || self
                .row(word)
                .is_some_and(|row| matches!(row.kind, Kind::One | Kind::Ten | Kind::Number | Kind::Thousand))
    }

    fn row(&self, word: &str) -> Option<Row> {
        let word = word.to_lowercase();
        let own = self.nouns.get(&word).map(|english| Row { kind: Kind::Noun, english: english.clone() });
        own.or_else(|| self.table.reads.get(&word).cloned())
    }

    /// The longest phrase of the table that a text starts with, in words.
    fn phrase(&self, text: &str, words: &[Range<usize>]) -> Option<(usize, Row)> {
        let most = words.len().min(self.table.longest);
        (1..=most).rev().find_map(|count| {
            let range = words[0].start..words[count - 1].end;
            let between = words[..count].windows(2).all(|pair| {
                let gap = &text[pair[0].end..pair[1].start];
                !gap.is_empty() && gap.chars().all(char::is_whitespace)
            });
            if !between {
                return None;
            }
            let phrase = text[range].split_whitespace().collect::<Vec<_>>().join(" ");
            Some((count, self.row(&phrase)?))
        })
    }

    /// A text without words, its numbers with the reader's marks; and whether it ends in a number.
    fn digits(&self, text: &str) -> (String, bool) {
        let ends = text.trim_end().ends_with(|letter: char| letter.is_ascii_digit());
        if self.marks.decimal == '.' {
            return (text.to_owned(), ends);
        }
        let bytes = text.as_bytes();
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        let swapped = text.char_indices().map(|(at, letter)| match letter {
            ',' if at > 0 && digit(at - 1) && digit(at + 1) => '.',
            '.' if at > 0 && digit(at - 1) && (1..=3).all(|n| digit(at + n)) && !digit(at + 4) => ',',
            other => other,
        });
        (swapped.collect(), ends)
    }

    /// The gloss is restated, and what changed in it is put back into the language.
    fn restate_in(&self, text: &str, words: &Range<usize>, held: &Held) -> Result<String, String> {
        let gloss = self.gloss(text);
        let within = gloss.of_source(words);
        let was = &gloss.text[within.clone()];
        let now = super::restate_in(&gloss.text, &within, held)?;
        if now == was {
            return Ok(text[words.clone()].to_owned());
        }
        let (kept_before, kept_after) = kept(was, &now, |at| gloss.may_be_cut(within.start + at));
        let changed = &now[kept_before..now.len() - kept_after];
        let after = format!("{}{}", &now[now.len() - kept_after..], &gloss.text[within.end..]);
        let start = gloss.start(within.start + kept_before).max(words.start);
        let end = gloss.end(within.end - kept_after).clamp(start, words.end);
        let stood = &text[start..end];
        let said = spell::words(self, changed, &after, stood)
            .ok_or("It cannot be put into the words of this language by rule.")?;
        Ok(format!("{}{said}{}", &text[words.start..start], &text[end..words.end]))
    }

    fn put(&self, english: &str) -> String {
        let words: Vec<&str> = english.split(' ').collect();
        let mut said: Vec<String> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let most = (words.len() - at).min(self.table.longest);
            let found = (1..=most).rev().find_map(|count| {
                let phrase = words[at..at + count].join(" ");
                let own = self.nouns.iter().find(|(_, english)| **english == phrase).map(|(own, _)| own);
                Some((count, own.or_else(|| self.table.says.get(&phrase))?.clone()))
            });
            match found {
                Some((count, own)) => {
                    said.push(self.of_scale(&words, at, count, own));
                    at += count;
                }
                None => {
                    said.push(self.number(words[at]));
                    at += 1;
                }
            }
        }
        said.join(" ")
    }

    /// `millón`, `millones`, with `de` before a unit.
    fn of_scale(&self, words: &[&str], at: usize, count: usize, own: String) -> String {
        let scale = ["million", "billion", "trillion"].contains(&words[at]);
        if !scale {
            return own;
        }
        let own = own.trim_end_matches(" de");
        let own =
            if at > 0 && words[at - 1] == "1" { own.replace("millones", "millón") } else { own.to_owned() };
        if at + count < words.len() { format!("{own} de") } else { own }
    }

    /// A number as it is written where the language is; other words stay.
    fn number(&self, word: &str) -> String {
        let plain = word.replace(',', "");
        let Ok(number) = plain.parse::<Decimal>() else { return word.to_owned() };
        match DecimalFormatter::try_new((&self.locale).into(), Default::default()) {
            Ok(formatter) => formatter.format(&number).to_string(),
            Err(_) => word.to_owned(),
        }
    }
}

/// How many bytes two texts share at their beginning and at their end, cut where the first may be.
fn kept(was: &str, now: &str, may_be_cut: impl Fn(usize) -> bool) -> (usize, usize) {
    let shared = |one: &mut dyn Iterator<Item = char>, other: &mut dyn Iterator<Item = char>| -> usize {
        one.zip(other).take_while(|(one, other)| one == other).map(|(letter, _)| letter.len_utf8()).sum()
    };
    let is_break = |at: usize| {
        let space = |letter: Option<char>| letter.is_none_or(char::is_whitespace);
        now.is_char_boundary(at) && (space(now[..at].chars().next_back()) || space(now[at..].chars().next()))
    };
    let mut before = shared(&mut was.chars(), &mut now.chars());
    while before > 0 && !(was.is_char_boundary(before) && is_break(before) && may_be_cut(before)) {
        before -= 1;
    }
    let mut after = shared(&mut was.chars().rev(), &mut now.chars().rev());
    after = after.min(was.len() - before).min(now.len() - before);
    let fits = |after: usize| {
        let at = was.len() - after;
        was.is_char_boundary(at) && is_break(now.len() - after) && may_be_cut(at)
    };
    while after > 0 && !fits(after) {
        after -= 1;
    }
    (before, after)
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

#[cfg(test)]
mod tests;

//! Figures in texts of any language that packstring reads.
//!
//! The reader of figures is written for English and measured there. A text of another language is put into
//! its words first, phrase by phrase from a table (`src/languages/es/figures.csv`): number words, units, what loosens or
//! binds, rates, dates. All else stays as it is. What the reader finds is then led back to the text
//! as it was written. The order of words may stay, for in the languages that have a table a number stands
//! before its unit and a bound beside the number.
//!
//! The same table, read the other way, puts a figure that packstring says itself into the language. How numbers
//! are written (`1,5`, `1.5`, `12 345`) follows CLDR for the language's tag, through icu4x.
//!
//! | file | holds |
//! | --- | --- |
//! | [`table`] | a language's phrases |
//! | [`gloss`] | a text put into the reader's words, with the way back |
//! | [`saying`], [`spell`] | figures put into the language: packstring's own, and those that a writer's words are changed to |

mod gloss;
mod saying;
mod spell;
mod table;

use super::reader::read_by;
use super::restate::sentence::{self, Tongue};
use super::restate::{restate_in_by, with_capitals_of};
use super::{Agreement, Figure, Held, OwnUnits, Unit, WorkError, Worked, agree, say, say_plain};
use icu_decimal::DecimalFormatter;
use icu_decimal::input::Decimal;
use icu_locale_core::Locale;
use std::collections::{BTreeMap, HashMap};
use std::mem;
use std::ops::Range;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use table::Table;

/// The language that a text is read in. What was read is remembered, so that a text which many pieces print is
/// read once; clones remember together.
#[derive(Clone, Debug, Default)]
pub struct Language {
    /// None in English, the language that the reader is written for.
    lexicon: Option<Arc<Lexicon>>,
    memory: Arc<Memory>,
    /// The units of the program that the texts belong to.
    units: Arc<OwnUnits>,
}

/// The figures of texts that were read: of those that were asked for since the memory was last turned over, and of
/// those before.
#[derive(Debug, Default)]
struct Memory(Mutex<Rounds>);

#[derive(Debug, Default)]
struct Rounds {
    this: HashMap<Arc<str>, Arc<[Figure]>>,
    before: HashMap<Arc<str>, Arc<[Figure]>>,
    /// How many texts of this round were not known.
    anew: usize,
}

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
struct Lexicon {
    table: &'static Table,
    /// Words of the program's own for things that are counted.
    nouns: HashMap<String, String>,
    /// The mark before decimals, by CLDR.
    decimal: char,
    /// The mark between groups of digits, by CLDR.
    grouping: Option<char>,
    locale: Locale,
}

impl Language {
    /// Whether figures are read in the words of a language, by its BCP 47 tag.
    pub fn reads(language: &str) -> bool {
        let primary = language.split('-').next().unwrap_or_default();
        primary.eq_ignore_ascii_case("en") || !Self::of(language, &[]).is_english()
    }

    /// The languages in whose words figures are read, by their tags.
    pub fn all() -> Vec<&'static str> {
        std::iter::once("en").chain(table::tags()).collect()
    }

    /// The language of a BCP 47 tag; English where there is no table. `nouns` are words of the text's own for
    /// things that are counted, each with its English.
    pub fn of(language: &str, nouns: &[(String, String)]) -> Self {
        let primary = language.split('-').next().unwrap_or_default().to_lowercase();
        let locale: Locale = language.parse().unwrap_or(icu_locale_core::locale!("es"));
        let region = locale.id.region.map(|region| region.to_string());
        let Some(table) = Table::of(&primary, region.as_deref()) else { return Self::default() };
        let nouns = nouns.iter().map(|(own, english)| (own.to_lowercase(), english.clone())).collect();
        let decimal = number_mark(&locale, "0.5", 1).unwrap_or('.');
        let grouping = number_mark(&locale, "1234567", 1);
        let lexicon = Some(Arc::new(Lexicon { table, nouns, decimal, grouping, locale }));
        Self { lexicon, memory: Arc::default(), units: Arc::default() }
    }

    /// The same, for texts that know a program's own units.
    #[must_use]
    pub fn with_units(self, units: &OwnUnits) -> Self {
        Self { units: Arc::new(units.clone()), memory: Arc::default(), ..self }
    }

    /// A unit by its name; see [`super::unit`].
    pub fn unit_called(&self, name: &str) -> Option<Unit> {
        let english = super::unit_by(name, &self.units);
        if self.is_english() || english.as_ref().is_some_and(|unit| unit.thing().is_none()) {
            return english;
        }
        // A word that no table of English has, it takes for things that are counted.
        let own = self.read_one(&format!("2 {name}")).ok().map(|figure| figure.quantity.unit);
        own.filter(|unit| !unit.is_none() && unit.thing().is_none()).or(english)
    }

    /// The word in the place of a unit that no table has, where a text is one figure: it is read as things that are
    /// counted.
    pub fn unknown_unit(&self, text: &str) -> Option<String> {
        let figure = self.read_one(text).ok()?;
        figure.quantity.unit.thing().map(str::to_owned)
    }

    /// An expression over facts; see [`Worked::parse`].
    ///
    /// # Errors
    /// What cannot be read, and where it stands.
    pub fn worked(&self, expression: &str) -> Result<Worked, WorkError> {
        Worked::parse_by(expression, &self.units)
    }

    /// Whether it is the language that the reader is written for.
    pub fn is_english(&self) -> bool {
        self.lexicon.is_none()
    }

    /// Every figure of a text, in order.
    pub fn read(&self, text: &str) -> Arc<[Figure]> {
        if let Some(known) = self.memory.of(text) {
            return known;
        }
        let figures: Arc<[Figure]> = match &self.lexicon {
            None => read_by(text, &self.units).into(),
            Some(foreign) => {
                let gloss = foreign.gloss(text);
                let mut figures = read_by(&gloss.text, &self.units);
                figures.iter_mut().for_each(|figure| gloss.lead_back(figure));
                figures.into()
            }
        };
        self.memory.keep(text, &figures);
        figures
    }

    /// Begins a new round: what is not asked for in it is forgotten at the end of it.
    pub fn turn_over(&self) {
        let mut rounds = self.memory.rounds();
        *rounds = Rounds { before: mem::take(&mut rounds.this), ..Rounds::default() };
    }

    /// How many texts are remembered.
    pub fn remembered(&self) -> usize {
        let rounds = self.memory.rounds();
        rounds.this.len() + rounds.before.len()
    }

    /// How many texts were read in this round that were not remembered.
    pub fn read_anew(&self) -> usize {
        self.memory.rounds().anew
    }

    /// The one figure that a text consists of; see [`super::read_one`].
    ///
    /// # Errors
    /// A sentence that says why it is not one figure.
    pub fn read_one(&self, text: &str) -> Result<Figure, String> {
        let Some(foreign) = &self.lexicon else { return self.read_one_in_english(text) };
        let gloss = foreign.gloss(text);
        let mut figure = self.read_one_in_english(&gloss.text)?;
        gloss.lead_back(&mut figure);
        Ok(figure)
    }

    /// The same of what is in packstring's English, whatever the language: values of a facts file, and what packstring
    /// says itself.
    ///
    /// # Errors
    /// A sentence that says why it is not one figure.
    pub fn read_one_in_english(&self, text: &str) -> Result<Figure, String> {
        super::read_one_by(text, &self.units)
    }

    /// The first English word for a unit or for a thing that is counted, in a text of another language.
    pub fn english_word<'t>(&self, text: &'t str) -> Option<&'t str> {
        let foreign = self.lexicon.as_ref()?;
        text.split(|letter: char| !letter.is_alphabetic()).find(|word| {
            let word = word.to_lowercase();
            foreign.table.english.contains(&word) && !foreign.nouns.contains_key(&word)
        })
    }

    /// What a page's script needs to put an answer into the reader's words; `None` where it is in them.
    pub fn phrasebook(&self) -> Option<Phrasebook<'_>> {
        let foreign = self.lexicon.as_ref()?;
        let rows = foreign.table.reads.iter().map(|(own, row)| (own.as_str(), row.english.as_str()));
        let nouns = foreign.nouns.iter().map(|(own, english)| (own.as_str(), english.as_str()));
        Some(Phrasebook { decimal: foreign.decimal, phrases: rows.chain(nouns).collect() })
    }

    /// Words in a text written anew so that the figure in them says what is held; see [`super::restate_in`].
    ///
    /// # Errors
    /// A sentence that says why it cannot be done by rule.
    pub fn restate_in(&self, text: &str, words: &Range<usize>, held: &Held) -> Result<String, String> {
        let foreign = match &self.lexicon {
            None => return restate_in_by(text, words, held, &self.units),
            Some(foreign) => foreign,
        };
        let now = foreign.restate_in(text, words, held, &self.units)?;
        Ok(with_capitals_of(&text[words.clone()], now))
    }

    /// Why the sentence has to be read again in which some words were written anew: what stands around them may have
    /// to change with them.
    pub fn to_reread(&self, text: &str, words: &Range<usize>, now: &str) -> Option<&'static str> {
        let whole = format!("{}{now}{}", &text[..words.start], &text[words.end..]);
        let there = words.start..words.start + now.len();
        let within = |figures: &[Figure], at: &Range<usize>| {
            figures.iter().find(|figure| figure.span.start < at.end && at.start < figure.span.end).cloned()
        };
        // "An hour passes": what is a figure by itself alone
        let alone = |text: &str, at: &Range<usize>| {
            Some(self.read(&text[at.clone()]).first()?.clone().further_on(at.start))
        };
        let was = within(&self.read(text), words).or_else(|| alone(text, words))?;
        let is = within(&self.read(&whole), &there).or_else(|| alone(&whole, &there))?;
        let tongue = match &self.lexicon {
            None => Tongue::English,
            Some(foreign) if foreign.is_french() => Tongue::French,
            Some(_) => Tongue::Spanish,
        };
        sentence::to_reread(tongue, (text, words, &was), (&whole, &there, &is))
    }

    /// Whether a text states figures and each agrees with a held quantity.
    pub fn states_only(&self, text: &str, held: &Held) -> bool {
        let figures = self.read(text);
        !figures.is_empty() && figures.iter().all(|figure| agree(figure, held) == Agreement::Agrees)
    }

    /// A held quantity for print; see [`super::say`].
    ///
    /// # Errors
    /// A sentence, where the unit does not fit.
    pub fn say(&self, held: &Held, unit: Option<&Unit>) -> Result<String, String> {
        Ok(self.put(&say(held, unit)?))
    }

    /// A held quantity for print, without the words that say which way it binds; see [`super::say_plain`].
    ///
    /// # Errors
    /// A sentence, where the unit does not fit.
    pub fn say_plain(&self, held: &Held, unit: Option<&Unit>) -> Result<String, String> {
        Ok(self.put(&say_plain(held, unit)?))
    }

    /// A unit by itself, of more than one: `ft` stays in English and is `pies` in Spanish.
    pub fn unit(&self, english: &str) -> String {
        let two = self.read_one_in_english(&format!("2 {english}"));
        let said = two
            .ok()
            .filter(|_| !self.is_english())
            .and_then(|two| self.say(&Held::stated(&two, None), None).ok());
        let unit = said.and_then(|said| said.strip_prefix("2").map(|unit| unit.trim_start().to_owned()));
        unit.unwrap_or_else(|| english.to_owned())
    }

    /// A thing that is counted, in the words of the language: `horse` is `caballo` in Spanish.
    pub fn thing(&self, english: &str) -> String {
        let said = if self.is_english() { String::new() } else { self.put(&format!("1 {english}")) };
        said.strip_prefix('1').map_or_else(|| english.to_owned(), |thing| thing.trim_start().to_owned())
    }

    /// A figure in packstring's English put into the language: `about 1.5 gallons a day` → `alrededor de 1,5
    /// galones al día`.
    pub fn put(&self, english: &str) -> String {
        match &self.lexicon {
            None => english.to_owned(),
            Some(foreign) => foreign.put(english),
        }
    }
}

impl Memory {
    fn rounds(&self) -> MutexGuard<'_, Rounds> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn of(&self, text: &str) -> Option<Arc<[Figure]>> {
        let mut rounds = self.rounds();
        if let Some(known) = rounds.this.get(text) {
            return Some(known.clone());
        }
        let (text, known) = rounds.before.remove_entry(text)?;
        rounds.this.insert(text, known.clone());
        Some(known)
    }

    fn keep(&self, text: &str, figures: &Arc<[Figure]>) {
        let mut rounds = self.rounds();
        rounds.anew += 1;
        rounds.this.insert(text.into(), figures.clone());
    }
}

/// The letter at a place of a number as it is written where a language is.
fn number_mark(locale: &Locale, number: &str, place: usize) -> Option<char> {
    let formatter = DecimalFormatter::try_new(locale.into(), Default::default());
    let number: Option<Decimal> = number.parse().ok();
    let written = formatter.ok().zip(number).map(|(formatter, number)| formatter.format(&number).to_string());
    written.and_then(|text| text.chars().nth(place))
}

#[cfg(test)]
mod tests;

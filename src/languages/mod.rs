//! What packstring knows of a language: one folder a language, whose tables are data.
//!
//! | file | holds |
//! | --- | --- |
//! | `TAG/words.toml` | a [`Vocabulary`]: small words of answers, plurals, usual headings, words of cells, cues |
//! | `TAG/figures.csv` | the words of figures with the reader's English for them, which [`crate::quantity`] reads |
//! | `elsewhere.toml` | headings and cells of people files in languages that have no folder |
//! | `en/syllables.csv` | words whose syllables no rule of spelling tells; [`crate::readability`] counts English alone |
//!
//! Headings, cells and cues are known in every language at once, whatever a program is in: a form in Spanish goes to
//! people of an English program too, and each such word stands alone. Words that mean something only beside others
//! (those of an answer, of a sentence) are those of the language that the text is in, and of no other: `hay` is a
//! filler in Spanish and food in English.
//!
//! What packstring prints in a language is the theme's ([`crate::words`]).

mod plurals;

use plurals::Plurals;
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};
use std::sync::LazyLock;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Every language that has a folder, English first: its words win where two languages claim one.
static ALL: LazyLock<Vec<Vocabulary>> = LazyLock::new(|| {
    [
        ("en", include_str!("en/words.toml")),
        ("es", include_str!("es/words.toml")),
        ("fr", include_str!("fr/words.toml")),
    ]
    .into_iter()
    .map(|(tag, words)| Vocabulary::read(tag, words))
    .collect()
});

/// Languages that have no folder, of which packstring knows some headings and cells of people files.
static ELSEWHERE: LazyLock<Vec<Vocabulary>> = LazyLock::new(|| {
    let read: BTreeMap<String, Vocabulary> = toml::from_str(include_str!("elsewhere.toml"))
        .unwrap_or_else(|error| panic!("elsewhere.toml: {error}"));
    read.into_values().collect()
});

/// Of a language that has no folder.
static NONE: LazyLock<Vocabulary> = LazyLock::new(Vocabulary::default);

/// The words of a language. What a table leaves out, the language has no words for.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct Vocabulary {
    #[serde(skip)]
    pub tag: &'static str,
    /// What people call the language.
    called: Vec<String>,
    pub answers: AnswerWords,
    pub plurals: Plurals,
    pub headings: Headings,
    pub cells: CellWords,
    pub names: NameWords,
    pub decisions: DecisionWords,
    #[serde(default)]
    pub limits: LimitWords,
    #[serde(default)]
    pub reads: ReadWords,
    /// The word that starts a cue, by packstring's own word for it.
    pub cues: BTreeMap<String, String>,
    pub handed_out: HandedOut,
    #[serde(default)]
    pub index: IndexWords,
    pub beside_figures: BesideFigures,
    pub particulars: ParticularWords,
    /// Their full stop ends no sentence.
    pub abbreviations: Vec<String>,
}

/// How an answer is read. All without accents.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct AnswerWords {
    /// Words that join or point, and say nothing of their own.
    pub bare: Vec<String>,
    /// Words that people put around an answer without changing it.
    pub harmless: Vec<String>,
    /// Words that turn round what they stand with.
    pub turning: Vec<String>,
    /// Beginnings that turn a word round.
    pub opposites: Vec<String>,
    /// What joins two choices, or two things that are named.
    pub and: Vec<String>,
    /// What else stands between two things that are named.
    pub between: Vec<String>,
}

/// Usual headings of people files.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct Headings {
    /// What a form puts before what it asks for.
    pub asking: Vec<String>,
    pub given_name: Vec<String>,
    pub family_name: Vec<String>,
    /// A second family name, which stands behind the first.
    pub second_family_name: Vec<String>,
    /// What by itself is the whole name, and beside a column of the family name the given one; and the other way round.
    pub given_beside_family: Vec<String>,
    pub family_beside_given: Vec<String>,
    /// Words of headings that say whether somebody came, passed, or is out after all.
    pub came: Vec<String>,
    pub passing: Vec<String>,
    pub gone: Vec<String>,
    /// Of how far somebody's registration is; only a plain word of theirs, such as "cancelled", says that one is out.
    pub status: Vec<String>,
    /// That hours of service count.
    pub approval: Vec<String>,
    /// Before the number of a day: "day 2".
    pub day: Vec<String>,
    /// What stands beside these without changing what a heading asks.
    pub small: Vec<String>,
    /// What has a heading ask for something else: "attended before".
    pub other: Vec<String>,
    /// Before the number of a question.
    pub question: Vec<String>,
    /// The version of a question sheet.
    pub version: Vec<String>,
    /// By packstring's own word for the column, the surest first.
    pub roster: BTreeMap<String, Vec<String>>,
    pub hours: BTreeMap<String, Vec<String>>,
    /// Those of `scores.csv`. The first is written; all are read.
    pub scores: BTreeMap<String, Vec<String>>,
    pub people: PeopleHeadings,
}

/// Words that headings of further people, and of other names, are made of. All as headings are compared.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct PeopleHeadings {
    /// Headings of people who come along, as they stand: "plus one", "family members".
    pub all_of_them: Vec<String>,
    /// A name as such.
    pub name: Vec<String>,
    /// What joins a name to whose it is.
    pub joints: Vec<String>,
    /// Words that say nothing but whose name is meant: "Name of the second participant".
    pub of_names: Vec<String>,
    /// What makes it a further person, besides a number from 2.
    pub further: Vec<String>,
    /// Words for people who come along, which need no other word beside them.
    pub along: Vec<String>,
    /// Several people who come together.
    pub groups: Vec<String>,
    /// What asks for how many.
    pub counting: Vec<String>,
    /// Another name of the same person: "Preferred name".
    pub otherwise: Vec<String>,
    /// The same in one word.
    pub nicknames: Vec<String>,
    /// Whole headings of what stands between, before and behind the parts of a name.
    pub middle_name: Vec<String>,
    pub before_name: Vec<String>,
    pub suffix: Vec<String>,
    /// "Day 2", of an event of several days.
    pub day: Vec<String>,
    /// What may stand before it.
    pub on: Vec<String>,
}

/// What a cell says.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct CellWords {
    pub yes: Vec<String>,
    pub no: Vec<String>,
    /// What says of somebody, by itself or with more behind it, that they are out: "absent", "cancelled".
    pub denying: Vec<String>,
    /// What denies where the heading asks for nothing else, with more behind it: "did not come".
    pub bare_no: Vec<String>,
    /// That there is none: no companion, no guest.
    pub nobody: Vec<String>,
    /// Where a name is not known yet.
    pub later: Vec<String>,
    /// What lists have in the place of somebody's name.
    pub stand_in: Vec<String>,
    /// With which the last line of a list begins.
    pub sum: Vec<String>,
    /// Units of time.
    pub hours: Vec<String>,
    pub minutes: Vec<String>,
}

/// What stands in names and is none.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct NameWords {
    /// Between two people.
    pub between: Vec<String>,
    /// Before a name, in small letters without the full stop: what nobody is called.
    pub titles: Vec<String>,
    /// Of people who are not named one by one.
    pub party: Vec<String>,
    /// Before a name or a word that is all of them: "the", "la".
    pub articles: Vec<String>,
    /// In brackets behind a name: what it was before.
    pub born: Vec<String>,
}

/// What the ranger writes beside an answer.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct DecisionWords {
    pub right: Vec<String>,
    pub wrong: Vec<String>,
}

/// How a fact's `limit` may be written, besides packstring's own words.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct LimitWords {
    pub at_most: Vec<String>,
    pub at_least: Vec<String>,
    pub about: Vec<String>,
    pub exactly: Vec<String>,
}

/// How a fact's `read` may be written, besides packstring's own words.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct ReadWords {
    pub at_the_source: Vec<String>,
    /// Before the name of who quotes it.
    pub as_quoted_by: Vec<String>,
    pub from_memory: Vec<String>,
}

/// By which words around it a word shows that it names a thing, and earns an entry in an index. All without accents.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct IndexWords {
    /// Before a thing: "the", "your", "without".
    pub naming: Vec<String>,
    /// What a thing that begins a sentence does: "is", "can".
    pub being: Vec<String>,
    /// Other words that say nothing of their own. None of these begins or ends the name of a thing.
    pub small: Vec<String>,
}

/// How a bare number tells for whom it is.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct HandedOut {
    /// With the one who gets it after them: "for each child".
    pub for_each: Vec<String>,
    /// By themselves: "two apiece".
    pub each: Vec<String>,
}

/// Words that may stand with a figure without saying more than it does.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct BesideFigures {
    /// Articles, prepositions, words of extent.
    pub neutral: Vec<String>,
    /// Words that say how many times what follows them is meant.
    pub multiplies: Vec<String>,
    /// What may stand between such a word and its figure.
    pub of_what: Vec<String>,
    /// Words for spans of time, by packstring's own: those by which a sentence says what a rate is per.
    pub spans: BTreeMap<String, Vec<String>>,
    /// What makes another figure of the one that it stands right beside.
    pub changes: Changes,
}

/// What makes another figure of the one that it stands right beside.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct Changes {
    pub behind: Vec<String>,
}

/// How days, clock times, ratios and addresses are written.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct ParticularWords {
    /// As they stand in a date, in capitals where the language writes them so.
    pub months: Vec<String>,
    pub months_short: Vec<String>,
    /// From Monday.
    pub weekdays: Vec<String>,
    pub weekdays_short: Vec<String>,
    /// Behind a day of the month, by its number or its last digit; `other`: behind all others.
    pub ordinals: BTreeMap<String, String>,
    /// Days of the month in words, from the first.
    pub ordinal_numbers: Vec<String>,
    /// Between a day and its month, and before a year.
    pub of: Vec<String>,
    /// Whether the month comes first where a day is all in digits.
    pub month_first: bool,
    /// A day without its year, in braces: `{month} {day}`; `{nth}` is the day with what stands behind its number.
    pub day: String,
    pub date: String,
    /// From one day or clock time to another.
    pub through: Vec<String>,
    /// The halves of the day, of each the usual writing first.
    pub halves: Vec<Vec<String>>,
    /// Of these, what begins again at midnight: "12 at night".
    pub night: Vec<String>,
    /// Behind the hour of a day that has 24 of them: "22 h".
    pub hours: Vec<String>,
    /// Whether clock times are said so.
    pub says_hours: bool,
    pub oclock: Vec<String>,
    pub noon: Vec<String>,
    pub midnight: Vec<String>,
    /// "1 part to 4 parts".
    pub parts: Vec<String>,
    /// One part to so many others.
    pub to: Vec<String>,
    /// One of so many in all.
    pub of_all: Vec<String>,
    /// Small numbers, from zero; of each the usual one first, with `|` between them.
    pub numbers: Vec<String>,
    /// Words of addresses, of each the whole word first.
    pub streets: Vec<Vec<String>>,
    /// Before a day that is a term, and not the day of what is named with it.
    pub terms: Vec<String>,
    /// What may stand between the name of an event and its clock time.
    pub starts: Vec<String>,
}

impl Vocabulary {
    fn read(tag: &'static str, words: &str) -> Self {
        let mut read: Self =
            toml::from_str(words).unwrap_or_else(|error| panic!("{tag}/words.toml: {error}"));
        read.headings
            .compared()
            .for_each(|words| words.iter_mut().for_each(|word| *word = without_accents(word)));
        Self { tag, ..read }
    }
}

impl Headings {
    /// The lists that headings are compared with, which is done without accents: people leave them out.
    fn compared(&mut self) -> impl Iterator<Item = &mut Vec<String>> {
        let Self {
            asking: _,
            given_name,
            family_name,
            question,
            version,
            roster,
            hours,
            scores: _,
            people,
            ..
        } = self;
        let PeopleHeadings {
            name,
            joints,
            of_names,
            further,
            along,
            groups,
            counting,
            otherwise,
            nicknames,
            middle_name,
            before_name,
            suffix,
            day,
            on,
            all_of_them,
        } = people;
        let people = [
            name,
            joints,
            of_names,
            further,
            along,
            groups,
            counting,
            otherwise,
            nicknames,
            middle_name,
            before_name,
            suffix,
            day,
            on,
            all_of_them,
        ];
        [given_name, family_name, question, version]
            .into_iter()
            .chain(roster.values_mut())
            .chain(hours.values_mut())
            .chain(people)
    }
}

/// Letters of the Latin alphabet without their accents: `Correo electrónico` → `Correo electronico`. Marks of other
/// scripts stay, for there they make another word.
pub fn without_accents(text: &str) -> String {
    if text.is_ascii() {
        return text.to_owned();
    }
    let mut kept = String::with_capacity(text.len());
    for letter in text.nfd() {
        let is_accent = is_combining_mark(letter) && kept.ends_with(|base: char| base.is_ascii_alphabetic());
        if !is_accent {
            kept.push(letter);
        }
    }
    kept.nfc().collect()
}

/// Every language that has a folder, English first.
pub fn all() -> &'static [Vocabulary] {
    &ALL
}

/// The language of a BCP 47 tag, where it has a folder.
pub fn of(tag: &str) -> Option<&'static Vocabulary> {
    let primary = tag.split('-').next().unwrap_or_default();
    all().iter().find(|language| primary.eq_ignore_ascii_case(language.tag))
}

/// The same; no words at all where it has none, so that no text is read by words of another language.
pub fn of_or_none(tag: &str) -> &'static Vocabulary {
    of(tag).unwrap_or(&NONE)
}

/// The same; English where it has none, as figures are read.
pub fn of_or_english(tag: &str) -> &'static Vocabulary {
    of(tag).unwrap_or(&all()[0])
}

/// The tag of a language by what people call it.
pub fn called(name: &str) -> Option<&'static str> {
    let name = name.to_lowercase();
    all().iter().find(|language| language.called.contains(&name)).map(|language| language.tag)
}

/// English words whose syllables no rule of spelling tells.
pub fn syllables() -> &'static HashMap<String, usize> {
    static ODD: LazyLock<HashMap<String, usize>> = LazyLock::new(|| {
        let mut rows = csv::Reader::from_reader(include_str!("en/syllables.csv").as_bytes());
        rows.deserialize().map(|row| row.expect("the table is checked by a test")).collect()
    });
    &ODD
}

/// Words of every language, English first.
pub fn in_all(
    words: impl Fn(&'static Vocabulary) -> &'static [String],
) -> impl Iterator<Item = &'static str> {
    all().iter().flat_map(words).map(String::as_str)
}

/// Words of every language, also of those that have no folder: those of headings and cells of people files.
pub fn everywhere() -> impl Iterator<Item = &'static Vocabulary> {
    all().iter().chain(ELSEWHERE.iter())
}

/// The same, as [`fold`] compares them.
pub fn folded_words(
    words: impl Fn(&'static Vocabulary) -> &'static [String],
) -> impl Iterator<Item = String> {
    everywhere().flat_map(words).map(|word| fold(word))
}

/// Words without accents and capitals, as people compare them; [`without_accents`] keeps the capitals.
pub fn fold(words: &str) -> String {
    if words.is_ascii() {
        return words.to_ascii_lowercase();
    }
    words.nfkd().filter(|letter| !is_combining_mark(*letter)).flat_map(char::to_lowercase).collect()
}

/// Whether a word is one of a list.
pub fn has(words: &[String], word: &str) -> bool {
    words.iter().any(|known| known == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_of_latin_letters_are_folded_and_marks_of_other_scripts_are_not() {
        assert_eq!(without_accents("Correo electrónico, Año"), "Correo electronico, Ano");
        assert_eq!(without_accents("e\u{301}te\u{301}"), "ete");
        for same in ["कि का", "が", "ой", "שָׁלוֹם"] {
            assert_eq!(without_accents(same), same.nfc().collect::<String>());
        }
    }

    #[test]
    fn every_folder_is_named_and_each_language_is_found_by_its_tag() {
        let folders = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/src/languages")).unwrap();
        let folders = folders.map(Result::unwrap).filter(|entry| entry.path().is_dir());
        let mut folders: Vec<String> =
            folders.map(|entry| entry.file_name().into_string().unwrap()).collect();
        folders.sort();
        assert_eq!(folders, all().iter().map(|language| language.tag).collect::<Vec<_>>());
        assert_eq!(of("es-419").unwrap().tag, "es");
        assert!(of("de").is_none() && of_or_english("de").tag == "en" && of_or_none("de").tag.is_empty());
        assert_eq!(called("Español"), Some("es"));
    }

    #[test]
    fn words_of_answers_are_written_as_they_are_compared() {
        for language in all() {
            let AnswerWords { bare, harmless, turning, opposites, and, between } = &language.answers;
            for word in [bare, harmless, turning, opposites, and, between].into_iter().flatten() {
                let folded: String = word.nfkd().filter(|letter| !is_combining_mark(*letter)).collect();
                assert_eq!(*word, folded.to_lowercase(), "{}", language.tag);
                assert!(word.chars().all(char::is_alphabetic), "{}: {word}", language.tag);
            }
            let both: Vec<_> =
                turning.iter().filter(|word| bare.contains(word) || harmless.contains(word)).collect();
            assert!(both.is_empty(), "{}: harmless and turning: {both:?}", language.tag);
        }
    }
}

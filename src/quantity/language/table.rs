//! A language's phrases with the reader's English for them, from the CSV file of the language in `src/languages/`.

use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

/// A language's phrases. Built once from its file.
#[derive(Debug)]
pub(super) struct Table {
    /// By the words of the phrase, in lower case.
    pub reads: HashMap<String, Row>,
    /// The first phrase of the language for an English one.
    pub says: HashMap<String, String>,
    /// Words in the longest phrase, in both directions.
    pub longest: usize,
    /// Words that lead from a comparative or a verb over to a number: `de`, `que`.
    pub links: HashSet<String>,
    /// Articles that stand before a number and say nothing there.
    pub articles: HashSet<String>,
    /// English words for units and for things that are counted, which are none of the language's own.
    pub english: HashSet<String>,
}

#[derive(Clone, Debug)]
pub(super) struct Row {
    pub kind: Kind,
    pub english: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
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
    /// A unit of measure: an article before it is the number one.
    Unit,
    /// A comparative, which English parts from a number by "than" and others by words of their own: `más larga de
    /// los seis pies`.
    Comparative,
    /// What leads past a number, with or without such words: `no rebase los seis pies`.
    Passing,
    Other,
}

impl Kind {
    /// Whether it is of numbers alone.
    pub fn is_number(self) -> bool {
        matches!(self, Self::One | Self::Ten | Self::Number | Self::Thousand)
    }
}

/// A language that has a table.
struct Source {
    tag: &'static str,
    /// The region that is meant where none is named, by CLDR's likely subtags.
    home: &'static str,
    file: &'static str,
}

const SOURCES: [Source; 2] = [
    Source { tag: "es", home: "ES", file: include_str!("../../languages/es/figures.csv") },
    Source { tag: "fr", home: "FR", file: include_str!("../../languages/fr/figures.csv") },
];

/// The languages that have a table.
pub(super) fn tags() -> impl Iterator<Item = &'static str> {
    SOURCES.iter().map(|source| source.tag)
}

/// Each table by its language, and whether it is that of the language's home.
static TABLES: LazyLock<HashMap<(&str, bool), Table>> = LazyLock::new(|| {
    let both = SOURCES.iter().flat_map(|source| [(source, true), (source, false)]);
    both.map(|(source, at_home)| ((source.tag, at_home), Table::read(source.file, at_home))).collect()
});

impl Table {
    /// The table of a language, as it is spoken in a region; `None` where it has none.
    pub fn of(language: &str, region: Option<&str>) -> Option<&'static Self> {
        let source = SOURCES.iter().find(|source| source.tag == language)?;
        TABLES.get(&(source.tag, region.is_none_or(|region| region == source.home)))
    }

    /// A row of `home` stands before the others and holds only there: a plain ton is a metric one in Spain (CLDR:
    /// `es` against `es-419`).
    fn read(file: &str, at_home: bool) -> Self {
        let mut table = Self {
            reads: HashMap::new(),
            says: HashMap::new(),
            longest: 1,
            links: HashSet::new(),
            articles: HashSet::new(),
            english: HashSet::new(),
        };
        for record in csv::Reader::from_reader(file.as_bytes()).records() {
            let record = record.expect("the table is checked by a test");
            if &record[0] == "home" && !at_home {
                continue;
            }
            match &record[0] {
                "link" => {
                    table.links.insert(record[1].to_owned());
                    continue;
                }
                "article" => {
                    table.articles.insert(record[1].to_owned());
                    continue;
                }
                _ => {}
            }
            let kind = match &record[0] {
                "one" => Kind::One,
                "ten" => Kind::Ten,
                "number" | "heard-number" => Kind::Number,
                "unit" => Kind::Unit,
                "thousand" => Kind::Thousand,
                "noun" => Kind::Noun,
                "comparative" => Kind::Comparative,
                "passing" => Kind::Passing,
                _ => Kind::Other,
            };
            let (own, english) = (record[1].to_lowercase(), record[2].to_owned());
            if matches!(kind, Kind::Unit | Kind::Noun) && english.len() > 2 && !english.contains(' ') {
                table.english.insert(english.clone());
            }
            let words = |text: &str| text.split([' ', '-', '\'']).count();
            table.longest = table.longest.max(words(&own)).max(words(&english));
            // what is heard is never said
            if !record[0].starts_with("heard") {
                table.says.entry(english.clone()).or_insert_with(|| record[1].to_owned());
            }
            table.reads.entry(own).or_insert(Row { kind, english });
        }
        let own: HashSet<&str> = table.reads.keys().flat_map(|phrase| phrase.split(' ')).collect();
        table.english.retain(|word| !own.contains(word.as_str()));
        table
    }
}

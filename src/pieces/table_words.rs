//! The words of tables for spreadsheets, in the program's language: names of sheets, headings, and what cells say.
//!
//! They are the theme's (`tables` of its words). Only `scores.csv` has headings of packstring's own, for it is read
//! back ([`crate::program::decisions`]).

use super::Selection;
use crate::job::{Cell, Table};
use crate::understand::Understood;
use crate::words::filled_in;
use serde_json::Value;
use std::sync::Arc;

pub(super) struct TableWords(Arc<Value>);

impl TableWords {
    pub fn of(understood: &Understood, selection: &Selection) -> Self {
        Self(selection.words.of(&understood.content.settings.language))
    }

    /// An empty table, by the keys of its sheet and of its headings.
    pub fn table(&self, sheet: &str, headings: &[&str]) -> Table {
        self.headed("headings", sheet, headings)
    }

    /// The same for lists that other programs take in, whose headings are in lower case.
    pub fn of_mail(&self, sheet: &str, headings: &[&str]) -> Table {
        self.headed("mail", sheet, headings)
    }

    fn headed(&self, group: &str, sheet: &str, headings: &[&str]) -> Table {
        let headings: Vec<&str> = headings.iter().map(|key| self.word(group, key)).collect();
        Table::new(self.word("sheets", sheet), &headings)
    }

    pub fn sheet(&self, key: &str) -> String {
        self.word("sheets", key).to_owned()
    }

    pub fn heading(&self, key: &str) -> String {
        self.word("headings", key).to_owned()
    }

    pub fn headings(&self, keys: &[&str]) -> Vec<String> {
        keys.iter().map(|key| self.heading(key)).collect()
    }

    /// What a cell says.
    pub fn says<'k>(&'k self, key: &'k str) -> &'k str {
        self.word("cells", key)
    }

    pub fn cell(&self, key: &str) -> Cell {
        Cell::Text(self.says(key).to_owned())
    }

    /// The same with numbers in its braces.
    pub fn counted(&self, key: &str, numbers: &[(&str, u32)]) -> Cell {
        let numbers: Vec<(&str, String)> =
            numbers.iter().map(|(name, number)| (*name, number.to_string())).collect();
        let number = |name: &str| numbers.iter().find(|(known, _)| *known == name).map(|(_, it)| it.as_str());
        Cell::Text(filled_in(self.says(key), number))
    }

    pub fn yes(&self, yes: bool) -> Cell {
        self.cell(if yes { "yes" } else { "no" })
    }

    /// All words, for what is said in sentences.
    pub fn all(&self) -> &Value {
        &self.0
    }

    fn word<'k>(&'k self, group: &str, key: &'k str) -> &'k str {
        self.0["tables"][group][key].as_str().unwrap_or(key)
    }
}

#[cfg(test)]
mod tests {
    use crate::languages;
    use crate::program::decisions::{Word, headings};
    use crate::program::roster::columns::usual;
    use crate::words::Words;

    /// Lists of people come back: as next season's roster, or with a name that the front desk put right.
    #[test]
    fn lists_of_people_can_be_read_in_the_language_in_which_they_are_written() {
        for language in languages::all() {
            let words = Words::default().of(language.tag);
            for key in ["event", "name", "email", "companion", "attended", "passed", "size"] {
                let heading = words["tables"]["headings"][key].as_str().unwrap();
                assert_eq!(
                    usual(heading).map(|field| field.word()),
                    Some(key),
                    "{}: {heading}",
                    language.tag
                );
            }
            for (key, group) in [("country", "mail"), ("postcode", "mail"), ("language", "mail")] {
                let heading = words["tables"][group][key].as_str().unwrap();
                assert_eq!(
                    usual(heading).map(|field| field.word()),
                    Some(key),
                    "{}: {heading}",
                    language.tag
                );
            }
            for key in ["date", "activity", "hours"] {
                let heading = words["tables"]["headings"][key].as_str().unwrap().to_lowercase();
                let folded = languages::without_accents(&heading);
                let own = key == heading || languages::has(&language.headings.hours[key], &folded);
                assert!(own, "{}: {heading}", language.tag);
            }
            let says = |key: &str| words["tables"]["cells"][key].as_str().unwrap().to_owned();
            assert!(languages::has(&language.cells.yes, &says("yes")), "{}", language.tag);
            assert!(languages::has(&language.cells.no, &says("no")), "{}", language.tag);
        }
    }

    /// What the sheet asks the ranger to write into the table is read there.
    #[test]
    fn the_words_of_decisions_are_those_that_are_read() {
        for language in languages::all() {
            let words = Words::default().of(language.tag);
            let lead = words["scoring-sheet"]["lead"].as_str().unwrap();
            let headings = headings(language.tag);
            assert!(lead.contains(&headings[7]), "{}: {lead}", language.tag);
            for (key, word) in [("right", Word::Right), ("wrong", Word::Wrong)] {
                for table in ["tables.cells", "scoring-sheet", "scoring-sheet.verdicts"] {
                    let said =
                        table.split('.').fold(&*words, |words, part| &words[part])[key].as_str().unwrap();
                    assert_eq!(Word::read(said), word, "{}: {table}: {said}", language.tag);
                }
                let asked = words["scoring-sheet"][key].as_str().unwrap();
                assert!(lead.contains(asked), "{}: {asked} in {lead}", language.tag);
            }
        }
    }
}

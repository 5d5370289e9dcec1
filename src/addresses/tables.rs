//! The tables of countries, states, provinces, street suffixes and units.
//!
//! Data files beside this one. Suffixes and units: USPS Publication 28, appendices C1 and C2, from
//! memory; states: appendix B. The column `zip` of the states holds the figures that their ZIP Codes
//! begin with (from memory). Names of countries are those of USPS; the order of lines (`form`: T town,
//! S state or province, P postcode, `|` between lines) and the form of postcodes (`9` a digit, `A` a
//! letter, `*` either) follow the addressing guides of the Universal Postal Union, from memory. An
//! empty form of postcodes is not checked. `names.csv` has their usual short names in other languages, from memory.

use super::letters::machine;
use crate::nearest::nearest;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A country, as mail to it needs it.
#[derive(Debug, PartialEq, Eq, Deserialize)]
pub struct Country {
    /// ISO 3166-1 alpha-2.
    pub code: String,
    /// In English.
    pub name: String,
    /// The lines below the street.
    pub(super) form: String,
    postcode: String,
    also: String,
    /// By the tag of a language: its name there.
    #[serde(skip)]
    names: BTreeMap<String, String>,
}

/// A state of the United States, a territory, or a region of the armed forces.
#[derive(Debug, Deserialize)]
pub(super) struct State {
    pub name: String,
    #[serde(rename = "abbreviation")]
    pub code: String,
    kind: String,
    zip: String,
    also: String,
}

/// A word of the delivery line and its abbreviation.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Short {
    name: String,
    pub abbreviation: String,
    /// Of a unit: whether a number follows it.
    #[serde(default)]
    numbered: String,
    also: String,
}

#[derive(Deserialize)]
struct Province {
    country: String,
    code: String,
    name: String,
    also: String,
}

/// Names in capitals, and what they stand for.
type Names<T> = BTreeMap<String, T>;

struct Tables {
    countries: Vec<Country>,
    country_names: Names<usize>,
    states: Vec<State>,
    state_names: Names<usize>,
    /// By country.
    provinces: BTreeMap<String, Names<String>>,
    suffixes: Names<Short>,
    units: Names<Short>,
}

impl Country {
    /// By its two letters or one of its names, in any case and with or without accents.
    pub fn find(name: &str) -> Option<&'static Self> {
        let tables = tables();
        tables.country_names.get(&machine(name)).map(|at| &tables.countries[*at])
    }

    /// The name that a mistyped one most likely means.
    pub fn nearest(name: &str) -> Option<&'static str> {
        let names =
            |country: &'static Self| std::iter::once(country.name.as_str()).chain(parts(&country.also, '|'));
        nearest(name, tables().countries.iter().flat_map(names))
    }

    /// Where the mail is posted if nothing else is said.
    pub fn united_states() -> &'static Self {
        Self::find("US").expect("the table has the United States")
    }

    /// Its name in a language, for lists that stay at home; in English where that is not known. What is posted has the
    /// English name.
    pub fn named(&self, language: &str) -> &str {
        let base = language.split('-').next().unwrap_or_default();
        self.names.get(base).unwrap_or(&self.name)
    }

    /// The letters of a province, where the country's mail wants them.
    pub(super) fn province(&self, name: &str) -> Option<&'static str> {
        tables().provinces.get(&self.code)?.get(&machine(name)).map(String::as_str)
    }

    /// Whether the country's mail wants one of the provinces in the table.
    pub(super) fn wants_province(&self) -> bool {
        tables().provinces.contains_key(&self.code)
    }

    /// The forms that its postcodes may have; none where they are not checked.
    pub(super) fn postcodes(&self) -> impl Iterator<Item = &str> {
        parts(&self.postcode, '/')
    }
}

impl State {
    /// By its two letters or one of its names.
    pub fn find(name: &str) -> Option<&'static Self> {
        let tables = tables();
        tables.state_names.get(&machine(name)).map(|at| &tables.states[*at])
    }

    pub fn nearest(name: &str) -> Option<&'static str> {
        let name = name.trim();
        // Of two letters each is as near as the next.
        let long = name.chars().count() > 3;
        nearest(name, tables().states.iter().map(|state| state.name.as_str())).filter(|_| long)
    }

    pub fn is_military(&self) -> bool {
        self.kind == "military"
    }

    /// Whether a ZIP Code can be one of the state's, by the figures that it begins with.
    pub fn has_zip(&self, zip: &str) -> bool {
        parts(&self.zip, ' ').any(|start| zip.starts_with(start))
    }

    /// Whether all its ZIP Codes begin with a zero.
    pub fn begins_with_zero(&self) -> bool {
        parts(&self.zip, ' ').all(|start| start.starts_with('0'))
    }
}

impl Short {
    /// Of a unit: whether a number follows it.
    pub fn is_numbered(&self) -> bool {
        self.numbered == "yes"
    }
}

/// A street suffix by any of its spellings, given in capitals.
pub(super) fn suffix(word: &str) -> Option<&'static Short> {
    tables().suffixes.get(word)
}

/// A word for a part of a building by any of its spellings, given in capitals.
pub(super) fn unit(word: &str) -> Option<&'static Short> {
    tables().units.get(word)
}

fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| {
        let countries = countries();
        let states: Vec<State> = rows(include_str!("states.csv"));
        Tables {
            country_names: country_names(&countries),
            countries,
            state_names: names(states.iter().map(|it| [&it.code, &it.name, &it.also])),
            states,
            provinces: provinces(),
            suffixes: shorts(include_str!("suffixes.csv")),
            units: shorts(include_str!("units.csv")),
        }
    })
}

/// The countries, with their names in other languages.
fn countries() -> Vec<Country> {
    let mut of_code: BTreeMap<String, BTreeMap<String, String>> = BTreeMap::new();
    for mut row in rows::<BTreeMap<String, String>>(include_str!("names.csv")) {
        let code = row.remove("code").unwrap_or_default();
        of_code.insert(code, row);
    }
    let mut countries: Vec<Country> = rows(include_str!("countries.csv"));
    for country in &mut countries {
        country.names = of_code.remove(&country.code).unwrap_or_default();
    }
    countries
}

/// Their names in other languages come last: `Granada` is a town in Spain, and `Guinea` a country of its own.
fn country_names(countries: &[Country]) -> Names<usize> {
    let mut names = names(countries.iter().map(|it| [&it.code, &it.name, &it.also]));
    for (at, country) in countries.iter().enumerate() {
        for name in country.names.values() {
            names.entry(machine(name)).or_insert(at);
        }
    }
    names
}

/// The rows of a table that belongs to packstring itself.
fn rows<T: DeserializeOwned>(table: &str) -> Vec<T> {
    let rows = csv::Reader::from_reader(table.as_bytes()).into_deserialize();
    rows.map(|row| row.expect("the built-in tables are sound: a test reads them")).collect()
}

fn parts(cell: &str, separator: char) -> impl Iterator<Item = &str> {
    cell.split(separator).filter(|part| !part.is_empty())
}

/// Each entry's code, name and other names, to its place in the table.
fn names<'t>(entries: impl Iterator<Item = [&'t String; 3]>) -> Names<usize> {
    let mut names = Names::new();
    for (at, [code, name, also]) in entries.enumerate() {
        for name in [code, name].into_iter().map(String::as_str).chain(parts(also, '|')) {
            names.entry(machine(name)).or_insert(at);
        }
    }
    names
}

fn provinces() -> BTreeMap<String, Names<String>> {
    let mut provinces: BTreeMap<String, Names<String>> = BTreeMap::new();
    for Province { country, code, name, also } in rows(include_str!("provinces.csv")) {
        let of_country = provinces.entry(country).or_default();
        for name in [code.as_str(), &name].into_iter().chain(parts(&also, '|')) {
            of_country.insert(machine(name), code.clone());
        }
    }
    provinces
}

fn shorts(table: &str) -> Names<Short> {
    let mut shorts = Names::new();
    // A full name comes before another word's misspelling.
    for of_name in [true, false] {
        for short in rows::<Short>(table) {
            let words: Vec<String> = match of_name {
                true => vec![short.name.clone(), short.abbreviation.clone()],
                false => parts(&short.also, ' ').map(str::to_owned).collect(),
            };
            for word in words {
                shorts.entry(word).or_insert_with(|| short.clone());
            }
        }
    }
    shorts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published values, with their origin in the folder's README.
    fn reference(table: &str) -> Vec<csv::StringRecord> {
        csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect()
    }

    /// Common usage, no source: as people write it in Spanish and French.
    #[test]
    fn the_united_states_are_known_in_other_languages() {
        for name in ["Estados Unidos", "EE. UU.", "EE.UU.", "EUA", "États-Unis", "Etats-Unis"] {
            assert_eq!(Country::find(name).map(|country| &*country.code), Some("US"), "{name}");
        }
    }

    #[test]
    fn suffixes_are_those_of_the_reference() {
        let rows = reference(include_str!("../../tests/reference/addresses/suffixes.csv"));
        assert!(rows.len() > 80);
        for row in rows {
            assert_eq!(suffix(&row[1]).map(|short| &*short.abbreviation), Some(&row[2]), "{}", &row[0]);
            assert_eq!(suffix(&row[2]).map(|short| &*short.abbreviation), Some(&row[2]), "{}", &row[0]);
        }
    }

    #[test]
    fn states_are_those_of_the_reference() {
        let rows = reference(include_str!("../../tests/reference/addresses/states.csv"));
        assert!(rows.len() > 60);
        for row in rows {
            for name in [&row[1], &row[2], &row[2].to_lowercase()] {
                assert_eq!(State::find(name).map(|state| &*state.code), Some(&row[2]), "{name}");
            }
        }
    }

    #[test]
    fn countries_are_found_by_any_of_their_names() {
        let code = |name| Country::find(name).map(|country| &*country.code);
        assert_eq!(code("canada"), Some("CA"));
        assert_eq!(code(" U.S.A. "), Some("US"));
        assert_eq!(code("ESPANA"), Some("ES"));
        assert_eq!(code("Germny"), None);
        assert_eq!(Country::nearest("Germny"), Some("Germany"));
        assert_eq!(Country::nearest("Untied States"), Some("United States"));
        assert!(tables().countries.len() > 200);
        assert_eq!(
            [code("Alemania"), code("Allemagne"), code("Países Bajos")],
            [Some("DE"), Some("DE"), Some("NL")]
        );
    }

    /// From memory: the short names that are usual in each language.
    #[test]
    fn every_country_has_a_name_of_its_own_in_each_language() {
        for language in ["es", "fr"] {
            let mut seen = std::collections::BTreeSet::new();
            for country in &tables().countries {
                assert!(country.names.contains_key(language), "{} in {language}", country.code);
                let name = country.named(language);
                assert!(seen.insert(name) && !name.is_empty(), "{name} in {language}");
                let meant = Country::find(name).map(|found| found.code.as_str());
                // “Guinea” and the like are the same everywhere.
                assert_eq!(meant, Some(country.code.as_str()), "{name} in {language}");
            }
        }
        let spain = Country::find("ES").unwrap();
        assert_eq!(
            ["es-US", "fr", "en", "de"].map(|tag| spain.named(tag)),
            ["España", "Espagne", "Spain", "Spain"]
        );
    }

    #[test]
    fn the_forms_of_countries_can_be_read() {
        for country in &tables().countries {
            assert_eq!(country.code.len(), 2);
            assert!(country.form.contains('T'), "{}", country.name);
            for form in country.postcodes() {
                assert!(country.form.contains('P'), "{}", country.name);
                let known = |letter| matches!(letter, '9' | 'A' | '*' | ' ' | '-');
                assert!(form.chars().all(known), "{}: {form}", country.name);
            }
        }
    }
}

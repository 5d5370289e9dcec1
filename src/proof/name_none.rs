//! What stands in the roster as a name is none: the total of a list, a dash, a number, an e-mail address.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::languages::{fold, folded_words};
use crate::people::plain_name;
use crate::program::roster::{affirms, columns};
use std::collections::BTreeSet;
use std::sync::LazyLock;

pub static RULE: Rule = Rule {
    name: "name-none",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A name on the roster is not a name: a total, a dash, a number, “N/A”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// What lists have where a name would stand, beside the words of languages. Common practice, no source.
const MORE: [&str; 6] = ["sum", "count", "suma", "summe", "n/a", "n.n"];

/// What rows have that were made to try a form. Common practice, no source.
const TRIAL: [&str; 12] = [
    "test", "sample", "example", "demo", "dummy", "person", "prueba", "ejemplo", "persona", "essai",
    "exemple", "personne",
];

/// Words of lists in every language, folded.
static WORDS: LazyLock<Words> = LazyLock::new(|| {
    let long = |word: &String| word.len() > 4 || word.contains('/');
    let stand_ins: BTreeSet<String> = folded_words(|language| &language.cells.stand_in).collect();
    let mut none = stand_ins.clone();
    none.extend(folded_words(|language| &language.cells.later));
    none.extend(folded_words(|language| &language.cells.sum));
    // Short words for nobody are names too.
    none.extend(folded_words(|language| &language.cells.nobody).filter(|word| long(word) || word == "none"));
    none.extend(columns::headings_of_names().filter(|word| word.len() > 2));
    none.extend(MORE.map(str::to_owned));
    let mut no_companion: BTreeSet<String> = folded_words(|language| &language.cells.later).collect();
    no_companion.extend(columns::kinds_of_companions());
    Words { stand_ins, none, no_companion, sums: folded_words(|language| &language.cells.sum).collect() }
});

struct Words {
    stand_ins: BTreeSet<String>,
    none: BTreeSet<String>,
    no_companion: BTreeSet<String>,
    sums: Vec<String>,
}

fn find(people: &PeopleContext) -> Vec<Finding> {
    let tell = |name: &str, place: Place| {
        let message = "This is not a name, so nobody is credited for this row.";
        let mend = "Write the person's name, or delete the row; do not put totals in the roster.";
        Finding::of(&RULE, place, message).says(name).mend(mend)
    };
    let rows = people.rows().filter(|row| is_none(&row.name));
    let mut findings: Vec<Finding> = rows.map(|row| tell(&row.name, people.place(row, "name"))).collect();
    for row in people.rows() {
        let Some(companion) = row.companion.as_deref().filter(|companion| is_no_companion(companion)) else {
            continue;
        };
        let message = "This companion is not a name, so nobody is credited for this row.";
        let mend = "Write the companion's name, or empty the cell where there is none.";
        let place = people.place(row, "companion");
        findings.push(Finding::of(&RULE, place, message).says(companion).mend(mend));
    }
    let mut seen = BTreeSet::new();
    let hours = people.program.people.hours.iter().filter(|service| is_none(&service.name));
    let once = hours.filter(|service| seen.insert(plain_name(&service.name)));
    findings.extend(once.map(|service| tell(&service.name, service.place.clone())));
    findings
}

pub(super) fn is_none(name: &str) -> bool {
    let name = name.trim();
    if name.is_empty() {
        // What has no name is told where the roster is read.
        return false;
    }
    // "Count: 12", "Guest 1", "12 people".
    let plain = name.trim_matches(|c: char| !c.is_alphabetic());
    let is_address = name.contains('@') && !name.contains(' ');
    // A mark of lists: no name in Latin letters is one letter long.
    let is_mark = plain.len() == 1;
    plain.is_empty()
        || is_address
        || is_mark
        || is_word(&fold(plain), plain)
        // What a spreadsheet writes where a formula fails.
        || name.starts_with('#') && name.ends_with(['!', '?'])
}

/// Whether it is a word of lists, or begins with one: "Total general", "Guest of Ann Lee".
fn is_word(folded: &str, plain: &str) -> bool {
    let words = &*WORDS;
    if words.none.contains(folded) {
        return true;
    }
    let Some((first, rest)) = folded.split_once(' ') else { return false };
    // "Test rider", "Sample person": rows that somebody made to try the form.
    if folded.split(' ').all(|word| words.none.contains(word) || TRIAL.contains(&word)) {
        return true;
    }
    if first == "total" || first == "totals" {
        return true;
    }
    // "Suma de personas" is none, and "Suma Rao" somebody.
    let is_small = plain.chars().skip_while(|letter| *letter != ' ').all(|letter| !letter.is_uppercase());
    let is_sum =
        |sum: &String| folded.strip_prefix(sum.as_str()).is_some_and(|rest| rest.starts_with([' ', ':']));
    let begins_sum = words.sums.iter().any(is_sum) && (is_small || folded.starts_with("sub"));
    let of = rest.split(' ').next().is_some_and(|word| ["of", "de", "von"].contains(&word));
    begins_sum || of && is_small_word(plain, 1) && words.stand_ins.contains(first)
}

/// Whether a word of a text, from 0, begins small.
fn is_small_word(text: &str, at: usize) -> bool {
    text.split_whitespace().nth(at).and_then(|word| word.chars().next()).is_some_and(char::is_lowercase)
}

/// Whether what stands as a companion says only that there is one, or is none: "yes", "2", "TBD", "horse".
fn is_no_companion(companion: &str) -> bool {
    !companion.chars().any(char::is_alphabetic)
        || affirms(companion)
        || WORDS.no_companion.contains(&fold(companion.trim_matches(|c: char| !c.is_alphabetic())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lists_have_in_the_place_of_a_name_is_none() {
        for name in [
            "Total",
            "TOTAL:",
            "N/A",
            "n/a",
            "-",
            "–",
            "12345",
            "...",
            "Grand total",
            "ann@lee.example",
            "?",
            "Count: 12",
            "Guest 1",
            "12 people",
            "x",
            "#REF!",
            "#NAME?",
            "Total general",
            "Total participants",
            "Test Rider",
            "sample person",
            "Test Test",
            "TOTAL GENERAL",
            "Subtotal Spring",
            "Participantes: 12",
            "Nombre",
            "Nom",
            "Vorname",
            "Anónimo",
            "ANONIMO",
            "Invitado",
            "Invitado 2",
            "Invité",
            "Somme",
            "Somme des heures",
            "por confirmar",
            "Name pending",
            "No show",
            "Cancelled",
            "Guest of Ann Lee",
        ] {
            assert!(is_none(name), "{name}");
        }
        for name in [
            "Ann Lee",
            "Na Li",
            "Li",
            "李",
            "अनन्या",
            "Guest, Ann",
            "Ann Total-Reyes",
            "X Æ",
            "O Lee",
            "Æ",
            "Rider Lee",
            "Suma Rao",
            "Guest Lee",
            "Na",
            "Nil",
            "Tal Total",
            "Ad Lee",
        ] {
            assert!(!is_none(name), "{name}");
        }
    }

    #[test]
    fn what_lists_have_in_the_place_of_a_companion_is_none() {
        for companion in ["TBD", "2", "?", "yes", "✓", "por confirmar", "Horse", "unknown", "x"] {
            assert!(is_no_companion(companion), "{companion}");
        }
        for companion in ["Bess", "No. 7", "Ditto", "Guest", "Total Eclipse", "Mr. Horse", "J"] {
            assert!(!is_no_companion(companion), "{companion}");
        }
    }
}

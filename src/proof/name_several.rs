//! A row of the roster names several people, and one certificate would name them all.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::languages::{everywhere, fold, folded_words};
use crate::people::{plain_name, same_name};
use crate::program::roster::further::{is_of_a_count, is_of_another_companion, is_of_another_person};
use crate::program::roster::{Column, Participant};
use std::collections::BTreeSet;
use std::sync::LazyLock;

pub static RULE: Rule = Rule {
    name: "name-several",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A row of the roster names several people: “Ann and Bo Lee”, “Ann Lee; Bo Ray”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// Words between two people, in the languages whose names are most often written so; of "e", "i" and "y" see below.
const BETWEEN: [&str; 10] = ["and", "&", "+", "und", "et", "og", "och", "en", "with", "plus"];
/// Words that stand between two family names of one person too: "Ortega y Gasset", "Prat i Roca".
const BETWEEN_FAMILY_NAMES: [&str; 4] = ["y", "e", "i", "o"];
/// All words between two people, in small letters.
static ALL_BETWEEN: LazyLock<BTreeSet<&str>> = LazyLock::new(|| {
    BETWEEN
        .into_iter()
        .chain(everywhere().flat_map(|language| &language.names.between).map(String::as_str))
        .collect()
});
/// Signs between two people.
const SIGNS: [char; 3] = [';', '/', '|'];

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in people.rows() {
        findings.extend(of_name(&row.name, || people.place(row, "name")));
        findings.extend(of_companion(people, row));
    }
    // The people of the hours file, each name once.
    let mut seen = BTreeSet::new();
    for service in people.program.people.hours.iter() {
        let Some(finding) = of_name(&service.name, || service.place.clone()) else { continue };
        if seen.insert(plain_name(&service.name)) {
            findings.push(finding);
        }
    }
    findings.extend(in_other_columns(people));
    findings
}

fn of_name(name: &str, place: impl FnOnce() -> Place) -> Option<Finding> {
    let persons = persons(name);
    if persons.is_none() && !is_party(name) {
        return None;
    }
    let message =
        "This row names several people, but a certificate is for one person, so nobody is credited for it.";
    let mend = "Write a row for each of them, with their own name. If it is one person, `packstring make --participant` with this name.";
    let finding = Finding::of(&RULE, place(), message).says(name).mend(mend);
    Some(match persons {
        Some(persons) => finding.instead(persons.join(" | ")),
        None => finding,
    })
}

/// Two companions in one cell. What is joined by a sign alone is often one name, "Salt & Pepper": it is remarked on
/// until the register has it.
fn of_companion(people: &PeopleContext, row: &Participant) -> Option<Finding> {
    let companion = row.companion.as_deref()?;
    let by_commas = || {
        let parts: Vec<&str> = companion.split(',').map(str::trim).collect();
        let is_list = parts.len() > 1 && parts.iter().all(|part| has_letters(part));
        is_list.then(|| parts.iter().map(|part| (*part).to_owned()).collect::<Vec<_>>())
    };
    // Companions have no family names: "Bess y Juno".
    let by_words = |companion: &str| {
        let parts: Vec<&str> = [" y ", " e "]
            .into_iter()
            .flat_map(|word| companion.split_once(word))
            .flat_map(|(first, second)| [first.trim(), second.trim()])
            .collect();
        let is_list = parts.len() == 2 && parts.iter().all(|part| has_letters(part));
        is_list.then(|| parts.into_iter().map(str::to_owned).collect())
    };
    let several = |companion: &str| persons(companion).or_else(|| by_words(companion)).or_else(by_commas);
    let names = several(companion)?;
    // Lines are told as such.
    if companion.contains(['\n', '\r']) {
        return None;
    }
    let has_words = several(&companion.replace(['&', '+'], " ")).is_some();
    let place = people.place(row, "companion");
    if has_words {
        let rows: Vec<String> =
            names.iter().map(|name| format!("{},{},{name}", row.event, row.name)).collect();
        let message = "This cell names several companions, and a certificate names one: nobody is credited for this row.";
        let mend = "Write a row for each of them, as offered. If it is one companion's name, `packstring make --participant` with the person's name.";
        let finding = Finding::of(&RULE, place, message).says(companion);
        return Some(finding.instead(rows.join(" | ")).mend(mend));
    }
    let register = &people.program.people.register;
    let is_given = register
        .valid()
        .any(|given| given.companion.as_deref() == Some(companion) && same_name(&given.name, &row.name));
    if is_given {
        return None;
    }
    let message = "This cell may name two companions; the certificate names them as they stand here.";
    let finding = Finding::of(&RULE, place, message).says(companion);
    Some(finding.mend("Write a row for each, if each is to have a certificate.").weighs(Level::Note))
}

/// Whether a name stands for people who are not named: "Ann Lee +1", "Ann Lee (2)", "The Lee family".
fn is_party(name: &str) -> bool {
    const AT_AN_END: [&str; 4] = ["party", "guest", "guests", "others"];
    static PARTY: LazyLock<BTreeSet<String>> =
        LazyLock::new(|| folded_words(|language| &language.names.party).collect());
    static ARTICLES: LazyLock<BTreeSet<String>> =
        LazyLock::new(|| folded_words(|language| &language.names.articles).collect());
    let mut words: Vec<&str> = name.split_whitespace().collect();
    if words.len() > 2 && ARTICLES.contains(&fold(words[0])) {
        words.remove(0);
    }
    let (Some(first), Some(last)) = (words.first(), words.last()) else { return false };
    if words.len() < 2 {
        return false;
    }
    let is_all = |word: &str| {
        let word = fold(word.trim_matches(|c: char| !c.is_alphanumeric()));
        PARTY.contains(&word) || AT_AN_END.contains(&word.as_str())
    };
    // "Lee family of 4"
    let is_within = words.iter().any(|word| {
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        !word.is_empty() && PARTY.contains(&fold(word))
    });
    let count = last.trim_matches(['(', ')', '[', ']', '+', 'x', 'X', '×', '#', '&']);
    let is_count = last.len() > count.len() && count.len() < 3 && count.parse().is_ok_and(|it: u32| it > 0);
    is_all(first) || is_all(last) || is_within || is_count
}

/// People and companions who stand in further columns of a row: "Participant 2", "Guest names", "Horse 2".
fn in_other_columns(people: &PeopleContext) -> Vec<Finding> {
    let roster = &people.program.people.roster;
    let more = roster.columns.iter().filter(|column| column.field().is_none());
    let more: Vec<&Column> = more
        .filter(|it| {
            let heading = &it.heading;
            is_of_another_person(heading) || is_of_another_companion(heading) || is_of_a_count(heading)
        })
        .collect();
    if more.is_empty() {
        return Vec::new();
    }
    people.rows().flat_map(|row| in_other_columns_of(people, row, &more)).collect()
}

fn in_other_columns_of(people: &PeopleContext, row: &Participant, more: &[&Column]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let Some(cells) = people.program.people.roster.row(row.row) else { return findings };
    for column in more {
        let Some(cell) = cells.cell(column.at) else { continue };
        let text = cell.value();
        let number = text.trim().parse().unwrap_or(0_u32);
        if number > 0 || text.eq_ignore_ascii_case("yes") {
            let message = "This cell says that other people came along. They have no row of their own, so they are not counted and get no certificate.";
            let mend = "Give each of them a row, if they are to have one.";
            let finding = Finding::of(&RULE, cell.place(), message).says(&*text).mend(mend);
            findings.push(finding.weighs(Level::Note));
            continue;
        }
        if !has_letters(&text) || NOBODY.contains(&text.to_lowercase().as_str()) {
            continue;
        }
        let is_companion = is_of_another_companion(&column.heading);
        let names = text
            .split([',', ';', '\n', '/'])
            .flat_map(|part| persons(part).unwrap_or_else(|| vec![part.trim().to_owned()]));
        let of_row = |name: String| match is_companion {
            true => format!("{},{},{name}", row.event, row.name),
            false => format!("{},{name}", row.event),
        };
        let rows: Vec<String> = names.filter(|name| has_letters(name)).map(of_row).collect();
        let (message, mend) = match is_companion {
            true => (
                "This cell names companions who have no row of their own, so nobody is credited for this row or them.",
                "Give each of them a row, with event, name and companion as offered, and empty this cell. A column of one companion a row is named with companion = \"...\" under [roster.headings] in program.toml.",
            ),
            false => (
                "This cell names people who have no row of their own, so nobody is credited for this row or them.",
                "Give each of them a row, with event and name as offered; then empty this cell.",
            ),
        };
        let finding = Finding::of(&RULE, cell.place(), message).says(&*text);
        findings.push(finding.instead(rows.join(" | ")).mend(mend));
    }
    findings
}

/// What people write where there is nobody else.
const NOBODY: [&str; 8] = ["no", "none", "n/a", "na", "nobody", "no one", "ninguno", "nadie"];

/// The people that a name names, where it names more than one.
pub(super) fn persons(name: &str) -> Option<Vec<String>> {
    // "Ann Lee w/ Bo Ray"
    if name.contains(" w/") {
        return persons(&name.replace(" w/", " with "));
    }
    // Nearly all rows of a long roster.
    let joins = |word: &str| {
        word.len() <= 4
            && (ALL_BETWEEN.contains(&word)
                || BETWEEN_FAMILY_NAMES.contains(&word)
                || word.eq_ignore_ascii_case("and"))
    };
    if !name.contains(SIGNS) && !name.contains(['\n', '\t']) && !name.split_whitespace().any(joins) {
        return None;
    }
    let joined = |words: &[&str]| words.join(" ");
    let lines: Vec<&str> =
        name.split(['\n', '\r', '\t']).map(str::trim).filter(|line| has_letters(line)).collect();
    // Of a name that was broken over two lines, each has one word.
    if lines.len() > 1 && lines.iter().any(|line| line.contains(char::is_whitespace)) {
        return Some(lines.into_iter().map(str::to_owned).collect());
    }
    if is_from_a_page(name) {
        return None;
    }
    let parts: Vec<&str> = name.split(SIGNS).map(str::trim).filter(|part| has_letters(part)).collect();
    if parts.len() > 1 && parts.iter().all(|part| part.chars().filter(|c| c.is_alphabetic()).count() > 1) {
        return Some(parts.into_iter().map(str::to_owned).collect());
    }
    let words: Vec<&str> = name.split_whitespace().collect();
    let is_between = |at: usize| {
        let (before, after) = (at, words.len() - at - 1);
        let word = words[at].to_lowercase();
        let written_small = words[at] == word;
        before > 0
            && after > 0
            && (ALL_BETWEEN.contains(&word.as_str()) && written_small
                || word == "and"
                // One given name before, or two whole names: hardly two family names of one person.
                || BETWEEN_FAMILY_NAMES.contains(&words[at]) && (before == 1 && after > 1 || before > 1 && after > 1 && before + after > 3 && after == before))
    };
    let at = (0..words.len()).find(|at| is_between(*at))?;
    let (first, second) = (&words[..at], &words[at + 1..]);
    if !has_letters(&joined(first)) || !has_letters(&joined(second)) {
        return None;
    }
    // "Ann and Bo Lee": the family name is both's.
    let first = match (first.len(), second) {
        (1, [_, .., family]) => format!("{} {family}", joined(first)),
        _ => joined(first),
    };
    Some(vec![first.trim_end_matches(',').to_owned(), joined(second)])
}

/// Whether characters stand as web pages write them, `O&#39;Dowd`: their semicolon is between nobody.
fn is_from_a_page(name: &str) -> bool {
    let mut after = name.split('&').skip(1);
    after.any(|rest| {
        let end = rest.find(|c: char| !(c.is_ascii_alphanumeric() || c == '#')).unwrap_or(rest.len());
        end > 1 && rest[end..].starts_with(';')
    })
}

fn has_letters(words: &str) -> bool {
    words.chars().any(char::is_alphabetic)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_stands_for_more_than_one_is_known() {
        for name in [
            "Ann Lee +1",
            "Ann Lee (2)",
            "Ann Lee x2",
            "Family Lee",
            "The Lee Family",
            "Ann Lee + guest",
            "Lee household",
            "Familia Soto",
            "Ann Lee (+3)",
            "La familia Lee",
            "Lee family of 4",
            "Die Familie Lehr",
            "la famille Leroy",
        ] {
            assert!(is_party(name) || persons(name).is_some(), "{name}");
        }
        for name in [
            "Ann Lee",
            "Family",
            "Ann Lee III",
            "Ann Lee 2nd",
            "X Lee",
            "Ann Familiaris",
            "Ann (Annie) Lee",
            "Max Lex",
        ] {
            assert!(!is_party(name) && persons(name).is_none(), "{name}");
        }
    }

    #[test]
    fn several_people_are_told_apart_and_one_person_stays_one() {
        let named = |name| persons(name).map(|persons| persons.join(" | "));
        for (name, expected) in [
            ("Ann and Bo Lee", "Ann Lee | Bo Lee"),
            ("Ann Lee; Bo Ray", "Ann Lee | Bo Ray"),
            ("Ann Lee / Bo Ray", "Ann Lee | Bo Ray"),
            ("Ann & Bo Lee", "Ann Lee | Bo Lee"),
            ("Ann Lee & Bo Ray", "Ann Lee | Bo Ray"),
            ("Ann Lee\nBo Ray", "Ann Lee | Bo Ray"),
            ("ANN AND BO LEE", "ANN LEE | BO LEE"),
            ("Ana y Luis Soto", "Ana Soto | Luis Soto"),
            ("Ana Ruiz y Luis Soto", "Ana Ruiz | Luis Soto"),
            ("Anna und Bodo Lehr", "Anna Lehr | Bodo Lehr"),
            ("Ann Lee con Bo Ray", "Ann Lee | Bo Ray"),
            ("Ann Lee avec Bo Ray", "Ann Lee | Bo Ray"),
            ("Anna Lehr mit Bodo Ray", "Anna Lehr | Bodo Ray"),
            ("Ann Lee w/ Bo Ray", "Ann Lee | Bo Ray"),
            ("Ann Lee or Bo Ray", "Ann Lee | Bo Ray"),
            ("Ana Ruiz o Luis Soto", "Ana Ruiz | Luis Soto"),
            ("Ann Lee ou Bo Ray", "Ann Lee | Bo Ray"),
            ("Anna Lehr oder Bodo Ray", "Anna Lehr | Bodo Ray"),
            ("Ann Lee\tBo Ray", "Ann Lee | Bo Ray"),
        ] {
            assert_eq!(named(name).as_deref(), Some(expected), "{name}");
        }
        for name in [
            "Ann Lee",
            "José Ortega y Gasset",
            "Santiago Ramón y Cajal",
            "Andy Lee",
            "Ann E Lee",
            "and",
            "Ann And",
            "Ola Strand Og",
            "Pat O&#39;Dowd",
            "Mina\nRoe",
            "Mina\tRoe",
            "Or Lee",
            "Ann Or",
            "Conan O Brien",
            "Prat i Roca",
            "Et Lee",
            "Mary-Ann Lee",
            "A/B",
            "",
            "Eça de Queirós",
            "Con Lee",
            "Ann Con Lee",
        ] {
            assert_eq!(named(name), None, "{name}");
        }
    }
}

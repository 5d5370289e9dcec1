//! A row of the roster names several people, and one certificate would name them all.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::roster::columns::is_of_another_person;

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
const BETWEEN_FAMILY_NAMES: [&str; 3] = ["y", "e", "i"];
/// Signs between two people.
const SIGNS: [char; 3] = [';', '/', '|'];

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in people.rows() {
        let Some(persons) = persons(&row.name) else { continue };
        let message =
            "This row names several people, and a certificate is one person's: nobody is credited for it.";
        let mend = "Write a row for each of them, with their own name. If it is one person, `packstring make --participant` with this name.";
        let finding = Finding::of(&RULE, people.place(row, "name"), message).says(&*row.name);
        findings.push(finding.instead(persons.join(" | ")).mend(mend));
    }
    findings.extend(in_other_columns(people));
    findings
}

/// People who stand in further columns of a row: "Participant 2", "Guest names".
fn in_other_columns(people: &PeopleContext) -> Vec<Finding> {
    let roster = &people.program.people.roster;
    let more = roster.columns.iter().filter(|column| column.field().is_none());
    let more: Vec<usize> = more.filter(|it| is_of_another_person(&it.heading)).map(|it| it.at).collect();
    if more.is_empty() {
        return Vec::new();
    }
    let mut findings = Vec::new();
    for row in people.rows() {
        let Some(cells) = roster.row(row.row) else { continue };
        for cell in more.iter().filter_map(|at| cells.cell(*at)) {
            let text = cell.value();
            if !has_letters(&text) || NOBODY.contains(&text.to_lowercase().as_str()) {
                continue;
            }
            let names = text
                .split([',', ';', '\n', '/'])
                .flat_map(|part| persons(part).unwrap_or_else(|| vec![part.trim().to_owned()]));
            let rows: Vec<String> =
                names.filter(|name| has_letters(name)).map(|name| format!("{},{name}", row.event)).collect();
            let message = "This cell names people who have no row of their own, so nobody is credited for this row or them.";
            let mend = "Give each of them a row, with event and name as offered; then empty this cell.";
            findings.push(
                Finding::of(&RULE, cell.place(), message).says(&*text).instead(rows.join(" | ")).mend(mend),
            );
        }
    }
    findings
}

/// What people write where there is nobody else.
const NOBODY: [&str; 9] = ["no", "none", "n/a", "na", "nobody", "no one", "yes", "ninguno", "nadie"];

/// The people that a name names, where it names more than one.
fn persons(name: &str) -> Option<Vec<String>> {
    // Nearly all rows of a long roster.
    let joins = |word: &str| {
        word.len() <= 4
            && (BETWEEN.contains(&word)
                || BETWEEN_FAMILY_NAMES.contains(&word)
                || word.eq_ignore_ascii_case("and"))
    };
    if !name.contains(SIGNS) && !name.contains('\n') && !name.split_whitespace().any(joins) {
        return None;
    }
    let joined = |words: &[&str]| words.join(" ");
    let lines: Vec<&str> = name.lines().map(str::trim).filter(|line| has_letters(line)).collect();
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
            && (BETWEEN.contains(&word.as_str()) && written_small
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
            "Prat i Roca",
            "Et Lee",
            "Mary-Ann Lee",
            "A/B",
            "",
            "Eça de Queirós",
        ] {
            assert_eq!(named(name), None, "{name}");
        }
    }
}

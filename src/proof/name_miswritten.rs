//! A name of the roster has its family name first, or begins with a sign that spreadsheets take for a formula.

mod remark;

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};

pub static RULE: Rule = Rule {
    name: "name-miswritten",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A name has the family name first with a comma, begins with a sign such as “=”, is on several lines, or has a number or a remark beside it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// What follows a name after a comma without being a part of it: generations and the usual degrees, in small
/// letters without periods.
const SUFFIXES: [&str; 18] = [
    "jr", "sr", "i", "ii", "iii", "iv", "v", "vi", "esq", "phd", "md", "dvm", "vmd", "dds", "rn", "pe",
    "ret", "usa",
];

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in people.rows() {
        let name = row.name.as_str();
        if let Some(bare) = remark::without(name) {
            let message = "There is something beside this name that is not part of it and would be printed with it, so nobody is credited for this row.";
            let mend = "Write only the name. If the person did not come, write no under attended. If it is part of the name, run `packstring make --participant` with the name.";
            let finding = Finding::of(&RULE, people.place(row, "name"), message).says(name);
            let finding = if bare.is_empty() { finding } else { finding.instead(bare) };
            findings.push(finding.mend(mend));
        } else if let Some(straight) = straight(name) {
            let message = "This name has a comma, as in a list with the family name first, and would be printed that way.";
            findings.push(
                Finding::of(&RULE, people.place(row, "name"), message)
                    .says(name)
                    .instead(straight)
                    .mend("Write it as it is to be printed, the given name first."),
            );
        }
        let lines = [("name", Some(name)), ("companion", row.companion.as_deref())];
        for (field, words) in lines {
            let Some(words) = words.filter(|words| has_lines(words)) else { continue };
            // Who is told of as several people already.
            if field == "name" && super::name_several::persons(words).is_some() {
                continue;
            }
            let message = format!(
                "This {field} is on several lines, and may be one {field} or more, so nobody is credited for this row."
            );
            let mend = "Write it on one line; two people or companions need a row each.";
            findings.push(Finding::of(&RULE, people.place(row, field), message).says(words).mend(mend));
        }
        let companion = row.companion.as_deref().map(|companion| ("companion", companion));
        for (field, words) in std::iter::once(("name", name)).chain(companion) {
            let Some(sign) = words.chars().next().filter(|sign| ['=', '+', '@'].contains(sign)) else {
                continue;
            };
            let message = format!("This {field} begins with “{sign}”, and would be printed so.");
            let rest = words.trim_start_matches(['=', '+', '@']).trim();
            let finding = Finding::of(&RULE, people.place(row, field), message).says(words);
            let finding = if rest.is_empty() { finding } else { finding.instead(rest) };
            findings.push(finding.mend("Take the sign out, unless the name is meant to have it."));
        }
    }
    findings
}

fn has_lines(words: &str) -> bool {
    words.lines().filter(|line| !line.trim().is_empty()).count() > 1 || words.trim().contains('\r')
}

/// `Reyes, Marisol` → `Marisol Reyes`; nothing for `Thaddeus Pruitt, Jr.`.
fn straight(name: &str) -> Option<String> {
    let (family, given) = name.split_once(',')?;
    let (family, given) = (family.trim(), given.trim());
    let (given, suffix) = match given.split_once(',') {
        Some((given, suffix)) if is_suffix(suffix) => (given.trim(), format!(", {}", suffix.trim())),
        Some(_) => return None,
        None => (given, String::new()),
    };
    let is_name = !family.is_empty() && given.chars().any(char::is_alphabetic) && !is_suffix(given);
    is_name.then(|| format!("{given} {family}{suffix}"))
}

fn is_suffix(words: &str) -> bool {
    let plain = words.trim().replace('.', "").to_lowercase();
    !plain.is_empty() && plain.split([' ', ',']).all(|word| word.is_empty() || SUFFIXES.contains(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_suffix_is_no_given_name() {
        for name in
            ["Thaddeus Pruitt, Jr.", "Ada Vell, Ph.D.", "Ada Vell, D.V.M., Ret.", "Ada Vell", "Vell,", ","]
        {
            assert_eq!(straight(name), None, "{name}");
        }
        assert_eq!(straight("Reyes, Marisol").as_deref(), Some("Marisol Reyes"));
        assert_eq!(straight("van der Meulen, Ottoline").as_deref(), Some("Ottoline van der Meulen"));
        assert_eq!(straight("Pruitt, Thaddeus, Jr.").as_deref(), Some("Thaddeus Pruitt, Jr."));
    }
}

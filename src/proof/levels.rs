//! The levels that a program gives to rules, in `[proofread.rules]` of `program.toml`.
//!
//! They are applied to everything that is found, here and by laying out, after the rules have had their
//! say. A finding that stops the press keeps its level: a safety fact must be right whatever a program
//! sets. Rules that say why something could not be read or printed have no other level.

use super::{OTHER_ROOMS, RULES, rule_unknown};
use crate::finding::{Finding, Level};
use crate::program::Program;

/// Those rules of the press whose findings do not keep back what they are about.
const OF_THE_PRESS: [&str; 6] = [
    "contrast-low",
    "label-overfull",
    "letter-borrowed",
    "sheet-crowded",
    "sheet-overfull",
    "slide-overfull",
];
/// Those rules of reading that tell what is odd and could be read.
const OF_READING: [&str; 7] = [
    "cell-broken",
    "encoding-guessed",
    "heading-doubled",
    "passed-over",
    "quote-stray",
    "row-ragged",
    "rows-missing",
];

/// Gives each finding the level that the program sets for its rule, and takes out what is off.
pub fn weigh(program: &Program, findings: &mut Vec<Finding>) {
    for setting in &program.content.settings.proofread.rules {
        let rule = setting.rule.text.as_str();
        if !may_be_set(rule) {
            continue;
        }
        findings.retain(|finding| finding.rule != rule || finding.stops_press || setting.level.is_some());
        for finding in findings.iter_mut().filter(|finding| finding.rule == rule) {
            match setting.level {
                Some(level) if !finding.stops_press => finding.level = level,
                Some(Level::Error) => {}
                level => {
                    finding.message += &format!(
                        " (program.toml sets {rule} to {}, which does not hold for a safety fact.)",
                        level.map_or("off", Level::word)
                    )
                }
            }
        }
    }
}

/// Whether a program may set the level of a rule.
pub fn may_be_set(rule: &str) -> bool {
    rule != rule_unknown::RULE.name
        && (OF_THE_PRESS.contains(&rule)
            || OF_READING.contains(&rule)
            || RULES.iter().any(|known| known.name == rule))
}

/// Every rule whose level may be set.
pub(super) fn settable() -> impl Iterator<Item = &'static str> {
    let all = RULES.iter().map(|rule| rule.name).chain(OTHER_ROOMS.iter().map(|(name, ..)| *name));
    all.filter(|name| may_be_set(name))
}

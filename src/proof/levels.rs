//! The levels that a program gives to rules, in `[proofread.rules]` of `program.toml`.
//!
//! They are applied to everything that is found, here and by laying out, after the rules have had their
//! say. A finding that stops the press keeps its level: a safety fact must be right whatever a program
//! sets. Each rule says itself whether its level may be set.

use crate::finding::{Finding, Level, Settable};
use crate::program::Program;

/// Gives each finding the level that the program sets for its rule, and takes out what is off.
pub fn weigh(program: &Program, findings: &mut Vec<Finding>) {
    for setting in &program.content.settings.proofread.rules {
        let Some(rule) = super::rule(&setting.rule.text) else { continue };
        if !matches!(rule.settable, Settable::Yes) {
            continue;
        }
        findings.retain(|finding| finding.rule != rule || finding.stops_press || setting.level.is_some());
        for finding in findings.iter_mut().filter(|finding| finding.rule == rule) {
            match setting.level {
                Some(level) if !finding.stops_press => finding.level = level,
                Some(Level::Error) => {}
                level => {
                    finding.message += &format!(
                        " (program.toml sets {rule} to {}, which does not apply to a safety fact.)",
                        level.map_or("off", Level::word)
                    )
                }
            }
        }
    }
}

//! `[proofread.rules]` sets the level of a rule that is not there, or of one whose level is fixed.

use super::{Find, OTHER_ROOMS, Rule, levels};
use crate::finding::{Finding, Level};
use crate::nearest::nearest;
use crate::statements::PrintContext;

pub const RULE: Rule = Rule {
    name: "rule-unknown",
    level: Level::Error,
    summary: "`program.toml` sets the level of a rule that is not there, or whose level is fixed.",
    find: Find::Print(find),
};

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings.proofread.rules;
    let unfit = settings.iter().filter(|setting| !levels::may_be_set(&setting.rule.text));
    let told = unfit.map(|setting| {
        let rule = &setting.rule;
        let (message, mend) = match fixed(&rule.text) {
            Some(why) => {
                (format!("The level of “{}” is fixed: {why}.", rule.text), "Take the line out.".to_owned())
            }
            None => (format!("There is no rule “{}”.", rule.text), offer(&rule.text)),
        };
        RULE.finding(&rule.place, message).says(&rule.text).mend(mend)
    });
    told.collect()
}

fn offer(name: &str) -> String {
    match nearest(name, levels::settable()) {
        Some(known) => format!("Did you mean “{known}”?"),
        None => "Write a rule as it stands under Rule in what proofread tells.".to_owned(),
    }
}

/// Why the level of a rule is fixed; `None` where there is no such rule.
fn fixed(rule: &str) -> Option<&'static str> {
    match rule {
        "letter-missing" => Some("a certificate is held while a letter of its name cannot be printed"),
        "picture-unreadable" => Some("what cannot be printed is told"),
        "fact-unreadable" | "fact-circle" => Some("nothing can be held against a fact that has no value"),
        _ if rule == RULE.name => Some("it tells what is wrong with this table"),
        _ => OTHER_ROOMS
            .iter()
            .any(|(name, ..)| *name == rule)
            .then_some("it tells what cannot be read, and what cannot be read cannot be printed"),
    }
}

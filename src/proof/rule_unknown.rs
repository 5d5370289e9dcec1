//! `[proofread.rules]` sets the level of a rule that is not there, or of one whose level is fixed.

use super::{Check, Find, rule, rules};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::nearest::nearest;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "rule-unknown",
    level: Level::Error,
    settable: Settable::No("it tells what is wrong with this table"),
    summary: "`program.toml` sets the level of a rule that does not exist or has a fixed level.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let settings = &print.understood.content.settings.proofread.rules;
    let told = settings.iter().filter_map(|setting| {
        let name = &setting.rule;
        let (message, mend) = match rule(&name.text).map(|rule| &rule.settable) {
            Some(Settable::Yes) => return None,
            Some(Settable::No(why)) => {
                (format!("The level of “{}” is fixed: {why}.", name.text), "Take the line out.".to_owned())
            }
            None => (format!("There is no rule “{}”.", name.text), offer(&name.text)),
        };
        Some(Finding::of(&RULE, &name.place, message).says(&name.text).mend(mend))
    });
    told.collect()
}

fn offer(name: &str) -> String {
    let settable = rules().filter(|rule| matches!(rule.settable, Settable::Yes));
    match nearest(name, settable.map(|rule| rule.name)) {
        Some(known) => format!("Did you mean “{known}”?"),
        None => "Write the name of a rule as proofread shows it after “Rule”.".to_owned(),
    }
}

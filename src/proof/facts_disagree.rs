//! Two facts go by the same words and are of one kind, but have different values.

use super::galley::Galley;
use super::{Rule, called};
use crate::finding::{Finding, Level};
use crate::program::Fact;
use crate::quantity::{self, Figure, Held, Verdict};

pub const RULE: Rule = Rule {
    name: "facts-disagree",
    level: Level::Warning,
    summary: "Two facts go by the same words, but have different values.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let facts: Vec<(&Fact, &Held)> = galley
        .understood
        .facts
        .iter()
        .filter_map(|fact| Some((*fact, galley.understood.held(&fact.name)?)))
        .collect();
    let mut findings = Vec::new();
    for (at, (fact, held)) in facts.iter().enumerate() {
        for (earlier, earlier_held) in &facts[..at] {
            let shared = fact
                .called
                .iter()
                .find(|words| earlier.called.iter().any(|other| called::same(words, other)));
            if let Some(words) = shared.filter(|_| disagree(held, earlier_held)) {
                let message = format!(
                    "The facts “{}” and “{}” are both called “{words}”, but say different things.",
                    earlier.name, fact.name
                );
                findings.push(
                    RULE.finding(&fact.place, message)
                        .says(galley.quote(fact))
                        .fact_says(galley.quote(earlier))
                        .mend("Correct the one that is wrong, or give each words of its own under “called”."),
                );
            }
        }
    }
    findings
}

/// Whether neither of two quantities of one kind can stand for the other.
fn disagree(a: &Held, b: &Held) -> bool {
    let off = |stated: &Held, held: &Held| {
        !matches!(quantity::agree(&as_stated(stated), held), Verdict::Agrees | Verdict::OtherUnit)
    };
    off(a, b) && off(b, a)
}

/// A held quantity as if it stood in prose, to the place to which it is known.
fn as_stated(held: &Held) -> Figure {
    Figure::stating(held)
}

//! Kits add to one another in a circle, so that none of them is the smallest.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::program::Kit;

pub const RULE: Rule =
    Rule { name: "kit-circle", level: Level::Error, summary: "Kits add to one another in a circle.", find };

fn find(galley: &Galley) -> Vec<Finding> {
    let kits = &galley.understood.program.kits;
    let mut findings: Vec<Finding> = Vec::new();
    for (at, kit) in kits.iter().enumerate() {
        let Some(circle) = circle_from(kits, kit) else { continue };
        // Told once, at the first of its kits.
        if circle.iter().any(|id| kits[..at].iter().any(|earlier| earlier.id == *id)) {
            continue;
        }
        let Some(smaller) = &kit.adds_to else { continue };
        let message = format!("These kits add to one another in a circle: {}.", circle.join(" → "));
        findings.push(
            RULE.finding(&smaller.place, message)
                .says(&*smaller.text)
                .mend("Let the smallest of them add to none."),
        );
    }
    findings
}

/// The way from a kit back to itself through what each adds to.
fn circle_from<'k>(kits: &'k [Kit], kit: &'k Kit) -> Option<Vec<&'k str>> {
    let mut way = vec![kit.id.as_str()];
    let mut here = kit;
    while way.len() <= kits.len() {
        let smaller = here.adds_to.as_ref()?;
        here = kits.iter().find(|kit| kit.id == smaller.text)?;
        way.push(&here.id);
        if here.id == kit.id {
            return Some(way);
        }
    }
    None
}

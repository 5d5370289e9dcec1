//! What stands in the column for e-mail cannot be an address.

use super::Rule;
use super::galley::Galley;
use super::rows;
use crate::finding::{Finding, Level};
use crate::people::email;

pub const RULE: Rule = Rule {
    name: "email-unfit",
    level: Level::Warning,
    summary: "What stands in the roster as an e-mail address cannot be one.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in rows::all(galley) {
        let Some(address) = row.email.as_deref() else { continue };
        let Some(why) = email::unfit(address) else { continue };
        let message = format!("This cannot be an e-mail address: {why}.");
        let place = rows::place(galley, row, "email");
        findings.push(
            RULE.finding(&place, message)
                .says(address)
                .mend("Correct it, or leave the cell empty: addresses tell two people of one name apart."),
        );
    }
    findings
}

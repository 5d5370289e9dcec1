//! What stands in the column for e-mail cannot be an address.

use super::{Check, Find, people::PeopleContext};
use crate::addresses::email;
use crate::finding::{Finding, Level, Rule, Settable};

pub static RULE: Rule = Rule {
    name: "email-unfit",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An e-mail address on the roster cannot be one.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in people.rows() {
        let Some(address) = row.email.as_deref() else { continue };
        let place = people.place(row, "email");
        let Some(why) = email::unfit(address) else {
            if email::is_international(address) {
                let message = "This address has letters that not every mail server takes (RFC 6531), so no letter is made for it.";
                let mend = "Ask for an address in plain letters, or hand the certificate over otherwise.";
                findings.push(Finding::of(&RULE, place, message).says(address).mend(mend));
            }
            continue;
        };
        let message = format!("This cannot be an e-mail address: {why}.");
        findings.push(
            Finding::of(&RULE, place, message)
                .says(address)
                .mend("Correct it, or leave the cell empty: addresses tell two people of one name apart."),
        );
    }
    findings
}

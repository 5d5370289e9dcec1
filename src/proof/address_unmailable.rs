//! An address of the roster that no packet can be sent to.

use super::{Check, Find, people::PeopleContext};
use crate::addresses::{self, Address, Doubt, Style};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::settings::Mailing;

pub static RULE: Rule = Rule {
    name: "address-unmailable",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An address on the roster cannot get mail, or looks as if mail would come back.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let usual = Style { home: addresses::Country::united_states(), capitals: false };
    let style = people.program.content.settings.mailing.as_ref().map_or(usual, Mailing::style);
    let mut findings = Vec::new();
    for row in people.rows() {
        let Some(address) = row.address.as_ref().filter(|address| is_given(address)) else { continue };
        match addresses::doubts(address, &style) {
            Err(why) => findings
                .push(Finding::of(&RULE, people.place(row, why.column()), why.message()).mend(why.mend())),
            Ok(doubts) => findings.extend(doubts.iter().map(|doubt| {
                let finding = Finding::of(&RULE, people.place(row, doubt.column()), doubt.message());
                match doubt {
                    // The digits are the person's own.
                    Doubt::LostZero { offer } => finding
                        .instead(offer)
                        .mend("Write it with the zero, in a column whose cells hold text."),
                    Doubt::NoNumber => finding.mend(doubt.mend()),
                }
            })),
        }
    }
    findings
}

/// Forms fill in country and state by themselves: that is no address yet.
fn is_given(address: &Address) -> bool {
    [&address.street, &address.town, &address.postcode].iter().any(|part| !part.is_empty())
}

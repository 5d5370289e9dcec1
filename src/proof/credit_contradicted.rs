//! A column that nothing is read from says otherwise of a person than the column that counts: that they did not come,
//! did not pass, or are out after all.
//!
//! Where its heading surely asks that, the row is held; where it may ask for something else, it is only remarked on.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::scoring::Passed;
use crate::program::roster::{Against, Participant, Speaks};
use std::collections::{BTreeMap, BTreeSet};

pub static RULE: Rule = Rule {
    name: "credit-contradicted",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A column that packstring does not use says that somebody did not come or pass who would be credited.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let roster = &people.program.people.roster;
    if roster.against.is_empty() {
        return Vec::new();
    }
    let rows: BTreeMap<usize, &Participant> = people.rows().map(|row| (row.row, row)).collect();
    let mut remarked = BTreeSet::new();
    let of_cell = |against: &Against| {
        let row = rows.get(&against.row)?;
        // Nobody is credited for it anyway.
        if people.scores.passed(row) == Passed::No {
            return None;
        }
        if !against.sure && !remarked.insert(against.column) {
            return None;
        }
        told(people, against)
    };
    roster.against.iter().filter_map(of_cell).collect()
}

fn told(people: &PeopleContext, against: &Against) -> Option<Finding> {
    let roster = &people.program.people.roster;
    let cell = roster.row(against.row)?.cell(against.column)?;
    let heading = roster.columns.iter().find(|column| column.at == against.column)?.heading.as_str();
    let than = match against.speaks {
        Speaks::Passed => "than that the person passed",
        Speaks::Came | Speaks::Gone | Speaks::Status | Speaks::Day(_) => "than that the person attended",
    };
    let finding = Finding::of(&RULE, cell.place(), "");
    Some(match against.sure {
        true => Finding {
            message: format!(
                "The column “{heading}” says otherwise in row {} {than}, so nobody is credited for this row.",
                against.row
            ),
            ..finding
        }
        .says(&*cell.value())
        .mend(mend(against.speaks)),
        false => Finding {
            message: format!(
                "packstring does not use the column “{heading}”, but in row {} it may say something other {than}.",
                against.row
            ),
            ..finding
        }
        .says(&*cell.value())
        .mend("Check whether it is about this event. If it is, correct the column that counts.")
        .weighs(Level::Note),
    })
}

fn mend(speaks: Speaks) -> &'static str {
    match speaks {
        Speaks::Day(_) => {
            "Put one of the two right. An event over several days has all of them in program.toml (days = [...]), and a certificate for those who came on each. If the column means something else, give it another heading."
        }
        Speaks::Passed => {
            "Put one of the two right, or say which column counts: passed = \"...\" under [roster.headings] in program.toml. If the column means something else, give it another heading."
        }
        Speaks::Came => {
            "Put one of the two right, or say which column counts: attended = \"...\" under [roster.headings] in program.toml. If the column means something else, give it another heading."
        }
        Speaks::Gone | Speaks::Status => {
            "Write no in the column of attendance, or empty this cell. If the column means something else, give it another heading."
        }
    }
}

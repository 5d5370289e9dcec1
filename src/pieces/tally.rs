//! The tally of the service unit: hours, awards reached, near and given.
//!
//! Private. One PDF, and the same as tables: a workbook with the members, their awards and every entry,
//! and a CSV file with the members.
//!
//! `data` beside the common head: `hours` and `season` (`hours`, `minutes`), `near` (hours or percent),
//! `due`, `near_award`, `given` and `members`, each a list of objects that say what their names say.

use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table};
use crate::people::tally::{Member, Tally, parted, tally};
use crate::program::settings::NEAR;
use crate::program::share::Share;
use crate::quantity::Exact;
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let program = understood.root;
    if program.people.hours.is_empty() {
        return Vec::new();
    }
    let tally = tally(program);
    let title = common::title(understood, selection, "tally", &program.content.settings.season);
    let mut data = common::head(understood, selection, &title);
    data.insert("hours".into(), clock(&tally.hours));
    data.insert("season".into(), clock(&tally.season_hours));
    data.insert(
        "near".into(),
        match program.content.settings.hours.near.unwrap_or(NEAR) {
            Share::Count(hours) => json!({"hours": hours}),
            Share::Percent(percent) => json!({"percent": percent}),
        },
    );
    data.insert("due".into(), tally.members.iter().flat_map(due).collect());
    data.insert("near_award".into(), tally.members.iter().filter_map(near).collect());
    data.insert("given".into(), given(&tally));
    data.insert("members".into(), tally.members.iter().map(member).collect());
    let members = members_table(&tally);
    let book = vec![members.clone(), awards_table(&tally), entries_table(&tally)];
    let sheet = Sheet { template: "tally.typ".into(), data: Value::Object(data), ..Sheet::default() };
    vec![
        job("tally.pdf", Make::Sheet(sheet)),
        job("tally.csv", Make::Tables(vec![members])),
        job("tally.xlsx", Make::Tables(book)),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Tally, shelf: Shelf::Private, path: path.into(), make }
}

/// Hours for a template: whole hours and minutes, in digits.
fn clock(hours: &Exact) -> Value {
    let (hours, minutes) = parted(hours);
    json!({"hours": hours, "minutes": minutes})
}

fn due(member: &Member) -> Vec<Value> {
    let due = member.due().map(|reached| {
        json!({
            "award": reached.award.name,
            "name": member.name,
            "companion": member.companion(),
            "hours": clock(&member.hours),
            "on": reached.on.to_string(),
            "reward": reached.award.reward.as_ref().map(|reward| &reward.text),
            "size": member.size(),
        })
    });
    due.collect()
}

fn near(member: &Member) -> Option<Value> {
    let next = member.next.as_ref().filter(|next| next.near)?;
    Some(json!({
        "award": next.award.name,
        "name": member.name,
        "hours": clock(&member.hours),
        "missing": clock(&next.missing),
    }))
}

fn given(tally: &Tally) -> Value {
    let given = tally.given.iter().map(|given| {
        json!({
            "award": given.occasion.name(),
            "name": given.name,
            "day": given.day.to_string(),
            "number": given.number.to_string(),
        })
    });
    given.collect()
}

fn member(member: &Member) -> Value {
    json!({
        "name": member.name,
        "entries": member.entries.len(),
        "season": clock(&member.season_hours),
        "hours": clock(&member.hours),
        "awards": member.reached.iter().map(|reached| &reached.award.name).collect::<Vec<_>>(),
        "next": member.next.as_ref().map(|next| json!({"award": next.award.name, "missing": clock(&next.missing)})),
    })
}

fn members_table(tally: &Tally) -> Table {
    let headings = [
        "Name",
        "E-mail",
        "Entries",
        "Hours this season",
        "Hours in all",
        "Awards reached",
        "Next award",
        "Hours missing",
        "Near",
    ];
    let mut table = Table::new("Members", &headings);
    for member in &tally.members {
        let awards: Vec<&str> = member.reached.iter().map(|reached| reached.award.name.as_str()).collect();
        let next = member.next.as_ref();
        table.rows.push(vec![
            Cell::Text(member.name.to_owned()),
            Cell::text(member.email),
            Cell::count(member.entries.len()),
            Cell::Number(member.season_hours.clone()),
            Cell::Number(member.hours.clone()),
            Cell::Text(awards.join(", ")),
            Cell::text(next.map(|next| next.award.name.as_str())),
            next.map_or(Cell::Empty, |next| Cell::Number(next.missing.clone())),
            Cell::yes(next.is_some_and(|next| next.near)),
        ]);
    }
    table
}

fn awards_table(tally: &Tally) -> Table {
    let mut table = Table::new(
        "Awards",
        &["Award", "Name", "E-mail", "Hours full on", "Reward", "Size", "Given on", "Number"],
    );
    for member in &tally.members {
        for reached in &member.reached {
            table.rows.push(vec![
                Cell::Text(reached.award.name.clone()),
                Cell::Text(member.name.to_owned()),
                Cell::text(member.email),
                Cell::Date(reached.on),
                Cell::text(reached.award.reward.as_ref().map(|reward| reward.text.as_str())),
                Cell::text(member.size()),
                reached.given.map_or(Cell::Empty, |given| Cell::Date(given.day)),
                reached.given.map_or(Cell::Empty, |given| Cell::Text(given.number.to_string())),
            ]);
        }
    }
    table
}

fn entries_table(tally: &Tally) -> Table {
    let mut table = Table::new("Entries", &["Name", "E-mail", "Date", "Activity", "Hours"]);
    for member in &tally.members {
        for entry in &member.entries {
            table.rows.push(vec![
                Cell::Text(member.name.to_owned()),
                Cell::text(member.email),
                Cell::Date(entry.date),
                Cell::text(entry.activity.as_deref()),
                Cell::Number(entry.hours.clone()),
            ]);
        }
    }
    table
}

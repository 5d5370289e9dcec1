//! The tally of the service unit: hours, awards reached, near and given.
//!
//! Private. One PDF, and the same as tables: a workbook with the members, their awards and every entry,
//! and a CSV file with the members.

use super::common::Head;
use super::table_words::TableWords;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table};
use crate::people::tally::{Member, Tally, parted, tally};
use crate::program::settings::NEAR;
use crate::program::share::Share;
use crate::quantity::Exact;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `tally.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct TallySheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Of all members, in all seasons.
    hours: Clock,
    /// Of all members, this season.
    season: Clock,
    near: Near,
    /// Awards that are reached and not given yet.
    due: Vec<DueAward<'p>>,
    /// Awards that members are near to.
    near_award: Vec<NearAward<'p>>,
    given: Vec<GivenAward<'p>>,
    members: Vec<MemberRow<'p>>,
}

/// Whole hours and minutes, in digits.
#[derive(Serialize, JsonSchema)]
struct Clock {
    hours: String,
    minutes: String,
}

/// From when on a member is near an award: so many hours before it, or so many of a hundred of it.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Near {
    Hours(u32),
    Percent(u32),
}

/// An award that is reached and not given yet.
#[derive(Serialize, JsonSchema)]
struct DueAward<'p> {
    award: &'p str,
    name: &'p str,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<&'p str>,
    hours: Clock,
    /// The day on which the hours were full: 2026-05-16.
    on: String,
    /// What goes with the award; null where nothing does.
    reward: Option<&'p str>,
    /// The size of what they are to get; null where none is known.
    size: Option<&'p str>,
}

/// An award that a member is near to.
#[derive(Serialize, JsonSchema)]
struct NearAward<'p> {
    award: &'p str,
    name: &'p str,
    hours: Clock,
    missing: Clock,
}

/// An award that was given.
#[derive(Serialize, JsonSchema)]
struct GivenAward<'p> {
    award: &'p str,
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    day: String,
    /// The number of its certificate.
    number: String,
}

/// A member of the service unit.
#[derive(Serialize, JsonSchema)]
struct MemberRow<'p> {
    name: &'p str,
    /// How many entries of hours there are.
    entries: usize,
    season: Clock,
    hours: Clock,
    /// The names of the awards that are reached.
    awards: Vec<&'p str>,
    /// Null where there is none left.
    next: Option<NextAward<'p>>,
}

/// The award that a member reaches next.
#[derive(Serialize, JsonSchema)]
struct NextAward<'p> {
    award: &'p str,
    missing: Clock,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let program = understood.root;
    if program.people.hours.is_empty() {
        return Vec::new();
    }
    let tally = tally(program);
    let title = common::title(understood, selection, "tally", &program.content.settings.season);
    let data = TallySheet {
        head: common::head(understood, selection, &title),
        hours: clock(&tally.hours),
        season: clock(&tally.season_hours),
        near: match program.content.settings.hours.near.unwrap_or(NEAR) {
            Share::Count(hours) => Near::Hours(hours),
            Share::Percent(percent) => Near::Percent(percent),
        },
        due: tally.members.iter().flat_map(due).collect(),
        near_award: tally.members.iter().filter_map(near).collect(),
        given: given(&tally),
        members: tally.members.iter().map(member).collect(),
    };
    let words = TableWords::of(understood, selection);
    let members = members_table(&tally, &words);
    let book = vec![members.clone(), awards_table(&tally, &words), entries_table(&tally, &words)];
    vec![
        job("tally.pdf", Make::Sheet(Sheet::of("tally.typ", &data))),
        job("tally.csv", Make::Tables(vec![members])),
        job("tally.xlsx", Make::Tables(book)),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Tally, shelf: Shelf::Private, path: path.into(), make }
}

fn clock(hours: &Exact) -> Clock {
    let (hours, minutes) = parted(hours);
    Clock { hours, minutes }
}

fn due<'t>(member: &'t Member) -> Vec<DueAward<'t>> {
    let due = member.due().map(|reached| DueAward {
        award: &reached.award.name,
        name: member.name,
        companion: member.companion(),
        hours: clock(&member.hours),
        on: reached.on.to_string(),
        reward: reached.award.reward.as_ref().map(|reward| reward.text.as_str()),
        size: member.size(),
    });
    due.collect()
}

fn near<'t>(member: &'t Member) -> Option<NearAward<'t>> {
    let next = member.next.as_ref().filter(|next| next.near)?;
    Some(NearAward {
        award: &next.award.name,
        name: member.name,
        hours: clock(&member.hours),
        missing: clock(&next.missing),
    })
}

fn given<'t>(tally: &'t Tally) -> Vec<GivenAward<'t>> {
    let given = tally.given.iter().map(|given| GivenAward {
        award: given.occasion.name(),
        name: &given.name,
        day: given.day.to_string(),
        number: given.number.to_string(),
    });
    given.collect()
}

fn member<'t>(member: &'t Member) -> MemberRow<'t> {
    let next = member.next.as_ref();
    MemberRow {
        name: member.name,
        entries: member.entries.len(),
        season: clock(&member.season_hours),
        hours: clock(&member.hours),
        awards: member.reached.iter().map(|reached| reached.award.name.as_str()).collect(),
        next: next.map(|next| NextAward { award: &next.award.name, missing: clock(&next.missing) }),
    }
}

fn members_table(tally: &Tally, words: &TableWords) -> Table {
    let headings = [
        "name",
        "email",
        "entries",
        "hours-this-season",
        "hours-in-all",
        "awards-reached",
        "next-award",
        "hours-missing",
        "near",
    ];
    let mut table = words.table("members", &headings);
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
            words.yes(next.is_some_and(|next| next.near)),
        ]);
    }
    table
}

fn awards_table(tally: &Tally, words: &TableWords) -> Table {
    let headings = ["award", "name", "email", "hours-full-on", "reward", "size", "given-on", "number"];
    let mut table = words.table("awards", &headings);
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

fn entries_table(tally: &Tally, words: &TableWords) -> Table {
    let mut table = words.table("entries", &["name", "email", "date", "activity", "hours"]);
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

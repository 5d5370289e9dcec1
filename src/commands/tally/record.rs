//! The tally as JSON: nothing personal is in it. People stand by the lines of the files that they come from.
//! The form is published as `docs/tally.schema.json`.

use super::Counted;
use crate::commands::report::{FindingRecord, findings_told};
use crate::finding::{Finding, Place};
use crate::job;
use crate::people::rewards::Order;
use crate::people::tally::Member;
use crate::quantity::{Exact, plain};
use schemars::JsonSchema;
use serde::Serialize;
use std::io::{self, Write};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

/// Hours, awards and orders of the season. People stand by the lines of the files that they come from.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "What packstring tally --as json tells")]
pub struct TallyRecord<'p> {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    format: u32,
    season: &'p str,
    /// Of all seasons.
    hours: Hours,
    season_hours: Hours,
    members: Vec<MemberRecord<'p>>,
    /// Of the awards' certificates that were given.
    given: Vec<Number>,
    orders: Vec<OrderRecord<'p>>,
    /// People who asked to join the service unit.
    welcome: usize,
    findings: Vec<FindingRecord>,
}

/// In digits, 34.5; a fraction, 104/3, where no decimal is exact.
#[derive(Serialize, JsonSchema)]
#[schemars(extend("pattern" = r"^[0-9]+(\.[0-9]+)?$|^[0-9]+/[0-9]+$"))]
struct Hours(String);

/// The number of a certificate.
#[derive(Serialize, JsonSchema)]
#[schemars(extend("pattern" = "^[0-9A-Z]{4}-[0-9A-Z]{4}$"))]
struct Number(String);

/// A member of the service unit.
#[derive(Serialize, JsonSchema)]
struct MemberRecord<'p> {
    #[schemars(inner(range(min = 1)))]
    hours_lines: Vec<usize>,
    #[schemars(inner(range(min = 1)))]
    roster_lines: Vec<usize>,
    hours: Hours,
    season_hours: Hours,
    reached: Vec<ReachedRecord<'p>>,
    /// The award that comes next; null where all are reached.
    next: Option<NextRecord<'p>>,
}

/// An award that is reached.
#[derive(Serialize, JsonSchema)]
struct ReachedRecord<'p> {
    award: &'p str,
    /// The day on which the hours were full.
    #[schemars(extend("format" = "date"))]
    full_on: String,
    /// Of the certificate, where one was given.
    number: Option<Number>,
}

/// The award that comes next.
#[derive(Serialize, JsonSchema)]
struct NextRecord<'p> {
    award: &'p str,
    missing: Hours,
    near: bool,
}

/// A reward to order.
#[derive(Serialize, JsonSchema)]
struct OrderRecord<'p> {
    reward: &'p str,
    sizes: Vec<SizeRecord<'p>>,
    /// People who have to be asked for a size.
    size_unknown: usize,
}

/// How many to order of one size.
#[derive(Serialize, JsonSchema)]
struct SizeRecord<'p> {
    /// Null where the reward has no sizes.
    size: Option<&'p str>,
    give: usize,
    spares: usize,
    order: usize,
}

pub(super) fn write(told: &Counted, findings: &[Finding], out: &mut dyn Write) -> io::Result<()> {
    let line = |place: &Place| told.program.sources.line_column(place).line;
    let record = TallyRecord {
        format: FORMAT,
        season: &told.program.content.settings.season,
        hours: exact(&told.tally.hours),
        season_hours: exact(&told.tally.season_hours),
        members: told.tally.members.iter().map(|of_one| member(of_one, &line)).collect(),
        given: told.tally.given.iter().map(|given| Number(given.number.to_string())).collect(),
        orders: told.orders.iter().map(order).collect(),
        welcome: told.asked.len(),
        findings: findings_told(findings, &told.program.sources),
    };
    writeln!(out, "{:#}", job::data(&record))
}

fn member<'t>(member: &'t Member, line: &dyn Fn(&Place) -> usize) -> MemberRecord<'t> {
    let reached = member.reached.iter().map(|reached| ReachedRecord {
        award: &reached.award.name,
        full_on: reached.on.to_string(),
        number: reached.given.map(|given| Number(given.number.to_string())),
    });
    let next = member.next.as_ref();
    MemberRecord {
        hours_lines: member.entries.iter().map(|entry| line(&entry.place)).collect(),
        roster_lines: member.roster.iter().map(|row| line(&row.place)).collect(),
        hours: exact(&member.hours),
        season_hours: exact(&member.season_hours),
        reached: reached.collect(),
        next: next.map(|next| NextRecord {
            award: &next.award.name,
            missing: exact(&next.missing),
            near: next.near,
        }),
    }
}

fn order<'t>(order: &'t Order) -> OrderRecord<'t> {
    let sizes = order.lines.iter().map(|line| SizeRecord {
        size: line.size.as_deref(),
        give: line.give,
        spares: line.spares,
        order: line.give + line.spares,
    });
    OrderRecord { reward: order.reward, sizes: sizes.collect(), size_unknown: order.unknown.len() }
}

/// Hours in digits: `34.5`, or `104/3` where no decimal is exact.
fn exact(hours: &Exact) -> Hours {
    Hours(plain(hours))
}

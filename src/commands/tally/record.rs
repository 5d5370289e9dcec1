//! The tally as JSON: nothing personal is in it. People stand by the lines of the files that they come from.
//! The form is published as `docs/tally.schema.json`.

use super::Counted;
use crate::commands::report::findings_as_json;
use crate::finding::{Finding, Place};
use crate::people::tally::Member;
use crate::quantity::{Exact, plain};
use serde_json::{Value, json};
use std::io::{self, Write};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

pub(super) fn write(told: &Counted, findings: &[Finding], out: &mut dyn Write) -> io::Result<()> {
    let line = |place: &Place| told.program.sources.line_column(place).line;
    let lines = |member: &Member| member.entries.iter().map(|entry| line(&entry.place)).collect::<Vec<_>>();
    let members = told.tally.members.iter().map(|member| {
        let reached = member.reached.iter().map(|reached| {
            json!({
                "award": reached.award.name,
                "full_on": reached.on.to_string(),
                "number": reached.given.map(|given| given.number.to_string()),
            })
        });
        let next = member.next.as_ref();
        json!({
            "hours_lines": lines(member),
            "roster_lines": member.roster.iter().map(|row| line(&row.place)).collect::<Vec<_>>(),
            "hours": exact(&member.hours),
            "season_hours": exact(&member.season_hours),
            "reached": reached.collect::<Value>(),
            "next": next.map(|next| json!({"award": next.award.name, "missing": exact(&next.missing), "near": next.near})),
        })
    });
    let orders = told.orders.iter().map(|order| {
        let sizes = order.lines.iter().map(|line| {
            json!({"size": line.size, "give": line.give, "spares": line.spares, "order": line.give + line.spares})
        });
        json!({"reward": order.reward, "sizes": sizes.collect::<Value>(), "size_unknown": order.unknown.len()})
    });
    let told = json!({
        "format": FORMAT,
        "season": told.program.content.settings.season,
        "hours": exact(&told.tally.hours),
        "season_hours": exact(&told.tally.season_hours),
        "members": members.collect::<Value>(),
        "given": told.tally.given.iter().map(|given| given.number.to_string()).collect::<Vec<_>>(),
        "orders": orders.collect::<Value>(),
        "welcome": told.asked.len(),
        "findings": findings_as_json(findings, &told.program.sources),
    });
    writeln!(out, "{told:#}")
}

/// Hours in digits: `34.5`, or `104/3` where no decimal is exact.
fn exact(hours: &Exact) -> String {
    plain(hours)
}

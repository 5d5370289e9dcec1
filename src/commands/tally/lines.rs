//! The tally in lines for reading.

use super::Counted;
use crate::commands::report::{counted, plain};
use crate::people::rewards::Order;
use crate::people::tally::{Member, parted};
use crate::people::welcome::JoinRequest;
use crate::program::settings::NEAR;
use crate::program::share::Share;
use crate::quantity::Exact;
use std::io::{self, Write};

pub(super) fn write(told: &Counted, out: &mut dyn Write) -> io::Result<()> {
    write_hours(told, out)?;
    if !told.tally.members.is_empty() {
        write_awards(told, out)?;
    }
    write_orders(&told.orders, out)?;
    write_welcome(&told.asked, out)
}

fn write_hours(told: &Counted, out: &mut dyn Write) -> io::Result<()> {
    let tally = &told.tally;
    if tally.members.is_empty() {
        return writeln!(
            out,
            "No hours are logged. Write them into people/hours.csv: name, email, date, activity, hours.\n"
        );
    }
    let people = match tally.members.len() {
        1 => "1 person".to_owned(),
        many => format!("{many} people"),
    };
    let entries = counted(told.program.people.hours.len(), "row");
    writeln!(
        out,
        "{people} logged {} in season {}, {} in all seasons ({entries}).\n",
        words(&tally.season_hours),
        plain(&told.program.content.settings.season),
        words(&tally.hours)
    )?;
    let lines = tally
        .members
        .iter()
        .map(|member| vec![plain(member.name), words(&member.season_hours), words(&member.hours)]);
    let head = vec!["Name".to_owned(), "This season".to_owned(), "In all".to_owned()];
    columns(std::iter::once(head).chain(lines).collect(), out)
}

fn write_awards(told: &Counted, out: &mut dyn Write) -> io::Result<()> {
    let members = &told.tally.members;
    let due = |member: &Member| -> Vec<Vec<String>> {
        let due = member.due().map(|reached| {
            let reward = reached.award.reward.as_ref().map(|reward| plain(&reward.text));
            let since = format!("full on {}", reached.on);
            vec![
                plain(&reached.award.name),
                plain(member.name),
                words(&member.hours),
                since,
                reward.unwrap_or_default(),
            ]
        });
        due.collect()
    };
    section(
        "Awards to give",
        members.iter().flat_map(due).collect(),
        "nobody has reached an award that was not given",
        out,
    )?;
    let near = members.iter().filter_map(|member| {
        let next = member.next.as_ref().filter(|next| next.near)?;
        Some(vec![plain(&next.award.name), plain(member.name), format!("{} missing", words(&next.missing))])
    });
    let within = match told.program.content.settings.hours.near.unwrap_or(NEAR) {
        Share::Count(hours) => format!("Near an award (at most {hours} h missing)"),
        Share::Percent(percent) => format!("Near an award (at most {percent} % of its hours missing)"),
    };
    section(&within, near.collect(), "nobody", out)?;
    let given = told.tally.given.iter().map(|given| {
        vec![
            plain(given.occasion.name()),
            plain(&given.name),
            format!("given on {}", given.day),
            given.number.to_string(),
        ]
    });
    section("Given already", given.collect(), "the register has no award", out)
}

fn write_orders(orders: &[Order], out: &mut dyn Write) -> io::Result<()> {
    let mut lines = Vec::new();
    for order in orders {
        for line in &order.lines {
            let size = line.size.as_deref().map(|size| format!(", {}", plain(size))).unwrap_or_default();
            lines.push(vec![
                format!("{}{size}", plain(order.reward)),
                format!("{} to give", line.give),
                counted(line.spares, "spare"),
                format!("{} to order", line.give + line.spares),
            ]);
        }
        if !order.unknown.is_empty() {
            let who: Vec<String> = order.unknown.iter().map(|due| plain(due.name)).collect();
            lines.push(vec![
                format!("{}, size not known", plain(order.reward)),
                format!("{} to ask: {}", who.len(), who.join(", ")),
            ]);
        }
    }
    section("To order", lines, "nobody is due a reward", out)
}

fn write_welcome(asked: &[JoinRequest], out: &mut dyn Write) -> io::Result<()> {
    let lines = asked.iter().map(|asked| {
        vec![
            plain(asked.name),
            plain(asked.email.unwrap_or("no e-mail address")),
            plain(&asked.companions.join(", ")),
            plain(&asked.events.join("; ")),
        ]
    });
    section("To welcome to the service unit", lines.collect(), "nobody asked to join", out)
}

/// A heading and lines below it, or that there are none.
fn section(heading: &str, lines: Vec<Vec<String>>, none: &str, out: &mut dyn Write) -> io::Result<()> {
    if lines.is_empty() {
        return writeln!(out, "{heading}: {none}.\n");
    }
    writeln!(out, "{heading}: {}", lines.len())?;
    columns(lines, out)
}

/// Lines whose parts stand one below the other, and an empty line.
fn columns(lines: Vec<Vec<String>>, out: &mut dyn Write) -> io::Result<()> {
    let letters = |part: &String| part.chars().count();
    let width = |at: usize| {
        // One very long name does not push all the others' columns away.
        lines
            .iter()
            .filter(|line| line.len() > at + 1)
            .map(|line| letters(&line[at]))
            .max()
            .unwrap_or(0)
            .min(32)
    };
    let widths: Vec<usize> = (0..lines.iter().map(Vec::len).max().unwrap_or(0)).map(width).collect();
    for line in &lines {
        let mut told = String::new();
        for (part, &width) in line.iter().zip(&widths) {
            told += &format!("  {part:width$}");
        }
        writeln!(out, "{}", told.trim_end())?;
    }
    writeln!(out)
}

/// `34 h 30 min`.
fn words(hours: &Exact) -> String {
    match parted(hours) {
        (hours, minutes) if minutes == "0" => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

//! The hours of the season, by month and activity, and the awards that were reached in it.

use super::number;
use crate::people::plain_name;
use crate::people::tally::{Member, tally};
use crate::program::Program;
use crate::program::hours::Service as Entry;
use crate::program::season_record::{ActivityHours, MonthHours, Named, Service};
use crate::quantity::Exact;
use num_traits::{ToPrimitive, Zero};
use std::collections::{BTreeMap, BTreeSet};

/// `None` where there is no hours file.
pub(super) fn count(program: &Program) -> Option<Service> {
    if program.people.hours.is_empty() {
        return None;
    }
    let tally = tally(program);
    let (from, until) = program.content.settings.season_days();
    let season = from..=until;
    let entries: Vec<(usize, &Entry)> = tally
        .members
        .iter()
        .enumerate()
        .flat_map(|(member, of)| of.entries.iter().map(move |entry| (member, *entry)))
        .filter(|(_, entry)| season.contains(&entry.date))
        .collect();
    let mut months: BTreeMap<String, Sum> = BTreeMap::new();
    let mut activities: BTreeMap<String, (String, Sum)> = BTreeMap::new();
    for (member, entry) in &entries {
        let month = format!("{:04}-{:02}", entry.date.year(), entry.date.month());
        months.entry(month).or_default().add(*member, entry);
        let name = entry.activity.clone().unwrap_or_default();
        activities.entry(plain_name(&name)).or_insert_with(|| (name, Sum::default())).1.add(*member, entry);
    }
    let mut activities: Vec<(String, Sum)> = activities.into_values().collect();
    activities.sort_by(|(left, one), (right, other)| other.hours.cmp(&one.hours).then(left.cmp(right)));
    let reached = |award: &str, member: &&Member| {
        member.reached.iter().any(|reached| reached.award.name == award && season.contains(&reached.on))
    };
    Some(Service {
        people: number(entries.iter().map(|(member, _)| member).collect::<BTreeSet<_>>().len()),
        hours: hundredths(&tally.season_hours),
        months: months
            .into_iter()
            .map(|(month, sum)| MonthHours { month, people: sum.people(), hours: hundredths(&sum.hours) })
            .collect(),
        activities: activities
            .into_iter()
            .map(|(name, sum)| ActivityHours { name, people: sum.people(), hours: hundredths(&sum.hours) })
            .collect(),
        awards: program
            .content
            .settings
            .awards
            .iter()
            .map(|award| Named {
                name: award.name.clone(),
                count: number(tally.members.iter().filter(|member| reached(&award.name, member)).count()),
            })
            .collect(),
    })
}

/// Hours of several people together.
struct Sum {
    hours: Exact,
    people: BTreeSet<usize>,
}

impl Default for Sum {
    fn default() -> Self {
        Self { hours: Exact::zero(), people: BTreeSet::new() }
    }
}

impl Sum {
    fn add(&mut self, member: usize, entry: &Entry) {
        self.hours += &entry.hours;
        self.people.insert(member);
    }

    fn people(&self) -> u32 {
        number(self.people.len())
    }
}

/// To a hundredth, for print and for comparing; sums are exact up to here.
fn hundredths(hours: &Exact) -> f64 {
    let scaled = (hours * Exact::from_integer(100.into())).round().to_integer();
    scaled.to_f64().unwrap_or_default() / 100.0
}

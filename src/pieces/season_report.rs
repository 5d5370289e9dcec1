//! The season report: what the season achieved, as a paper and a workbook, once for the ranger and the agency
//! and once for everybody, without small counts; and its bare counts, which next year's report is compared
//! with.
//!
//! The counting is in [`crate::people::season`]. Here it becomes data for `season-report.typ` ([`model`]) and tables.

mod model;
mod months;
mod questions;
mod tables;

pub(super) use model::SeasonReport;

use super::table_words::TableWords;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::people::scoring::Scores;
use crate::people::season::shown::{self, HoursRow, Shown, ShownPeople, ShownService, ShownVisits};
use crate::people::season::{self, Season};
use crate::statistics::suppression::{Disclosure, FEWEST_PRINTED};
use crate::understand::Understood;
use model::{
    Activity, Count, Earlier, EventRow, MonthRow, NamedCount, PeopleCounts, Service, ServiceMonth,
    VisitCounts,
};
use std::collections::{BTreeMap, BTreeSet};

/// Nothing where there is neither a roster nor an hours file.
pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let Some(season) = season::count(understood, scores) else { return Vec::new() };
    let earlier = understood.root.people.earlier.as_deref();
    let whole = Paper {
        open: false,
        now: shown::whole(&season.record),
        then: earlier.map(shown::whole),
        season: &season,
    };
    let open = Paper {
        open: true,
        now: shown::open(&season.record),
        then: earlier.map(shown::open),
        season: &season,
    };
    let mut jobs = Vec::new();
    for paper in [whole, open] {
        let (shelf, name) =
            if paper.open { (Shelf::Open, "season-summary") } else { (Shelf::Private, "season-report") };
        let sheet = Make::Sheet(Sheet::of("season-report.typ", &paper.data(understood, selection)));
        let book = Make::Tables(tables::tables(understood, &paper, &TableWords::of(understood, selection)));
        for (make, ending) in [(sheet, "pdf"), (book, "xlsx")] {
            jobs.push(Job { piece: Piece::SeasonReport, shelf, path: format!("{name}.{ending}"), make });
        }
    }
    jobs.push(Job {
        piece: Piece::SeasonReport,
        shelf: Shelf::Private,
        path: "season-report.json".into(),
        make: Make::Text(season.record.to_json()),
    });
    jobs
}

/// One of the two reports.
struct Paper<'s> {
    open: bool,
    now: Shown,
    then: Option<Shown>,
    season: &'s Season,
}

impl Paper<'_> {
    fn data<'a>(&'a self, understood: &Understood<'a>, selection: &Selection) -> SeasonReport<'a> {
        let kind = if self.open { "season-summary" } else { "season-report" };
        let title = common::title(understood, selection, kind, &self.now.season);
        SeasonReport {
            head: common::head(understood, selection, &title),
            open: self.open,
            fewest: FEWEST_PRINTED,
            season: &self.now.season,
            earlier: self.then.as_ref().map(earlier),
            people: self.now.people.as_ref().map(people),
            events: self.events(),
            months: self.months(understood),
            whole: visits(&self.now.whole),
            service: self.now.service.as_ref().map(|now| self.service(now)),
            rewards: named(&self.now.rewards),
            questions: questions::data(understood, self),
            without_rows: &self.season.without_rows,
        }
    }

    fn events(&self) -> Vec<EventRow<'_>> {
        let events = self.now.events.iter().map(|event| EventRow {
            name: &event.name,
            date: event.date.to_string(),
            visits: visits(&event.visits),
        });
        events.collect()
    }

    /// Every month from the first to the last of both seasons. Where a month had nothing, that is told as none; what
    /// is not known is left out: the months after the last that was counted, and one with an event of which the
    /// roster says nothing.
    fn months(&self, understood: &Understood) -> Vec<MonthRow> {
        let now: BTreeMap<u8, &ShownVisits> = by_month(&self.now.months, |(month, of_it)| (month, of_it));
        let then: BTreeMap<u8, &ShownVisits> = self
            .then
            .as_ref()
            .map(|then| by_month(&then.months, |(month, of_it)| (month, of_it)))
            .unwrap_or_default();
        let held: BTreeSet<u8> = understood
            .content
            .settings
            .events
            .iter()
            .flat_map(|event| event.days())
            .filter_map(|day| u8::try_from(day.month()).ok())
            .collect();
        let order = months::in_order(&now.keys().chain(then.keys()).copied().collect());
        let last = order.iter().rposition(|month| now.contains_key(month));
        let row = |(at, month): (usize, &u8)| MonthRow {
            visits: match now.get(month) {
                Some(of_it) => Some(visits(of_it)),
                None if Some(at) > last || held.contains(month) => None,
                None => Some(VisitCounts::none()),
            },
            then: match then.get(month) {
                Some(of_it) => Some(of_it.came.into()),
                None if then.is_empty() => None,
                None => Some(Count::Exactly(0)),
            },
            month: *month,
        };
        order.iter().enumerate().map(row).collect()
    }

    fn service<'a>(&self, now: &'a ShownService) -> Service<'a> {
        let then = self.then.as_ref().and_then(|then| then.service.as_ref());
        let months = by_month(&now.months, |(month, people, hours)| (month, (*people, *hours)));
        let before = match then {
            // Where this season's months are withheld, there is nothing to compare.
            Some(then) if !months.is_empty() => by_month(&then.months, |(month, _, hours)| (month, *hours)),
            _ => BTreeMap::new(),
        };
        let order = months::in_order(&months.keys().chain(before.keys()).copied().collect());
        let last = order.iter().rposition(|month| months.contains_key(month));
        let row = |(at, month): (usize, &u8)| {
            let (people, hours) = match months.get(month) {
                Some((people, hours)) => (Some((*people).into()), Some(*hours)),
                None if Some(at) > last => (None, None),
                None => (Some(Count::Exactly(0)), Some(Some(0.0))),
            };
            let then = match before.get(month) {
                Some(hours) => Some(*hours),
                None if before.is_empty() => None,
                None => Some(Some(0.0)),
            };
            ServiceMonth { people, hours, then, month: *month }
        };
        Service {
            people: now.people.into(),
            hours: now.hours.into(),
            months: order.iter().enumerate().map(row).collect(),
            activities: now.activities.iter().map(activity).collect(),
            awards: named(&now.awards),
        }
    }
}

/// What is known of each month of the year, from 1, January.
fn by_month<'r, Row, Of>(rows: &'r [Row], of: impl Fn(&'r Row) -> (&'r String, Of)) -> BTreeMap<u8, Of> {
    rows.iter().map(of).filter_map(|(month, of_it)| Some((number_of(in_year(month))?, of_it))).collect()
}

fn activity((name, people, of_them): &HoursRow) -> Activity<'_> {
    Activity { name, people: (*people).into(), hours: (*of_them).into() }
}

fn earlier(then: &Shown) -> Earlier<'_> {
    Earlier {
        season: &then.season,
        people: then.people.as_ref().map(people),
        whole: (!then.events.is_empty()).then(|| visits(&then.whole)),
        hours: then.service.as_ref().map(|service| service.hours.into()),
    }
}

/// `2026-05` as its place in the year.
fn in_year(month: &str) -> &str {
    month.rsplit('-').next().unwrap_or(month)
}

/// From 1, January.
fn number_of(month: &str) -> Option<u8> {
    month.parse().ok().filter(|month| (1..=12).contains(month))
}

fn people(people: &ShownPeople) -> PeopleCounts {
    PeopleCounts {
        came: people.came.into(),
        completed: people.completed.into(),
        repeat: people.repeat.into(),
        joining: people.joining.into(),
    }
}

fn visits(visits: &ShownVisits) -> VisitCounts {
    VisitCounts {
        signed_up: visits.signed_up.into(),
        came: visits.came.into(),
        completed: visits.completed.into(),
        been_before: visits.been_before.into(),
    }
}

fn named(list: &[(String, Disclosure)]) -> Vec<NamedCount<'_>> {
    list.iter().map(|(name, of_it)| NamedCount { name, count: Count::from(*of_it) }).collect()
}

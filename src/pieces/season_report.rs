//! The season report: what the season achieved, as a paper and a workbook, once for the ranger and the agency
//! and once for everybody, without small counts; and its bare counts, which next year's report is compared
//! with.
//!
//! The counting is in [`crate::people::season`]. Here it becomes data for `season-report.typ` ([`model`]) and tables.

mod model;
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
use std::collections::BTreeMap;

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
            months: self.months(),
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

    fn months(&self) -> Vec<MonthRow> {
        let came = |shown: &Shown| -> BTreeMap<String, Disclosure> {
            shown.months.iter().map(|(month, visits)| (in_year(month), visits.came)).collect()
        };
        let then = self.then.as_ref().map(came).unwrap_or_default();
        let mut months: BTreeMap<String, MonthRow> = BTreeMap::new();
        for (month, of_it) in &self.now.months {
            months.entry(in_year(month)).or_default().visits = Some(visits(of_it));
        }
        for (month, came) in then {
            months.entry(month).or_default().then = Some(came.into());
        }
        let row = |(month, row): (String, MonthRow)| Some(MonthRow { month: number_of(&month)?, ..row });
        months.into_iter().filter_map(row).collect()
    }

    fn service<'a>(&self, now: &'a ShownService) -> Service<'a> {
        let then = self.then.as_ref().and_then(|then| then.service.as_ref());
        let mut months: BTreeMap<String, ServiceMonth> = BTreeMap::new();
        for (month, people, hours) in &now.months {
            let row = months.entry(in_year(month)).or_default();
            row.people = Some((*people).into());
            row.hours = Some(*hours);
        }
        for (month, _, hours) in then.iter().flat_map(|then| &then.months) {
            // Where this season's months are withheld, there is nothing to compare.
            if !now.months.is_empty() {
                months.entry(in_year(month)).or_default().then = Some(*hours);
            }
        }
        let row =
            |(month, row): (String, ServiceMonth)| Some(ServiceMonth { month: number_of(&month)?, ..row });
        Service {
            people: now.people.into(),
            hours: now.hours.into(),
            months: months.into_iter().filter_map(row).collect(),
            activities: now.activities.iter().map(activity).collect(),
            awards: named(&now.awards),
        }
    }
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
fn in_year(month: &str) -> String {
    month.rsplit('-').next().unwrap_or(month).to_owned()
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

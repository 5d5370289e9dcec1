//! The season report: what the season achieved, as a paper and a workbook, once for the ranger and the agency
//! and once for everybody, without small counts; and its bare counts, which next year's report is compared
//! with.
//!
//! The counting is in [`crate::people::season`]. Here it becomes data for `season-report.typ` and tables. A
//! count in the data is a number, `{"low": 40, "high": 44}` where only a band is told, `"withheld"`, or null
//! where there is none; a statistic is
//! `{"value": "0.83"}`, or `{"why": "no-variance"}` where it is not defined.
//!
//! `data` beside the common head: `open` (whether it is for everybody), `season`, `earlier` (null, or
//! `season`, `people`, `whole`, `hours` of the season compared with), `people`, `events`, `months` (each with
//! `then`, what the same month had in the earlier season), `whole`, `service`, `rewards`, `questions`,
//! `without_rows`.

mod questions;
mod tables;

use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::people::scoring::Scores;
use crate::people::season::shown::{self, HoursRow, Shown, ShownPeople, ShownService, ShownVisits};
use crate::people::season::{self, Season};
use crate::statistics::suppression::{Disclosure, FEWEST_PRINTED};
use crate::understand::Understood;
use serde_json::{Map, Value, json};
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
    let record = serde_json::to_string_pretty(&season.record).expect("counts have a form as JSON");
    let mut jobs = Vec::new();
    for paper in [whole, open] {
        let (shelf, name) =
            if paper.open { (Shelf::Open, "season-summary") } else { (Shelf::Private, "season-report") };
        let sheet = Make::Sheet(Sheet {
            template: "season-report.typ".into(),
            data: paper.data(understood, selection),
            ..Sheet::default()
        });
        let book = Make::Tables(tables::tables(understood, &paper));
        for (make, ending) in [(sheet, "pdf"), (book, "xlsx")] {
            jobs.push(Job { piece: Piece::SeasonReport, shelf, path: format!("{name}.{ending}"), make });
        }
    }
    jobs.push(Job {
        piece: Piece::SeasonReport,
        shelf: Shelf::Private,
        path: "season-report.json".into(),
        make: Make::Text(record + "\n"),
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
    fn data(&self, understood: &Understood, selection: &Selection) -> Value {
        let kind = if self.open { "season-summary" } else { "season-report" };
        let mut data = common::head(
            understood,
            selection,
            &common::title(understood, selection, kind, &self.now.season),
        );
        data.insert("open".into(), json!(self.open));
        data.insert("fewest".into(), json!(FEWEST_PRINTED));
        data.insert("season".into(), json!(self.now.season));
        data.insert("earlier".into(), self.then.as_ref().map_or(Value::Null, earlier));
        data.insert("people".into(), self.now.people.as_ref().map_or(Value::Null, people));
        data.insert("events".into(), self.events());
        data.insert("months".into(), self.months());
        data.insert("whole".into(), visits(&self.now.whole));
        data.insert("service".into(), self.now.service.as_ref().map_or(Value::Null, |now| self.service(now)));
        data.insert("rewards".into(), named(&self.now.rewards));
        data.insert("questions".into(), questions::data(understood, self));
        data.insert("without_rows".into(), json!(self.season.without_rows));
        Value::Object(data)
    }

    fn events(&self) -> Value {
        let event = |event: &shown::ShownEvent| json!({"name": event.name, "date": event.date.to_string(), "visits": visits(&event.visits)});
        self.now.events.iter().map(event).collect()
    }

    /// The months of both seasons, by their place in the year.
    fn months(&self) -> Value {
        let came = |shown: &Shown| -> BTreeMap<String, Disclosure> {
            shown.months.iter().map(|(month, visits)| (in_year(month), visits.came)).collect()
        };
        let then = self.then.as_ref().map(came).unwrap_or_default();
        let mut months: BTreeMap<String, Map<String, Value>> = BTreeMap::new();
        for (month, of_it) in &self.now.months {
            let row = months.entry(in_year(month)).or_default();
            row.insert("visits".into(), visits(of_it));
        }
        for (month, came) in then {
            months.entry(month).or_default().insert("then".into(), count(came));
        }
        list_of_months(months)
    }

    fn service(&self, now: &ShownService) -> Value {
        let then = self.then.as_ref().and_then(|then| then.service.as_ref());
        let mut months: BTreeMap<String, Map<String, Value>> = BTreeMap::new();
        for (month, people, hours) in &now.months {
            let row = months.entry(in_year(month)).or_default();
            row.insert("people".into(), count(*people));
            row.insert("hours".into(), json!(hours));
        }
        for (month, _, hours) in then.iter().flat_map(|then| &then.months) {
            // Where this season's months are withheld, there is nothing to compare.
            if !now.months.is_empty() {
                months.entry(in_year(month)).or_default().insert("then".into(), json!(hours));
            }
        }
        json!({
            "people": count(now.people),
            "hours": hours(now.hours),
            "months": list_of_months(months),
            "activities": now.activities.iter().map(activity).collect::<Vec<_>>(),
            "awards": named(&now.awards),
        })
    }
}

fn activity((name, people, of_them): &HoursRow) -> Value {
    json!({"name": name, "people": count(*people), "hours": hours(*of_them)})
}

fn earlier(then: &Shown) -> Value {
    let service = then.service.as_ref();
    json!({
        "season": then.season,
        "people": then.people.as_ref().map(people),
        "whole": if then.events.is_empty() { Value::Null } else { visits(&then.whole) },
        "hours": service.map(|service| hours(service.hours)),
    })
}

/// `2026-05` as its place in the year.
fn in_year(month: &str) -> String {
    month.rsplit('-').next().unwrap_or(month).to_owned()
}

fn list_of_months(months: BTreeMap<String, Map<String, Value>>) -> Value {
    months
        .into_iter()
        .filter_map(|(month, mut row)| {
            row.insert(
                "month".into(),
                json!(month.parse::<u8>().ok().filter(|month| (1..=12).contains(month))?),
            );
            Some(Value::Object(row))
        })
        .collect()
}

fn people(people: &ShownPeople) -> Value {
    json!({
        "came": count(people.came),
        "completed": count(people.completed),
        "repeat": count(people.repeat),
        "joining": count(people.joining),
    })
}

fn visits(visits: &ShownVisits) -> Value {
    json!({
        "signed_up": count(visits.signed_up),
        "came": count(visits.came),
        "completed": count(visits.completed),
        "been_before": count(visits.been_before),
    })
}

fn named(list: &[(String, Disclosure)]) -> Value {
    list.iter().map(|(name, of_it)| json!({"name": name, "count": count(*of_it)})).collect()
}

fn count(count: Disclosure) -> Value {
    match count {
        Disclosure::Exactly(count) => json!(count),
        Disclosure::Between(low, high) => json!({"low": low, "high": high}),
        Disclosure::Withheld => json!("withheld"),
    }
}

fn hours(hours: Option<f64>) -> Value {
    hours.map_or(json!("withheld"), |hours| json!(hours))
}

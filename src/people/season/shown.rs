//! What of a season's counts may be printed: all of them for the agency, and for everybody only those that
//! [`crate::people::withheld`] lets through.
//!
//! For everybody, the counts of events, months and the whole season stand in one ledger with all that follows
//! from one another: sums over events and months, those who came but did not complete, those who came
//! for the first time, the visits beyond each person's first. No-shows are not printed at all. Hours are
//! printed where at least five people gave them, and by month or activity only where that holds of each month
//! or activity. An earlier season goes through the same rule with all its counts, so that what its own
//! summary withheld is withheld again.

use crate::people::withheld::{CountId, FEWEST_PRINTED, Ledger, Told};
use crate::program::season_record::{Named, SeasonRecord, Service, Visits};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What is printed of a season.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    pub season: String,
    pub people: Option<ShownPeople>,
    /// By date.
    pub events: Vec<ShownEvent>,
    /// Year and month, `2026-05`; months without an event are left out.
    pub months: Vec<(String, ShownVisits)>,
    pub whole: ShownVisits,
    pub service: Option<ShownService>,
    pub rewards: Vec<(String, Told)>,
    pub questions: Option<ShownQuestions>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownEvent {
    pub name: String,
    pub date: Date,
    pub visits: ShownVisits,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShownPeople {
    pub came: Told,
    pub completed: Told,
    pub repeat: Told,
    pub joining: Told,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShownVisits {
    /// For the agency alone.
    pub signed_up: Told,
    pub came: Told,
    pub completed: Told,
    pub been_before: Told,
}

/// What stands in a row of hours: its name, how many people, how many hours.
pub type HoursRow = (String, Told, Option<f64>);

#[derive(Clone, Debug, PartialEq)]
pub struct ShownService {
    pub people: Told,
    pub hours: Option<f64>,
    /// Empty where they are withheld.
    pub months: Vec<HoursRow>,
    pub activities: Vec<HoursRow>,
    pub awards: Vec<(String, Told)>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownQuestions {
    pub sheets: Told,
    /// Of each question, how many had it right.
    pub right: Vec<(String, Told)>,
}

/// Everything, for the ranger and the agency.
pub fn whole(record: &SeasonRecord) -> Shown {
    let visits = |visits: Visits| ShownVisits {
        signed_up: Told::Exactly(visits.signed_up),
        came: Told::Exactly(visits.came),
        completed: Told::Exactly(visits.completed),
        been_before: Told::Exactly(visits.been_before),
    };
    let named =
        |list: &[Named]| list.iter().map(|named| (named.name.clone(), Told::Exactly(named.count))).collect();
    Shown {
        season: record.season.clone(),
        people: record.people.map(|people| ShownPeople {
            came: Told::Exactly(people.came),
            completed: Told::Exactly(people.completed),
            repeat: Told::Exactly(people.repeat),
            joining: Told::Exactly(people.joining),
        }),
        events: record
            .events
            .iter()
            .map(|event| ShownEvent {
                name: event.name.clone(),
                date: event.date,
                visits: visits(event.visits),
            })
            .collect(),
        months: months(record).into_iter().map(|(month, of_it)| (month, visits(of_it))).collect(),
        whole: visits(record.visits()),
        service: record.service.as_ref().map(|service| ShownService {
            people: Told::Exactly(service.people),
            hours: Some(service.hours),
            months: month_hours(service),
            activities: activity_hours(service),
            awards: named(&service.awards),
        }),
        rewards: record
            .rewards
            .iter()
            .map(|reward| (reward.name.clone(), Told::Exactly(reward.count)))
            .collect(),
        questions: record.questions.as_ref().map(|questions| ShownQuestions {
            sheets: Told::Exactly(questions.sheets),
            right: questions.list.iter().map(|one| (one.id.clone(), Told::Exactly(one.right))).collect(),
        }),
    }
}

/// What everybody may read.
pub fn open(record: &SeasonRecord) -> Shown {
    let mut ledger = Ledger::default();
    let events: Vec<Row> = record.events.iter().map(|event| Row::of(&mut ledger, event.visits)).collect();
    let months: Vec<(String, Row)> = months(record)
        .into_iter()
        .map(|(month, visits)| {
            let row = Row::of(&mut ledger, visits);
            let parts = record.events.iter().zip(&events).filter(|(event, _)| month_of(event.date) == month);
            row.is_sum_of(&mut ledger, &parts.map(|(_, row)| *row).collect::<Vec<_>>());
            (month, row)
        })
        .collect();
    let all = Row::of(&mut ledger, record.visits());
    all.is_sum_of(&mut ledger, &months.iter().map(|(_, row)| *row).collect::<Vec<_>>());
    let people = record.people.map(|people| {
        let ids = [people.came, people.completed, people.repeat, people.joining].map(|n| ledger.count(n));
        let [came, completed, repeat, _] = ids;
        for part in [completed, repeat] {
            try_rest(&mut ledger, came, part);
        }
        // The visits beyond a person's first, which are also among those of people who had been before.
        if let Some(again) = try_rest(&mut ledger, all.came, came) {
            try_rest(&mut ledger, all.been_before, again);
        }
        try_rest(&mut ledger, all.completed, completed);
        ids
    });
    let service = record.service.as_ref().map(|service| {
        let awards: Vec<CountId> = service.awards.iter().map(|award| ledger.count(award.count)).collect();
        (ledger.count(service.people), awards)
    });
    let awards = record.service.iter().flat_map(|service| &service.awards).map(|award| &award.name);
    let award_ids = service.iter().flat_map(|(_, ids)| ids);
    let awards: Vec<(&String, CountId)> = awards.zip(award_ids.copied()).collect();
    let rewards: Vec<CountId> = record
        .rewards
        .iter()
        .map(|reward| {
            let total = ledger.count(reward.count);
            let completed = people.filter(|_| reward.completion).map(|[_, completed, ..]| completed);
            let of_awards = awards.iter().filter(|(name, _)| reward.awards.contains(name)).map(|(_, id)| *id);
            let parts: Vec<CountId> = completed.into_iter().chain(of_awards).collect();
            if ledger.adds_up(total, &parts) {
                ledger.sum(total, &parts);
            }
            total
        })
        .collect();
    let questions = record.questions.as_ref().map(|questions| {
        let sheets = ledger.count(questions.sheets);
        let right: Vec<CountId> = questions.list.iter().map(|one| ledger.count(one.right)).collect();
        right.iter().for_each(|right| {
            try_rest(&mut ledger, sheets, *right);
        });
        (sheets, right)
    });
    ledger.withhold();
    let print = |id: CountId| ledger.told(id);
    Shown {
        season: record.season.clone(),
        people: people.map(|[came, completed, repeat, joining]| ShownPeople {
            came: print(came),
            completed: print(completed),
            repeat: print(repeat),
            joining: print(joining),
        }),
        events: record
            .events
            .iter()
            .zip(&events)
            .map(|(event, row)| ShownEvent {
                name: event.name.clone(),
                date: event.date,
                visits: row.printed(&ledger),
            })
            .collect(),
        months: months.iter().map(|(month, row)| (month.clone(), row.printed(&ledger))).collect(),
        whole: all.printed(&ledger),
        service: record.service.as_ref().zip(service).map(|(service, (people, awards))| ShownService {
            people: print(people),
            hours: (service.people >= FEWEST_PRINTED).then_some(service.hours),
            months: if_all_large(month_hours(service)),
            activities: if_all_large(activity_hours(service)),
            awards: service
                .awards
                .iter()
                .zip(awards)
                .map(|(award, id)| (award.name.clone(), print(id)))
                .collect(),
        }),
        rewards: record
            .rewards
            .iter()
            .zip(rewards)
            .map(|(reward, id)| (reward.name.clone(), print(id)))
            .collect(),
        questions: record.questions.as_ref().zip(questions).map(|(questions, (sheets, right))| {
            ShownQuestions {
                sheets: print(sheets),
                right: questions
                    .list
                    .iter()
                    .zip(right)
                    .map(|(one, id)| (one.id.clone(), print(id)))
                    .collect(),
            }
        }),
    }
}

/// The difference as a count of its own; none where a hand-made file has counts that no season can have.
fn try_rest(ledger: &mut Ledger, total: CountId, part: CountId) -> Option<CountId> {
    ledger.is_part(total, part).then(|| ledger.rest(total, part))
}

/// A row of visits in the ledger.
#[derive(Clone, Copy)]
struct Row {
    came: CountId,
    completed: CountId,
    been_before: CountId,
}

impl Row {
    fn of(ledger: &mut Ledger, visits: Visits) -> Self {
        let came = ledger.count(visits.came);
        let row = Self {
            came,
            completed: ledger.count(visits.completed),
            been_before: ledger.count(visits.been_before),
        };
        try_rest(ledger, came, row.completed);
        try_rest(ledger, came, row.been_before);
        row
    }

    fn is_sum_of(self, ledger: &mut Ledger, parts: &[Self]) {
        let columns: [fn(&Self) -> CountId; 3] = [|row| row.came, |row| row.completed, |row| row.been_before];
        for column in columns {
            ledger.sum(column(&self), &parts.iter().map(column).collect::<Vec<_>>());
        }
    }

    fn printed(self, ledger: &Ledger) -> ShownVisits {
        ShownVisits {
            signed_up: Told::Withheld,
            came: ledger.told(self.came),
            completed: ledger.told(self.completed),
            been_before: ledger.told(self.been_before),
        }
    }
}

fn month_of(date: Date) -> String {
    format!("{:04}-{:02}", date.year(), date.month())
}

fn months(record: &SeasonRecord) -> BTreeMap<String, Visits> {
    let mut months: BTreeMap<String, Visits> = BTreeMap::new();
    for event in &record.events {
        *months.entry(month_of(event.date)).or_default() += event.visits;
    }
    months
}

fn month_hours(service: &Service) -> Vec<HoursRow> {
    service
        .months
        .iter()
        .map(|month| (month.month.clone(), Told::Exactly(month.people), Some(month.hours)))
        .collect()
}

fn activity_hours(service: &Service) -> Vec<HoursRow> {
    let row = |activity: &crate::program::season_record::ActivityHours| {
        (activity.name.clone(), Told::Exactly(activity.people), Some(activity.hours))
    };
    service.activities.iter().map(row).collect()
}

/// The rows, where each is about enough people; else none of them.
fn if_all_large(rows: Vec<HoursRow>) -> Vec<HoursRow> {
    let is_large = |row: &HoursRow| matches!(row.1, Told::Exactly(people) if people >= FEWEST_PRINTED);
    if rows.iter().all(is_large) { rows } else { Vec::new() }
}

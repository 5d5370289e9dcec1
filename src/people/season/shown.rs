//! What of a season's counts may be printed: all of them for the agency, and for everybody only those that
//! [`crate::statistics::suppression`] lets through.
//!
//! For everybody, the counts of events, months and the whole season stand in one ledger with all that follows
//! from one another: sums over events and months, those who came but did not complete, those who came
//! for the first time, the visits beyond each person's first. No-shows are not printed at all. Hours are
//! printed where at least five people gave them, and by month or activity only where that holds of each month
//! or activity. An earlier season goes through the same rule with all its counts, so that what its own
//! summary withheld is withheld again.

use crate::program::season_record::{
    ActivityHours, EventCounts, Named, People, RewardCount, SeasonRecord, Service, Visits,
};
use crate::statistics::suppression::{CountId, Disclosure, FEWEST_PRINTED, Ledger};
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
    pub rewards: Vec<(String, Disclosure)>,
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
    pub came: Disclosure,
    pub completed: Disclosure,
    pub repeat: Disclosure,
    pub joining: Disclosure,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShownVisits {
    /// For the agency alone.
    pub signed_up: Disclosure,
    pub came: Disclosure,
    pub completed: Disclosure,
    pub been_before: Disclosure,
}

/// What stands in a row of hours: its name, how many people, how many hours.
pub type HoursRow = (String, Disclosure, Option<f64>);

#[derive(Clone, Debug, PartialEq)]
pub struct ShownService {
    pub people: Disclosure,
    pub hours: Option<f64>,
    /// Empty where they are withheld.
    pub months: Vec<HoursRow>,
    pub activities: Vec<HoursRow>,
    pub awards: Vec<(String, Disclosure)>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownQuestions {
    pub sheets: Disclosure,
    /// Of each question, how many had it right.
    pub right: Vec<(String, Disclosure)>,
}

/// Everything, for the ranger and the agency.
pub fn whole(record: &SeasonRecord) -> Shown {
    Counts::enter(record).shown(record, Audience::Agency)
}

/// What everybody may read.
pub fn open(record: &SeasonRecord) -> Shown {
    let mut counts = Counts::enter(record);
    counts.ledger.withhold();
    counts.shown(record, Audience::Everybody)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Audience {
    Agency,
    Everybody,
}

/// The counts of a season in one ledger, in the order of its record.
struct Counts {
    ledger: Ledger,
    events: Vec<Row>,
    months: Vec<(String, Row)>,
    whole: Row,
    /// Who came, completed, came again and joins.
    people: Option<[CountId; 4]>,
    /// Who served, and who reached each award.
    service: Option<(CountId, Vec<CountId>)>,
    rewards: Vec<CountId>,
    /// The sheets, and who had each question right.
    questions: Option<(CountId, Vec<CountId>)>,
}

impl Counts {
    fn enter(record: &SeasonRecord) -> Self {
        let mut ledger = Ledger::default();
        let events: Vec<Row> = record.events.iter().map(|event| Row::of(&mut ledger, event.visits)).collect();
        let months: Vec<(String, Row)> = months(record)
            .into_iter()
            .map(|(month, visits)| {
                let row = Row::of(&mut ledger, visits);
                let parts = record.events.iter().zip(&events);
                let parts = parts.filter(|(event, _)| month_of(event.date) == month);
                row.is_sum_of(&mut ledger, &parts.map(|(_, row)| *row).collect::<Vec<_>>());
                (month, row)
            })
            .collect();
        let whole = Row::of(&mut ledger, record.visits());
        whole.is_sum_of(&mut ledger, &months.iter().map(|(_, row)| *row).collect::<Vec<_>>());
        let people = record.people.map(|people| enter_people(&mut ledger, people, whole));
        let service = record.service.as_ref().map(|service| {
            let awards: Vec<CountId> = service.awards.iter().map(|award| ledger.count(award.count)).collect();
            (ledger.count(service.people), awards)
        });
        let awards = service.as_ref().map_or(&[][..], |(_, awards)| awards);
        let rewards = enter_rewards(&mut ledger, record, people, awards);
        let questions = record.questions.as_ref().map(|questions| {
            let sheets = ledger.count(questions.sheets);
            let right: Vec<CountId> = questions.list.iter().map(|one| ledger.count(one.right)).collect();
            right.iter().for_each(|right| {
                try_rest(&mut ledger, sheets, *right);
            });
            (sheets, right)
        });
        Self { ledger, events, months, whole, people, service, rewards, questions }
    }

    fn shown(&self, record: &SeasonRecord, reader: Audience) -> Shown {
        let told = |id: CountId| self.ledger.told(id);
        let visits = |row: &Row| row.shown(&self.ledger, reader);
        let event = |(event, row): (&EventCounts, &Row)| ShownEvent {
            name: event.name.clone(),
            date: event.date,
            visits: visits(row),
        };
        let rewards = record.rewards.iter().zip(&self.rewards);
        let service = record.service.as_ref().zip(self.service.as_ref());
        let questions = record.questions.as_ref().zip(self.questions.as_ref());
        Shown {
            season: record.season.clone(),
            people: self.people.map(|ids| {
                let [came, completed, repeat, joining] = ids.map(told);
                ShownPeople { came, completed, repeat, joining }
            }),
            events: record.events.iter().zip(&self.events).map(event).collect(),
            months: self.months.iter().map(|(month, row)| (month.clone(), visits(row))).collect(),
            whole: visits(&self.whole),
            service: service.map(|(service, ids)| self.service(service, ids, reader)),
            rewards: rewards.map(|(reward, id)| (reward.name.clone(), told(*id))).collect(),
            questions: questions.map(|(questions, (sheets, right))| {
                let right = questions.list.iter().zip(right);
                ShownQuestions {
                    sheets: told(*sheets),
                    right: right.map(|(one, id)| (one.id.clone(), told(*id))).collect(),
                }
            }),
        }
    }

    fn service(
        &self,
        service: &Service,
        (people, awards): &(CountId, Vec<CountId>),
        reader: Audience,
    ) -> ShownService {
        let rows = |rows: Vec<HoursRow>| if reader == Audience::Agency { rows } else { if_all_large(rows) };
        let is_told = reader == Audience::Agency || service.people >= FEWEST_PRINTED;
        let awards = service.awards.iter().zip(awards);
        ShownService {
            people: self.ledger.told(*people),
            hours: is_told.then_some(service.hours),
            months: rows(month_hours(service)),
            activities: rows(activity_hours(service)),
            awards: awards.map(|(award, id)| (award.name.clone(), self.ledger.told(*id))).collect(),
        }
    }
}

fn enter_people(ledger: &mut Ledger, people: People, whole: Row) -> [CountId; 4] {
    let ids = [people.came, people.completed, people.repeat, people.joining].map(|n| ledger.count(n));
    let [came, completed, repeat, _] = ids;
    for part in [completed, repeat] {
        try_rest(ledger, came, part);
    }
    // The visits beyond a person's first, which are also among those of people who had been before.
    if let Some(again) = try_rest(ledger, whole.came, came) {
        try_rest(ledger, whole.been_before, again);
    }
    try_rest(ledger, whole.completed, completed);
    ids
}

/// A reward is given to all who completed, with awards, or both.
fn enter_rewards(
    ledger: &mut Ledger,
    record: &SeasonRecord,
    people: Option<[CountId; 4]>,
    awards: &[CountId],
) -> Vec<CountId> {
    let named = record.service.iter().flat_map(|service| &service.awards).zip(awards);
    let named: Vec<(&Named, &CountId)> = named.collect();
    let enter = |reward: &RewardCount| {
        let total = ledger.count(reward.count);
        let completed = people.filter(|_| reward.completion).map(|[_, completed, ..]| completed);
        let of_awards = named.iter().filter(|(award, _)| reward.awards.contains(&award.name));
        let parts: Vec<CountId> = completed.into_iter().chain(of_awards.map(|(_, id)| **id)).collect();
        if ledger.adds_up(total, &parts) {
            ledger.sum(total, &parts);
        }
        total
    };
    record.rewards.iter().map(enter).collect()
}

/// The difference as a count of its own; none where a hand-made file has counts that no season can have.
fn try_rest(ledger: &mut Ledger, total: CountId, part: CountId) -> Option<CountId> {
    ledger.is_part(total, part).then(|| ledger.rest(total, part))
}

/// A row of visits in the ledger.
#[derive(Clone, Copy)]
struct Row {
    /// No count of the ledger: it is for the agency alone.
    signed_up: u32,
    came: CountId,
    completed: CountId,
    been_before: CountId,
}

impl Row {
    fn of(ledger: &mut Ledger, visits: Visits) -> Self {
        let came = ledger.count(visits.came);
        let row = Self {
            signed_up: visits.signed_up,
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

    fn shown(self, ledger: &Ledger, reader: Audience) -> ShownVisits {
        ShownVisits {
            signed_up: match reader {
                Audience::Agency => Disclosure::Exactly(self.signed_up),
                Audience::Everybody => Disclosure::Withheld,
            },
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
        .map(|month| (month.month.clone(), Disclosure::Exactly(month.people), Some(month.hours)))
        .collect()
}

fn activity_hours(service: &Service) -> Vec<HoursRow> {
    let row = |activity: &ActivityHours| {
        (activity.name.clone(), Disclosure::Exactly(activity.people), Some(activity.hours))
    };
    service.activities.iter().map(row).collect()
}

/// The rows, where each is about enough people; else none of them.
fn if_all_large(rows: Vec<HoursRow>) -> Vec<HoursRow> {
    let is_large = |row: &HoursRow| matches!(row.1, Disclosure::Exactly(people) if people >= FEWEST_PRINTED);
    if rows.iter().all(is_large) { rows } else { Vec::new() }
}

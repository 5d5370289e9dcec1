//! Today: the event, its list with boxes to tick for who came, and whoever was not on it.

use super::changed;
use super::frame::{self, Frame};
use super::state::{Desk, View};
use super::web::Reply;
use crate::finding::{Finding, Level};
use crate::people::plain_name;
use crate::people::scoring::Passed;
use crate::program::roster::{Field, Participant, Roster};
use crate::program::settings::Event;
use crate::program::tables::{Form, Table};
use crate::session::{CellAsked, Paper, RowAsked, Session, Written, row_key};
use jiff::civil::Date;
use serde_json::{Value, json};
use std::collections::{BTreeMap, HashMap};

/// So many people stand on one page.
const ON_A_PAGE: usize = 100;

/// The page that the desk opens on: today's event, else the next one, else the last.
pub(super) fn first(desk: &mut Desk, page: &Frame) -> Reply {
    let id = desk.session().and_then(|session| {
        let events = &session.program().content.settings.events;
        nearest(events, session.today()).map(|event| event.id.clone())
    });
    match id {
        Some(id) => event(desk, page, &id),
        None => frame::told(desk, page, 200, "no-events"),
    }
}

/// The event of a day, the next one after it, or the last before it.
fn nearest(events: &[Event], today: Date) -> Option<&Event> {
    let on = events.iter().find(|event| event.date <= today && today <= event.last_day());
    let next = events.iter().filter(|event| event.date > today).min_by_key(|event| event.date);
    on.or(next).or_else(|| events.iter().max_by_key(|event| event.last_day()))
}

/// An event's page.
pub(super) fn event(desk: &mut Desk, page: &Frame, id: &str) -> Reply {
    listed(desk, page, id, None)
}

/// The event's people whose name or companion has some words in it. What is sought comes in a form and stands in no
/// address.
pub(super) fn find(desk: &mut Desk, page: &Frame, id: &str) -> Reply {
    let words = page.asked.field("words").trim().to_owned();
    match words.is_empty() {
        true => Reply::go_to(format!("/event/{id}")),
        false => listed(desk, page, id, Some(&words)),
    }
}

fn listed(desk: &mut Desk, page: &Frame, id: &str, sought: Option<&str>) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let Some(event) = event_of(session, id) else { return frame::told(desk, page, 404, "no-event") };
    let number: usize = page.asked.asks("page").parse().unwrap_or(1);
    let data = data(session, &view, event, (number.max(1), sought));
    frame::page(desk, page, "today.html", "today", data)
}

pub(super) fn event_of<'s>(session: &'s Session, id: &str) -> Option<&'s Event> {
    session.program().content.settings.events.iter().find(|event| event.id == id)
}

fn data(session: &Session, view: &View, event: &Event, (number, sought): (usize, Option<&str>)) -> Value {
    let roster = session.roster();
    let mut rows: Vec<&Participant> = roster.rows.iter().filter(|row| row.event == event.id).collect();
    // As they are looked for at the door.
    rows.sort_by_cached_key(|row| plain_name(&row.name));
    let all = rows.len();
    let came = rows.iter().filter(|row| row.attended).count();
    let papers = |is: &dyn Fn(&Paper) -> bool| {
        rows.iter().filter(|row| view.papers.rows.get(&row.row).is_some_and(is)).count()
    };
    let counts = json!({
        "all": all,
        "came": came,
        "ready": papers(&|paper| matches!(paper, Paper::Ready)),
        "held": papers(&|paper| matches!(paper, Paper::Held(_))),
        "given": papers(&|paper| matches!(paper, Paper::Given { .. })),
    });
    if let Some(sought) = sought {
        let wanted = plain_name(sought);
        let holds = |text: &str| plain_name(text).contains(&wanted);
        rows.retain(|row| holds(&row.name) || row.companion.as_deref().is_some_and(holds));
    }
    let pages = rows.len().div_ceil(ON_A_PAGE).max(1);
    let number = number.min(pages);
    let shown = rows.iter().skip((number - 1) * ON_A_PAGE).take(ON_A_PAGE);
    let ticks = roster.table.as_ref().map(|table| Ticks::of(roster, table, event)).unwrap_or_default();
    let today = session.today();
    let settings = &session.program().content.settings;
    json!({
        "event": {
            "id": event.id,
            "name": event.name,
            "date": frame::date(event.date),
            "last": (event.last_day() != event.date).then(|| frame::date(event.last_day())),
            "place": event.venue,
            "when": when(event, today),
            "certified": event.certified,
        },
        "events": settings.events.iter().map(|other| json!({
            "id": other.id,
            "name": other.name,
            "date": frame::date(other.date),
            "when": when(other, today),
            "here": other.id == event.id,
        })).collect::<Vec<_>>(),
        "counts": counts,
        "rows": shown.map(|row| row_data(session, view, &ticks, row)).collect::<Vec<_>>(),
        "page": { "number": number, "of": pages },
        "sought": sought,
        "found": rows.len(),
        "walk_in": walk_in_columns(roster),
        "file": roster.table.as_ref().map(|table| table.file.to_string()),
        "workbook": roster.table.as_ref().is_some_and(|table| matches!(table.form, Form::Workbook { .. })),
        "held": session.people_are_held(),
        "told": of_list(session, view),
    })
}

fn when(event: &Event, today: Date) -> &'static str {
    match () {
        () if event.last_day() < today => "past",
        () if event.date > today => "coming",
        () => "today",
    }
}

/// What concerns the roster as a whole, or all certificates.
fn of_list(session: &Session, view: &View) -> Vec<Value> {
    let table = session.roster().table.as_ref();
    let of_file = view.findings.iter().filter(|finding| {
        table.is_some_and(|table| finding.place.file == table.file)
            && finding.level > Level::Note
            && !view.of_rows.values().any(|told| told.contains(finding))
    });
    let mut all: Vec<&Finding> = view.papers.told.iter().collect();
    all.extend(of_file);
    all.dedup();
    all.into_iter().map(told).collect()
}

/// A finding, in words.
pub(super) fn told(finding: &Finding) -> Value {
    json!({
        "level": finding.level.word(),
        "message": finding.message,
        "instead": finding.instead,
        "mend": finding.mend,
        "rule": finding.rule.name,
    })
}

/// The columns that say who came to an event, and what stands there for yes and for no.
#[derive(Default)]
pub(super) struct Ticks(Vec<Tick>);

struct Tick {
    column: usize,
    /// Of an event over several days, its day.
    day: Option<(usize, Date)>,
    yes: String,
    no: String,
}

impl Ticks {
    pub fn of(roster: &Roster, table: &Table, event: &Event) -> Self {
        let days = event.days();
        let of_day = |at: usize| {
            let mut columns = roster.columns.iter();
            columns.find(|column| column.day().is_some_and(|mark| mark.among(&days) == Some(at)))
        };
        let by_days: Vec<(usize, usize)> =
            (0..days.len()).filter_map(|at| Some((at, of_day(at)?.at))).collect();
        let attended = roster.columns_of(Field::Attended).first().copied();
        let ticks = match (attended, by_days.is_empty()) {
            // Several days each have a box where each has a column.
            (_, false) if days.len() > 1 || attended.is_none() => {
                let several = days.len() > 1;
                let one = |(at, column): (usize, usize)| {
                    Tick::of(roster, table, column, several.then_some((at, days[at])))
                };
                by_days.into_iter().map(one).collect()
            }
            (Some(column), _) => vec![Tick::of(roster, table, column, None)],
            (None, _) => Vec::new(),
        };
        Self(ticks)
    }

    fn data(&self, table: &Table, person: &Participant) -> Vec<Value> {
        let row = table.row(person.row);
        let one = |tick: &Tick| {
            let was = row.and_then(|row| row.cell(tick.column)).map(|cell| cell.value().into_owned());
            let was = was.unwrap_or_default();
            let on = match tick.day {
                Some((at, _)) => person.days.get(at).copied().unwrap_or(person.attended),
                None => person.attended,
            };
            json!({
                "column": tick.column,
                "day": tick.day.map(|(_, day)| frame::date(day)),
                "was": was,
                "now": if on { &tick.no } else { &tick.yes },
                "on": on,
            })
        };
        self.0.iter().map(one).collect()
    }
}

impl Tick {
    /// Yes and no in the words that the column uses already.
    fn of(roster: &Roster, table: &Table, column: usize, day: Option<(usize, Date)>) -> Self {
        let mut said: [BTreeMap<String, usize>; 2] = Default::default();
        for person in &roster.rows {
            let Some(cell) = table.row(person.row).and_then(|row| row.cell(column)) else { continue };
            // What names days of an event says neither yes nor no.
            let came = match day {
                Some((at, _)) => person.days.get(at).copied(),
                None => person.days.is_empty().then_some(person.attended),
            };
            let value = cell.value();
            if let (Some(came), false) = (came, value.is_empty()) {
                *said[usize::from(came)].entry(value.into_owned()).or_default() += 1;
            }
        }
        let most = |said: &BTreeMap<String, usize>| {
            // Of words that are said as often, the first.
            said.iter().rev().max_by_key(|(_, count)| **count).map(|(word, _)| word.clone())
        };
        let [no, yes] = said;
        Self {
            column,
            day,
            yes: most(&yes).unwrap_or_else(|| "yes".to_owned()),
            no: most(&no).unwrap_or_default(),
        }
    }
}

fn row_data(session: &Session, view: &View, ticks: &Ticks, person: &Participant) -> Value {
    let roster = session.roster();
    let table = roster.table.as_deref();
    let key = table.and_then(|table| table.row(person.row)).map(|row| row_key(roster, row));
    json!({
        "row": person.row,
        "key": key,
        "name": person.name,
        "companion": person.companion,
        "ticks": table.map(|table| ticks.data(table, person)).unwrap_or_default(),
        "state": state(view, person),
        "lacks": lacks(roster, person),
        "told": told_of(view, person),
    })
}

/// What is told of a person: what holds the certificate, and then the rest.
pub(super) fn told_of(view: &View, person: &Participant) -> Vec<Value> {
    let held = match view.papers.rows.get(&person.row) {
        Some(Paper::Held(why)) => why.as_slice(),
        _ => &[],
    };
    let of_row = view.of_rows.get(&person.row).map_or(&[][..], Vec::as_slice);
    let more = of_row.iter().filter(|finding| !held.contains(finding));
    held.iter().chain(more).map(told).collect()
}

/// How a person stands with the certificate: a key among the words, with the number and the day where it was given.
pub(super) fn state(view: &View, person: &Participant) -> Value {
    let key = match view.papers.rows.get(&person.row) {
        Some(Paper::Given { number, day }) => {
            return json!({ "key": "given", "number": number, "day": frame::date(*day) });
        }
        Some(Paper::Withdrawn { number, day, why }) => {
            return json!({ "key": "withdrawn", "number": number, "day": frame::date(*day), "why": why });
        }
        Some(Paper::Ready) => "ready",
        Some(Paper::Held(_)) if person.attended => "held",
        Some(Paper::Held(_)) | None => match (person.attended, view.passed.get(&person.row)) {
            (false, _) => "expected",
            (true, Some(Passed::No)) => "not-passed",
            (true, Some(Passed::Waits)) => "waits",
            (true, Some(Passed::Unsaid) | None) => "unsaid",
            (true, Some(Passed::Yes)) => "came",
        },
    };
    json!({ "key": key, "number": Value::Null, "day": Value::Null })
}

/// What the roster has a column for and does not say of a person.
fn lacks(roster: &Roster, person: &Participant) -> Vec<&'static str> {
    let has = |field| !roster.columns_of(field).is_empty();
    let lacking = [
        ("address", has(Field::Street) && person.address.is_none()),
        ("size", has(Field::Size) && person.size.is_none()),
    ];
    lacking.into_iter().filter(|(_, lacks)| *lacks).map(|(key, _)| key).collect()
}

/// What is asked of somebody who was not on the list: the columns of the name, and a few more where the roster has them.
fn walk_in_columns(roster: &Roster) -> Vec<Value> {
    let fields = [Field::Name, Field::Companion, Field::Email, Field::Size];
    let columns = fields.into_iter().flat_map(|field| {
        let all = roster.columns_of(field);
        let several = all.len() > 1;
        all.into_iter().map(move |column| (field, column, several))
    });
    columns.map(|(field, column, several)| column_data(roster, field, column, several, "")).collect()
}

/// A column to be filled in.
pub(super) fn column_data(roster: &Roster, field: Field, column: usize, several: bool, value: &str) -> Value {
    let heading = roster.columns.get(column).map(|column| column.heading.as_str());
    json!({
        "column": column,
        "field": field.word(),
        // Where a field has several columns, the heading says which it is.
        "heading": several.then_some(heading),
        "value": value,
        "lines": value.contains(['\n', '\r']),
    })
}

/// Ticks somebody who came, or takes the tick off.
pub(super) fn tick(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let (Some(row), Some(column)) = (asked.number("row"), asked.number("column")) else {
        return frame::told(desk, page, 400, "not-understood");
    };
    let row = RowAsked { row, key: asked.field("key").to_owned() };
    let cell = CellAsked { column, was: asked.field("was").to_owned(), now: asked.field("now").to_owned() };
    if !may_write(desk, [column]) {
        return frame::told(desk, page, 400, "not-understood");
    }
    let event = asked.field("event").to_owned();
    if desk.session().is_none_or(|session| event_of(session, &event).is_none()) {
        return frame::told(desk, page, 404, "no-event");
    }
    let page_number = asked.number("page").filter(|page| *page > 1);
    let back = format!("/event/{event}{}", page_number.map(|at| format!("?page={at}")).unwrap_or_default());
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    let written = session.write_row(&row, &[cell]);
    changed::answer(desk, page, (&event, &back), "tick", written)
}

/// Whether a form may write into these columns: those that are understood, or that say who came on a day. The event of a
/// row is no matter of this page.
pub(super) fn may_write(desk: &Desk, columns: impl IntoIterator<Item = usize>) -> bool {
    let Some(session) = desk.session() else { return false };
    let known = |at: usize| {
        session.roster().columns.iter().any(|column| {
            column.at == at && (column.day().is_some() || column.field().is_some_and(|it| it != Field::Event))
        })
    };
    columns.into_iter().all(known)
}

/// Adds somebody who was not on the list, and came.
pub(super) fn walk_in(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let id = asked.field("event").to_owned();
    let words: Vec<(usize, String)> = asked
        .form
        .iter()
        .filter_map(|(name, value)| Some((name.strip_prefix('c')?.parse().ok()?, value.trim().to_owned())))
        .collect();
    if !may_write(desk, words.iter().map(|(column, _)| *column)) {
        return frame::told(desk, page, 400, "not-understood");
    }
    let Some(session) = desk.session() else { return frame::told(desk, page, 500, "nowhere") };
    let Some(event) = event_of(session, &id) else { return frame::told(desk, page, 404, "no-event") };
    let roster = session.roster().clone();
    let name_columns = roster.columns_of(Field::Name);
    let said: Vec<&str> = name_columns
        .iter()
        .filter_map(|at| words.iter().find(|(column, _)| column == at))
        .map(|(_, words)| words.as_str())
        .filter(|words| !words.is_empty())
        .collect();
    let name = said.join(" ");
    if name.is_empty() {
        return frame::told(desk, page, 400, "no-name");
    }
    let same = |row: &&Participant| row.event == id && plain_name(&row.name) == plain_name(&name);
    if asked.field("sure") != "yes"
        && let Some(known) = roster.rows.iter().find(same)
    {
        // Nobody is put down twice because of a second click, or because the list was not looked at.
        let data = json!({
            "event": { "id": id, "name": event.name },
            "name": name,
            "row": known.row,
            "known": { "name": known.name, "companion": known.companion },
            "fields": words.iter().map(|(column, words)| json!({ "column": column, "value": words })).collect::<Vec<_>>(),
        });
        return frame::page(desk, page, "again.html", "today", data).status(409);
    }
    let Some(table) = &roster.table else { return frame::told(desk, page, 500, "no-roster") };
    let mut cells = words;
    cells.extend(roster.columns_of(Field::Event).first().map(|at| (*at, event_word(&roster, table, &id))));
    let today = session.today();
    for tick in Ticks::of(&roster, table, event).0 {
        // Of several days, today's; where it is none of them, the ranger ticks which.
        if tick.day.is_none_or(|(_, day)| day == today) {
            cells.push((tick.column, tick.yes));
        }
    }
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    let written = session.add_row(&cells);
    let back = match &written {
        Ok(Written::Saved(change)) => format!("/row/{}", change.row.row),
        _ => format!("/event/{id}"),
    };
    changed::answer(desk, page, (&id, &back), "walk-in", written)
}

/// What the other rows of an event call it.
fn event_word(roster: &Roster, table: &Table, id: &str) -> String {
    let column = roster.columns_of(Field::Event).first().copied();
    let mut said: HashMap<String, usize> = HashMap::new();
    for person in roster.rows.iter().filter(|row| row.event == id) {
        if let Some(cell) = column.and_then(|at| table.row(person.row)?.cell(at)) {
            *said.entry(cell.value().into_owned()).or_default() += 1;
        }
    }
    let most = said.into_iter().max_by(|(one, a), (other, b)| a.cmp(b).then_with(|| other.cmp(one)));
    most.map_or_else(|| id.to_owned(), |(word, _)| word)
}

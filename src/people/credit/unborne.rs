//! Certificates that count and that the roster does not bear out any more: their row says by now that the person
//! did not attend or pass, or is gone.

use super::due::Due;
use super::is_of_earlier_season;
use super::laid::Laid;
use super::occasions::Occasions;
use super::standing::Valid;
use crate::credential::number::Number;
use crate::finding::Place;
use crate::people::plain_name;
use crate::people::scoring::{Passed, Scores};
use crate::people::tally::{Member, same_person};
use crate::program::Program;
use crate::program::register::{Given, Occasion};
use crate::program::roster::Participant;
use std::collections::{BTreeSet, HashMap};

/// Why a certificate is not borne out.
#[derive(Clone, Copy, Debug)]
pub enum Unborne<'p> {
    /// The row says that the person did not attend.
    Absent(&'p Participant),
    /// Neither it nor the answers say that the person passed.
    Failed(&'p Participant),
    /// Something else that the certificate needs is not done.
    Lacking(&'p Participant),
    /// It has the row of another certificate of the same person: two events were made one.
    Beside,
    /// There is no row of the person, though there are others of the event.
    Gone,
    /// The roster has no row of the event any more.
    EventGone,
    /// The program has no such event any more, in the season in which it was given.
    EventUnknown,
    /// By now the hours are fewer than the award asks for; where they stand.
    TooFewHours(&'p Place),
    /// Nobody of the hours is that person.
    HoursGone,
}

/// The certificates that count, for events of the program, and that no row bears out, in the order in which they
/// were given. Those that a row is held as a correction of are told there.
pub fn unborne<'p>(laid: &Laid<'p, 'p>, scores: &Scores, due: &Due) -> Vec<(&'p Given, Unborne<'p>)> {
    let (program, needs) = (laid.program, &laid.needs);
    let asked = due.corrected.iter().chain(&due.unsure).map(|row| &row.number).chain(&due.moved);
    let asked: BTreeSet<&str> = asked.map(Number::plain).collect();
    let events: BTreeSet<&str> = program.people.roster.rows.iter().map(|row| row.event.as_str()).collect();
    let passed = |row: &Participant| scores.passed(row) == Passed::Yes;
    let lacks = |row: &'p Participant, id: &str| {
        let mut events = program.content.settings.events.iter();
        events
            .find(|event| event.id == id)
            .is_some_and(|event| !needs.lacking(row, event, &passed).is_empty())
    };
    let mut found = Vec::new();
    for Valid { given, event, row, is_beside } in laid.standings.valid() {
        let why = match row {
            Some(row) if !row.attended => Unborne::Absent(row),
            Some(row) if matches!(scores.passed(row), Passed::No | Passed::Unsaid) => Unborne::Failed(row),
            Some(row) if lacks(row, event) => Unborne::Lacking(row),
            Some(_) if is_beside => Unborne::Beside,
            Some(_) => continue,
            None if asked.contains(given.number.plain()) => continue,
            None if events.contains(event) => Unborne::Gone,
            None => Unborne::EventGone,
        };
        found.push((given, why));
    }
    found.extend(of_events_unknown(program, due));
    found.extend(of_awards(laid, &asked));
    found
}

/// Certificates of this season for events that the program does not have any more, but for those of which it is
/// asked what they are called by now.
fn of_events_unknown<'p>(program: &'p Program, due: &Due) -> Vec<(&'p Given, Unborne<'p>)> {
    let register = &program.people.register;
    let occasions = Occasions::of(program, register);
    let is_asked = |id: &str| due.renamed.iter().any(|(like, _)| like.id == id);
    let of_season = register.valid().filter(|given| given.season == program.content.settings.season);
    let unknown = of_season.filter(|given| match &given.occasion {
        Occasion::Event { id, .. } => occasions.event_of(given).is_none() && !is_asked(id),
        Occasion::Award { .. } => false,
    });
    unknown.map(|given| (given, Unborne::EventUnknown)).collect()
}

/// Awards whose hours are not there any more.
fn of_awards<'p>(laid: &Laid<'p, 'p>, asked: &BTreeSet<&str>) -> Vec<(&'p Given, Unborne<'p>)> {
    let program = laid.program;
    let mut of_name: HashMap<String, Vec<&Member<'p>>> = HashMap::new();
    for member in laid.members() {
        of_name.entry(plain_name(member.name)).or_default().push(member);
    }
    let awards = &program.content.settings.awards;
    let settings = &program.content.settings;
    let valid = program.people.register.valid().filter(|given| {
        // The hours of a season that is over may be kept elsewhere.
        !asked.contains(given.number.plain()) && !is_of_earlier_season(given, settings)
    });
    let unborne = valid.filter_map(|given| {
        let Occasion::Award { name, .. } = &given.occasion else { return None };
        let award = awards.iter().find(|award| award.is_called(name))?;
        let is_holder = |it: &&&Member| same_person(&given.name, given.email.as_deref(), it.name, it.email);
        let holder = of_name.get(&plain_name(&given.name)).into_iter().flatten().find(is_holder);
        let why = match holder {
            None => Unborne::HoursGone,
            Some(holder) if holder.reached.iter().any(|reached| reached.award.name == award.name) => {
                return None;
            }
            Some(holder) => Unborne::TooFewHours(&holder.entries[0].place),
        };
        Some((given, why))
    });
    unborne.collect()
}

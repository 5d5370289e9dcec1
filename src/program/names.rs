//! Names: whether what one file calls something is what another file calls it.
//!
//! Held here: lessons, events (also those at which facts are otherwise) and kits, which must resolve for a
//! program to make sense at all. Facts that prose and questions name are held by [`crate::proof`].

use super::Written;
use super::facts::at_events::AtEvent;
use super::kits::Kit;
use super::mistakes::{Mistakes, offer};
use super::questions::Questions;
use super::roster::Roster;
use super::settings::{Event, GivenFor, Settings};
use crate::finding::{Place, rules};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// What was read and can be held against one another; a file that is not there is empty, and one that
/// was broken is `None`, for then a name that seems to be missing may only have been lost.
pub(super) struct Named<'r> {
    pub settings: Option<&'r Settings>,
    pub facts: &'r [AtEvent],
    pub questions: Option<&'r Questions>,
    pub kits: Option<&'r [Kit]>,
    pub roster: Option<&'r Roster>,
}

pub(super) fn check(named: &Named, mistakes: &Mistakes) {
    if let Some(settings) = named.settings {
        check_settings(settings, mistakes);
        let lessons: Vec<&str> = settings.syllabus.iter().map(|entry| entry.lesson.as_str()).collect();
        if let Some(questions) = named.questions {
            for lesson in questions.list.iter().filter_map(|question| question.lesson.as_ref()) {
                check_lesson(lesson, &lessons, mistakes);
            }
            check_answer_headings(settings, questions, mistakes);
        }
        named.facts.iter().for_each(|at| check_event(&at.event, settings, mistakes));
        if let Some(roster) = named.roster {
            check_roster(roster, settings, mistakes);
        }
    }
    if let Some(questions) = named.questions {
        let ids = questions.list.iter().map(|question| (question.id.as_str(), &question.place));
        tell_doubled("question", ids, mistakes);
    }
    if let Some(kits) = named.kits {
        check_kits(kits, mistakes);
        if let Some(kit) = named.settings.and_then(|settings| settings.leaflet.kit.as_ref()) {
            check_leaflet_kit(kit, kits, mistakes);
        }
    }
}

fn check_settings(settings: &Settings, mistakes: &Mistakes) {
    let syllabus = settings.syllabus.iter().map(|entry| (entry.lesson.as_str(), &entry.place));
    tell_doubled("syllabus entry for the lesson", syllabus.clone(), mistakes);
    let lessons: Vec<&str> = syllabus.map(|(lesson, _)| lesson).collect();
    let events = settings.all_events().map(|event| (event.id.as_str(), &event.place));
    tell_doubled("event", events, mistakes);
    let contacts = settings.contacts.iter().filter(|contact| contact.has_own_id);
    tell_doubled("contact", contacts.map(|contact| (contact.id.text.as_str(), &contact.id.place)), mistakes);
    check_folders(settings, mistakes);
    for event in settings.all_events() {
        event.lessons.iter().for_each(|lesson| check_lesson(lesson, &lessons, mistakes));
        let named = event.lessons.iter().map(|lesson| (lesson.text.as_str(), &lesson.place));
        tell_doubled("entry for the lesson", named, mistakes);
    }
    check_needs(settings, mistakes);
    check_was(settings, mistakes);
    check_rewards(settings, mistakes);
    let habits = settings.habits.iter().filter_map(|habit| habit.lesson.as_ref());
    let terms = settings.glossary.iter().filter_map(|term| term.lesson.as_ref());
    for lesson in habits.chain(terms) {
        check_lesson(lesson, &lessons, mistakes);
    }
    let terms = settings.glossary.iter().map(|term| (term.term.as_str(), &term.place));
    tell_doubled("glossary entry for the term", terms, mistakes);
}

/// The folders of pieces on the shelves, beside which an event and an edition get one of their own.
pub const FOLDERS: [&str; 12] = [
    "bring-lists",
    "certificates",
    "handouts",
    "kit-sheets",
    "mail",
    "name-tags",
    "participants",
    "presenters-copy",
    "run-sheets",
    "sign-in-sheets",
    "site",
    "specimens",
];

/// Tells what would put its pieces into a folder that holds others: pieces of an event lie in a folder of its id,
/// those of an edition in one of its language.
fn check_folders(settings: &Settings, mistakes: &Mistakes) {
    let editions = settings.editions.iter().map(|edition| (edition.text.to_lowercase(), &edition.place));
    let editions: Vec<_> = editions.collect();
    for event in settings.all_events() {
        if editions.iter().any(|(folder, _)| *folder == event.id) {
            let message =
                format!("The event “{0}” and the edition “{0}” would share a folder of pieces.", event.id);
            mistakes.tell(&rules::NAME_DOUBLED, event.place.clone(), message, "Give the event another id.");
        }
    }
    let events = settings.all_events().map(|event| (event.id.clone(), &event.place));
    for (name, place) in editions.into_iter().chain(events) {
        if FOLDERS.contains(&name.as_str()) {
            let message = format!("“{name}” is a folder of pieces already, so no others can be kept there.");
            mistakes.tell(&rules::NAME_UNFIT, place.clone(), message, "Give it another name.");
        }
    }
}

/// Tells an event that another needs and that is not there, or that needs itself.
fn check_needs(settings: &Settings, mistakes: &Mistakes) {
    for event in settings.all_events() {
        for need in &event.needs {
            let others = || settings.all_events().map(|other| other.id.as_str()).filter(|id| *id != event.id);
            if others().all(|id| id != need.text) {
                let message = format!("There is no other event “{}” that this one could need.", need.text);
                let mend = offer(&need.text, others(), "Write the id of another event of program.toml.");
                mistakes.tell(&rules::NAME_UNKNOWN, need.place.clone(), message, mend);
            }
        }
    }
    tell_circles(&settings.events, mistakes);
}

/// Tells events that need each other: nobody could ever be credited for one of them.
fn tell_circles(events: &[Event], mistakes: &Mistakes) {
    let at_of: HashMap<&str, usize> =
        events.iter().enumerate().rev().map(|(at, event)| (event.id.as_str(), at)).collect();
    let needs: Vec<Vec<usize>> = events
        .iter()
        .map(|event| event.needs.iter().filter_map(|need| at_of.get(need.text.as_str()).copied()).collect())
        .collect();
    for circle in circles(&needs) {
        let names: Vec<String> = circle.iter().map(|at| format!("“{}”", events[*at].id)).collect();
        let first = &events[circle[0]];
        let message = format!(
            "{} needs itself in the end, by way of {}: nobody could ever be credited for it.",
            names[0],
            names[1..].join(", ")
        );
        let place = first.needs.first().map_or(&first.place, |need| &need.place);
        let mend = "Take one of these events out of “needs” of another.";
        mistakes.tell(&rules::NAMES_IN_CIRCLE, place.clone(), message, mend);
    }
}

/// The circles of a graph, each from where it was entered; none that is a single step. Each is found once.
fn circles(steps: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut done = vec![false; steps.len()];
    let mut found = Vec::new();
    for start in 0..steps.len() {
        // Each on the way, with the next of its steps to try.
        let mut way: Vec<(usize, usize)> = Vec::new();
        let mut place_of: HashMap<usize, usize> = HashMap::new();
        if !done[start] {
            way.push((start, 0));
            place_of.insert(start, 0);
        }
        while let Some(&(at, tried)) = way.last() {
            let Some(&next) = steps[at].get(tried) else {
                way.pop();
                place_of.remove(&at);
                done[at] = true;
                continue;
            };
            if let Some((_, tried)) = way.last_mut() {
                *tried += 1;
            }
            if let Some(&place) = place_of.get(&next) {
                found.extend((next != at).then(|| way[place..].iter().map(|(at, _)| *at).collect()));
            } else if !done[next] {
                place_of.insert(next, way.len());
                way.push((next, 0));
            }
        }
    }
    found
}

/// Tells an event that says it was another one which is still there, on another day: both would be credited. On the
/// same day it is a part of that one.
fn check_was(settings: &Settings, mistakes: &Mistakes) {
    for event in settings.all_events() {
        for was in &event.was {
            let shares_a_day = |other: &Event| event.days().iter().any(|day| other.days().contains(day));
            let is_other =
                |other: &&Event| other.id == was.text && other.id != event.id && !shares_a_day(other);
            let Some(other) = settings.all_events().find(is_other) else { continue };
            let message = format!(
                "This event says that it was “{0}”, and the event “{0}” is still here: whoever has its certificate would get another.",
                other.id
            );
            let mend = format!(
                "Take the event “{}” out if this is the same one; otherwise take “was” out.",
                other.id
            );
            mistakes.tell(&rules::NAME_DOUBLED, was.place.clone(), message, mend);
        }
    }
}

/// Tells rewards that no award gives though they are said to be given with one, and slips of their names.
fn check_rewards(settings: &Settings, mistakes: &Mistakes) {
    let awards = settings.awards.iter().map(|award| (award.name.as_str(), &award.place));
    tell_doubled("award", awards, mistakes);
    let rewards = settings.rewards.iter().map(|reward| (reward.name.as_str(), &reward.place));
    tell_doubled("reward", rewards, mistakes);
    let given: Vec<&Written> = settings.awards.iter().filter_map(|award| award.reward.as_ref()).collect();
    for reward in settings.rewards.iter().filter(|reward| reward.given == GivenFor::Award) {
        if !given.iter().any(|given| given.text == reward.name) {
            let message = format!("No award gives the reward “{}”.", reward.name);
            let known = given.iter().map(|given| given.text.as_str());
            let otherwise = "Name it as the reward of an award, or take out: given = \"award\"";
            mistakes.tell(
                &rules::NAME_UNKNOWN,
                reward.place.clone(),
                message,
                offer(&reward.name, known, otherwise),
            );
        }
    }
}

/// Tells a lesson that is not in the syllabus.
fn check_lesson(lesson: &Written, syllabus: &[&str], mistakes: &Mistakes) {
    if syllabus.is_empty() || syllabus.contains(&lesson.text.as_str()) {
        return;
    }
    let message = format!("The lesson “{}” is not in the syllabus.", lesson.text);
    let mend =
        offer(&lesson.text, syllabus.iter().copied(), "Name a lesson of the syllabus in program.toml.");
    mistakes.tell(&rules::NAME_UNKNOWN, lesson.place.clone(), message, mend);
}

/// Tells an event that is not in `program.toml`, at which facts are to be otherwise.
fn check_event(event: &Written, settings: &Settings, mistakes: &Mistakes) {
    let mut events = settings.all_events().map(|event| event.id.as_str());
    if events.clone().all(|id| id != event.text) {
        let message = format!("There is no event “{}” to change facts for.", event.text);
        let mend = offer(
            &event.text,
            &mut events,
            "Write the id of an event of program.toml, as in [at.north-camp.lead-length].",
        );
        mistakes.tell(&rules::NAME_UNKNOWN, event.place.clone(), message, mend);
    }
}

/// Tells a column of `[answers.headings]` that is neither a question nor about the person.
fn check_answer_headings(settings: &Settings, questions: &Questions, mistakes: &Mistakes) {
    let ids = questions.list.iter().map(|question| question.id.as_str());
    let known: Vec<&str> = ["event", "name", "email", "version"].into_iter().chain(ids).collect();
    for entry in &settings.answer_headings {
        let column = &entry.column;
        if !known.contains(&column.text.as_str()) {
            let message =
                format!("There is no question “{}” whose answers could have a heading.", column.text);
            let mend = offer(
                &column.text,
                known.iter().copied(),
                "Write event, name, email, version, or the id of a question.",
            );
            mistakes.tell(&rules::NAME_UNKNOWN, column.place.clone(), message, mend);
        }
    }
}

fn check_roster(roster: &Roster, settings: &Settings, mistakes: &Mistakes) {
    let events: BTreeSet<&str> = settings.all_events().map(|event| event.id.as_str()).collect();
    if let (true, Some(row)) = (events.is_empty(), roster.rows.first()) {
        let message = "The roster has rows, and program.toml has no events.";
        let mend = "Add each event to program.toml under a heading [[events]].";
        mistakes.tell(&rules::NAME_UNKNOWN, row.event_place.clone(), message, mend);
        return;
    }
    for row in roster.rows.iter().filter(|row| !row.event.is_empty() && !events.contains(row.event.as_str()))
    {
        // Where columns have slipped, a person's name may stand in the cell: the message does not say it.
        let message = "The event of this row is not in program.toml.";
        let otherwise = "Write the id of an event of program.toml, or add the event there.";
        let mend = offer(&row.event, events.iter().copied(), otherwise);
        // "Instructor: Jo Ray" below the table.
        let cells =
            roster.row(row.row).map(|row| row.cells().filter(|cell| !cell.value().is_empty()).count());
        if cells == Some(1) {
            let message = "Only one cell of this line is filled in, so packstring does not treat it as a row of the roster.";
            let mend = "Take out what stands below the table, or fill the row in.";
            mistakes.tell(&rules::NAME_UNKNOWN, row.event_place.clone(), message, mend);
            continue;
        }
        mistakes.tell(&rules::NAME_UNKNOWN, row.event_place.clone(), message, mend);
    }
}

fn check_kits(kits: &[Kit], mistakes: &Mistakes) {
    tell_doubled("kit", kits.iter().map(|kit| (kit.id.as_str(), &kit.place)), mistakes);
    // Of two kits with one id, the first counts.
    let by_id: BTreeMap<&str, &Kit> = kits.iter().rev().map(|kit| (kit.id.as_str(), kit)).collect();
    for (at, kit) in kits.iter().enumerate() {
        let Some(smaller) = &kit.adds_to else { continue };
        if !by_id.contains_key(smaller.text.as_str()) {
            let message = format!("There is no kit “{}” that this one could add to.", smaller.text);
            let mend =
                offer(&smaller.text, by_id.keys().copied(), "Write the id of another kit of this file.");
            mistakes.tell(&rules::NAME_UNKNOWN, smaller.place.clone(), message, mend);
        } else if let Some(path) = circle(kit, &by_id)
            // Told once, at the first of its kits.
            && !kits[..at].iter().any(|earlier| path.contains(&earlier.id.as_str()))
        {
            let message = format!("These kits add to one another in a circle: {}.", path.join(", "));
            let mend = "Remove “adds-to” from the smallest of them.";
            mistakes.tell(&rules::NAMES_IN_CIRCLE, smaller.place.clone(), message, mend);
        }
    }
}

fn check_leaflet_kit(named: &Written, kits: &[Kit], mistakes: &Mistakes) {
    let ids = || kits.iter().map(|kit| kit.id.as_str());
    if !ids().any(|id| id == named.text) {
        let message = format!("There is no kit “{}” for the leaflet to show.", named.text);
        let mend = offer(&named.text, ids(), "Write the id of a kit of kits.toml.");
        mistakes.tell(&rules::NAME_UNKNOWN, named.place.clone(), message, mend);
    }
}

/// The kits from one back to itself by what each adds to, if it comes back.
fn circle<'k>(kit: &'k Kit, by_id: &BTreeMap<&str, &'k Kit>) -> Option<Vec<&'k str>> {
    let mut path = vec![kit.id.as_str()];
    let mut at = kit;
    loop {
        at = by_id.get(at.adds_to.as_ref()?.text.as_str())?;
        if at.id == kit.id {
            path.push(&kit.id);
            return Some(path);
        }
        if path.contains(&at.id.as_str()) {
            return None;
        }
        path.push(&at.id);
    }
}

fn tell_doubled<'n>(what: &str, names: impl Iterator<Item = (&'n str, &'n Place)>, mistakes: &Mistakes) {
    let mut seen = BTreeSet::new();
    for (name, place) in names.filter(|(name, _)| !name.is_empty()) {
        if !seen.insert(name) {
            let message = format!("There is more than one {what} “{name}”.");
            mistakes.tell(
                &rules::NAME_DOUBLED,
                place.clone(),
                message,
                "Take one out, or give it another name.",
            );
        }
    }
}

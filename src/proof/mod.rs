//! Check: what an editor would find.
//!
//! One file a rule (close relatives share one). Each gives findings; none reads files, lays out or prints. A rule
//! about what is printed takes the [`PrintContext`] (what was understood, with every stated figure already held
//! against its fact), once more at each event at which facts are otherwise and in each edition; a rule about
//! people takes the [`PeopleContext`], once. Every check stands in [`CHECKS`]; [`rules`] are all there are, with those
//! of other rooms, which find by reading or by laying out.
//!
//! What is wrong is told once. A stated figure gets exactly one [`Judgement`](judgement::Judgement), and
//! each rule reports the judgements that are its own.

mod at_event;
mod held;
mod levels;
mod people;

mod address_unmailable;
mod answerer_unknown;
mod answers_doubled;
mod attendance_ahead;
mod backing_unknown;
mod caption_linked;
mod certificate_corrected;
mod change_unsourced;
mod clock_far;
mod companion_unread;
mod credit_contradicted;
mod credit_unborne;
mod date_unclear;
mod day_impossible;
mod dual_apart;
mod edition_apart;
mod edition_lacks_lesson;
mod edition_lacks_words;
mod email_unfit;
mod event_changed;
mod event_out_of_season;
mod event_overlong;
mod event_renamed;
mod event_undated;
mod fact_overdue;
mod fact_unsourced;
mod fact_unused;
mod facts_disagree;
mod figure_drift;
mod figure_foreign;
mod figure_near_miss;
mod figure_too_fine;
mod figure_unbacked;
mod figure_unbacked_match;
mod hours_ahead;
mod hours_doubled;
mod hours_name_near;
mod hours_overlong;
mod language_unread;
mod lesson_unlisted;
mod letters_garbled;
mod limit_turned;
mod limit_unsaid;
mod link_broken;
mod markup_raw;
mod name_capitals;
mod name_miswritten;
mod name_none;
mod name_several;
mod needs_lacking;
mod participant_doubled;
mod participant_near_double;
mod particular_apart;
mod passed_unsaid;
mod phone_unknown;
mod picture_missing;
mod picture_unworded;
mod question_key_lost;
mod question_unknown;
pub mod reading;
mod reading_level_high;
mod review_late;
mod rule_unknown;
mod script_overlong;
mod second_reader_missing;
mod series_apart;
mod series_unread;
mod size_unknown;
mod slide_bare;
mod slide_wordy;
mod sources_disagree;
mod spaces_stray;
mod unit_unfit;
mod wording_unfit;
mod words_unplaced;

use crate::finding::rules::of_other_rooms;
use crate::finding::{Finding, Level, Rule};
use crate::people::scoring::Scores;
use crate::program::Edition;
use crate::statements::{PrintContext, Statement};
use crate::understand::Understood;
use jiff::civil::Date;
use people::PeopleContext;
use rayon::prelude::*;

pub use attendance_ahead::attendance_ahead;
pub use certificate_corrected::{certificate_corrected, certificate_unsure};
pub use change_unsourced::change_unsourced;
pub use clock_far::clock_far;
pub use event_out_of_season::event_out_of_season;
pub use event_renamed::{award_renamed, event_renamed};
pub use held::held_rows;
pub use levels::weigh;
pub use needs_lacking::needs_lacking;
pub use participant_doubled::participant_held;
pub use passed_unsaid::RULE as PASSED_UNSAID;

/// A rule and how it finds.
pub struct Check {
    pub rule: &'static Rule,
    find: Find,
}

/// What a rule looks at.
enum Find {
    Print(fn(&PrintContext) -> Vec<Finding>),
    People(fn(&PeopleContext) -> Vec<Finding>),
}

/// Every check, by the name of its rule. One that is left out is told by the compiler as never used.
pub static CHECKS: &[Check] = &[
    address_unmailable::CHECK,
    answerer_unknown::CHECK,
    answers_doubled::CHECK,
    attendance_ahead::CHECK,
    backing_unknown::CHECK,
    caption_linked::CHECK,
    certificate_corrected::CHECK,
    change_unsourced::CHECK,
    companion_unread::CHECK,
    credit_contradicted::CHECK,
    credit_unborne::CHECK,
    date_unclear::CHECK,
    day_impossible::CHECK,
    dual_apart::CHECK,
    edition_apart::CHECK,
    edition_lacks_lesson::CHECK,
    edition_lacks_words::CHECK,
    email_unfit::CHECK,
    event_changed::CHECK,
    event_out_of_season::CHECK,
    event_overlong::CHECK,
    event_renamed::CHECK,
    event_undated::CHECK,
    fact_overdue::CHECK,
    fact_unsourced::CHECK,
    fact_unused::CHECK,
    facts_disagree::CHECK,
    figure_drift::CHECK,
    figure_foreign::CHECK,
    figure_near_miss::CHECK,
    figure_too_fine::CHECK,
    figure_unbacked::CHECK,
    figure_unbacked_match::CHECK,
    hours_ahead::CHECK,
    hours_doubled::CHECK,
    hours_name_near::CHECK,
    hours_overlong::CHECK,
    language_unread::CHECK,
    lesson_unlisted::CHECK,
    letters_garbled::CHECK,
    limit_turned::CHECK,
    limit_unsaid::CHECK,
    link_broken::CHECK,
    markup_raw::CHECK,
    name_capitals::CHECK,
    name_miswritten::CHECK,
    name_none::CHECK,
    name_several::CHECK,
    needs_lacking::CHECK,
    participant_doubled::CHECK,
    participant_near_double::CHECK,
    particular_apart::CHECK,
    passed_unsaid::CHECK,
    phone_unknown::CHECK,
    picture_missing::CHECK,
    picture_unworded::CHECK,
    question_key_lost::CHECK,
    question_unknown::CHECK,
    reading_level_high::CHECK,
    review_late::CHECK,
    rule_unknown::CHECK,
    script_overlong::CHECK,
    second_reader_missing::CHECK,
    series_apart::CHECK,
    series_unread::CHECK,
    size_unknown::CHECK,
    slide_bare::CHECK,
    slide_wordy::CHECK,
    sources_disagree::CHECK,
    spaces_stray::CHECK,
    unit_unfit::CHECK,
    wording_unfit::CHECK,
    words_unplaced::CHECK,
];

/// The rules of hours of service, whose findings make a tally wrong.
pub static OF_HOURS: [&Rule; 4] =
    [&hours_ahead::RULE, &hours_doubled::RULE, &hours_name_near::RULE, &hours_overlong::RULE];

/// The rules that ask of a text or a fact alone, or hold a figure against the fact which it quotes: what they find is
/// wrong whatever else of a program could not be read.
static OF_ITSELF: [&Rule; 16] = [
    &caption_linked::RULE,
    &date_unclear::RULE,
    &dual_apart::RULE,
    &fact_overdue::RULE,
    &figure_drift::RULE,
    &figure_too_fine::RULE,
    &limit_turned::RULE,
    &markup_raw::RULE,
    &particular_apart::RULE,
    &picture_missing::RULE,
    &picture_unworded::RULE,
    &series_apart::RULE,
    &series_unread::RULE,
    &unit_unfit::RULE,
    &words_unplaced::RULE,
    &wording_unfit::RULE,
];

/// Those that ask which facts there are, too.
static OF_ALL_FACTS: [&Rule; 2] = [&backing_unknown::RULE, &figure_near_miss::RULE];

/// Every rule that a person can be told of, of this room and all others.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    CHECKS.iter().map(|check| check.rule).chain(of_other_rooms())
}

/// The rule of a name.
pub fn rule(name: &str) -> Option<&'static Rule> {
    rules().find(|rule| rule.name == name)
}

/// Reads the program as an editor would, on the day `today`.
///
/// The findings stand in the order of files, places and rules, and have the levels that the program
/// gives to their rules. They include what could not be understood, what is wrong only at an event
/// at which facts are otherwise, and what is wrong in other editions.
pub fn proofread(understood: &Understood, scores: &Scores, today: Date) -> Vec<Finding> {
    let program = understood.root;
    let (mut findings, of_people) = rayon::join(
        || in_all_editions(understood, today),
        || of_people(&PeopleContext::lay_out(program, scores, today)),
    );
    findings.extend(of_people);
    findings.extend(program.remarks.iter().cloned());
    weigh(program, &mut findings);
    in_order(&mut findings);
    findings
}

/// What is wrong in a program of which some could not be read, whatever that was.
pub fn of_sound_part(
    understood: &Understood,
    (has_all_facts, has_all_lessons): (bool, bool),
    today: Date,
) -> Vec<Finding> {
    let mut findings = in_all_editions(understood, today);
    findings.retain(|finding| {
        OF_ITSELF.contains(&finding.rule)
            || has_all_facts && OF_ALL_FACTS.contains(&finding.rule)
            || has_all_lessons && finding.rule == &link_broken::RULE
    });
    weigh(understood.root, &mut findings);
    in_order(&mut findings);
    findings
}

/// What is wrong in print, in all editions. They are read side by side.
fn in_all_editions(understood: &Understood, today: Date) -> Vec<Finding> {
    let editions: Vec<(&Edition, &Understood)> =
        understood.root.editions.iter().zip(&understood.editions).collect();
    let (mut findings, others): (_, Vec<Vec<Finding>>) = rayon::join(
        || in_print_everywhere(understood, today),
        || editions.par_iter().map(|(edition, own)| of_edition(edition, own, today)).collect(),
    );
    findings.extend(others.into_iter().flatten());
    findings
}

/// What is wrong in the files of an edition; all else is the main edition's and told there.
fn of_edition(edition: &Edition, own: &Understood, today: Date) -> Vec<Finding> {
    let mut findings = in_print_everywhere(own, today);
    findings.retain(|finding| edition.owns(&finding.place.file));
    findings
}

/// What is wrong in print, and what more at the events at which facts are otherwise.
fn in_print_everywhere(understood: &Understood, today: Date) -> Vec<Finding> {
    let events = understood.content.settings.events.iter();
    let local: Vec<_> =
        events.filter_map(|event| Some((event, understood.at_events.get(event.id.as_str())?))).collect();
    let (common, at_events): (_, Vec<Vec<Finding>>) = rayon::join(
        || in_print(understood, today),
        || local.par_iter().map(|(_, local)| in_print(local, today)).collect(),
    );
    let own = local.iter().zip(at_events);
    let own = own.flat_map(|((event, _), found)| at_event::own(found, &common, event, understood.root));
    let own: Vec<Finding> = own.collect();
    [common, own].concat()
}

fn in_print(understood: &Understood, today: Date) -> Vec<Finding> {
    let print = PrintContext::lay_out(understood, today);
    let mut findings = understood.findings.clone();
    for check in CHECKS {
        if let Find::Print(find) = check.find {
            findings.extend(find(&print));
        }
    }
    findings
}

fn of_people(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for check in CHECKS {
        if let Find::People(find) = check.find {
            findings.extend(find(people));
        }
    }
    findings
}

/// Puts findings in the order in which they are told, each once.
pub fn in_order(findings: &mut Vec<Finding>) {
    findings.sort_by(|a, b| (&a.place, a.rule, &a.message).cmp(&(&b.place, b.rule, &b.message)));
    findings.dedup();
}

/// Names in a row, the first few by themselves: `a, b and c`; `a, b, c, d, e, f and 12 more`.
fn some_of<'n>(names: impl ExactSizeIterator<Item = &'n str>) -> String {
    const MOST: usize = 6;
    let all = names.len();
    let first: Vec<&str> = names.take(MOST).collect();
    match first.as_slice() {
        some if all > MOST => format!("{} and {} more", some.join(", "), all - MOST),
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        few => few.concat(),
    }
}

/// A finding at a stated figure. A backed figure of a safety fact that is wrong stops the press.
fn at(rule: &'static Rule, statement: &Statement, message: impl Into<String>) -> Finding {
    let stops = rule.level == Level::Error
        && statement.backed.is_some()
        && statement.fact.is_some_and(|fact| fact.safety);
    Finding {
        instead: statement.instead.clone(),
        ..Finding::of(rule, &statement.place, message).says(&*statement.words).stops_press(stops)
    }
}

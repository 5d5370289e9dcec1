//! Check: what an editor would find.
//!
//! One file a rule (close relatives share one). Each gives findings; none reads files, lays out or prints. A rule
//! about what is printed takes the [`PrintContext`] (what was understood, with every stated figure already held
//! against its fact), once more at each event at which facts are otherwise and in each edition; a rule about
//! people takes the [`PeopleContext`], once. Every rule stands in [`RULES`]; those of other rooms, which find by reading
//! or by laying out, are named in [`OTHER_ROOMS`] so that the docs can be held against one list.
//!
//! What is wrong is told once. A stated figure gets exactly one [`Judgement`](judgement::Judgement), and
//! each rule reports the judgements that are its own.

mod at_event;
mod levels;
mod people;

mod address_unmailable;
mod answerer_unknown;
mod answers_doubled;
mod attendance_ahead;
mod backing_unknown;
mod caption_linked;
mod certificate_corrected;
mod companion_unread;
mod dual_apart;
mod edition_apart;
mod edition_lacks_lesson;
mod edition_lacks_words;
mod email_unfit;
mod event_out_of_season;
mod event_overlong;
mod fact_overdue;
mod fact_unsourced;
mod fact_unused;
mod facts_disagree;
mod figure_drift;
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
mod link_broken;
mod name_capitals;
mod name_miswritten;
mod other_rooms;
mod participant_doubled;
mod participant_near_double;
mod picture_missing;
mod picture_unworded;
mod question_key_lost;
mod question_unknown;
pub mod reading;
mod reading_level_high;
mod rule_unknown;
mod script_overlong;
mod series_apart;
mod series_unread;
mod size_unknown;
mod slide_bare;
mod slide_wordy;
mod spaces_stray;
mod unit_unfit;
mod wording_unfit;

use crate::finding::{Finding, Level, Place};
use crate::people::scoring::Scores;
use crate::program::Edition;
use crate::statements::{PrintContext, Statement};
use crate::understand::Understood;
use jiff::civil::Date;
use people::PeopleContext;

pub use attendance_ahead::attendance_ahead;
pub use certificate_corrected::certificate_corrected;
pub use levels::{may_be_set, weigh};
pub use other_rooms::OTHER_ROOMS;

/// A condition that an editor wants to know of.
pub struct Rule {
    /// States the condition; its page is `docs/rules/NAME.md`.
    pub name: &'static str,
    /// How much its findings weigh as a rule.
    pub level: Level,
    /// One line for the list of rules.
    pub summary: &'static str,
    find: Find,
}

/// What a rule looks at.
enum Find {
    Print(fn(&PrintContext) -> Vec<Finding>),
    People(fn(&PeopleContext) -> Vec<Finding>),
}

/// Every rule of this room, by name.
pub const RULES: &[Rule] = &[
    address_unmailable::RULE,
    answerer_unknown::RULE,
    answers_doubled::RULE,
    attendance_ahead::RULE,
    backing_unknown::RULE,
    caption_linked::RULE,
    certificate_corrected::RULE,
    companion_unread::RULE,
    dual_apart::RULE,
    edition_apart::RULE,
    edition_lacks_lesson::RULE,
    edition_lacks_words::RULE,
    email_unfit::RULE,
    event_out_of_season::RULE,
    event_overlong::RULE,
    fact_overdue::RULE,
    fact_unsourced::RULE,
    fact_unused::RULE,
    facts_disagree::RULE,
    figure_drift::RULE,
    figure_near_miss::RULE,
    figure_too_fine::RULE,
    figure_unbacked::RULE,
    figure_unbacked_match::RULE,
    hours_ahead::RULE,
    hours_doubled::RULE,
    hours_name_near::RULE,
    hours_overlong::RULE,
    language_unread::RULE,
    lesson_unlisted::RULE,
    letters_garbled::RULE,
    limit_turned::RULE,
    link_broken::RULE,
    name_capitals::RULE,
    name_miswritten::RULE,
    participant_doubled::RULE,
    participant_near_double::RULE,
    picture_missing::RULE,
    picture_unworded::RULE,
    question_key_lost::RULE,
    question_unknown::RULE,
    reading_level_high::RULE,
    rule_unknown::RULE,
    script_overlong::RULE,
    series_apart::RULE,
    series_unread::RULE,
    size_unknown::RULE,
    slide_bare::RULE,
    slide_wordy::RULE,
    spaces_stray::RULE,
    unit_unfit::RULE,
    wording_unfit::RULE,
];

/// Reads the program as an editor would, on the day `today`.
///
/// The findings stand in the order of files, places and rules, and have the levels that the program
/// gives to their rules. They include what could not be understood, what is wrong only at an event
/// at which facts are otherwise, and what is wrong in other editions.
pub fn proofread(understood: &Understood, scores: &Scores, today: Date) -> Vec<Finding> {
    let program = understood.root;
    let mut findings = in_print_everywhere(understood, today);
    findings.extend(of_people(&PeopleContext::lay_out(program, scores, today)));
    findings.extend(program.remarks.iter().cloned());
    for (edition, own) in understood.root.editions.iter().zip(&understood.editions) {
        findings.extend(of_edition(edition, own, today));
    }
    weigh(program, &mut findings);
    in_order(&mut findings);
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
    let common = in_print(understood, today);
    let mut findings = common.clone();
    for event in &understood.content.settings.events {
        if let Some(local) = understood.at_events.get(event.id.as_str()) {
            findings.extend(at_event::own(in_print(local, today), &common, event, understood.root));
        }
    }
    findings
}

fn in_print(understood: &Understood, today: Date) -> Vec<Finding> {
    let print = PrintContext::lay_out(understood, today);
    let mut findings = understood.findings.clone();
    for rule in RULES {
        if let Find::Print(find) = rule.find {
            findings.extend(find(&print));
        }
    }
    findings
}

fn of_people(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in RULES {
        if let Find::People(find) = rule.find {
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

impl Rule {
    fn finding(&self, place: &Place, message: impl Into<String>) -> Finding {
        Finding::new(self.name, self.level, place.clone(), message)
    }

    /// A finding at a stated figure. A backed figure of a safety fact that is wrong stops the press.
    fn at(&self, statement: &Statement, message: impl Into<String>) -> Finding {
        let stops = self.level == Level::Error
            && statement.backed.is_some()
            && statement.fact.is_some_and(|fact| fact.safety);
        Finding {
            instead: statement.instead.clone(),
            ..self.finding(&statement.place, message).says(&*statement.words).stops_press(stops)
        }
    }
}

//! The ranger's decisions, given back to the answers that they were made on.
//!
//! A decision belongs to a person, an event, a question and the very answer: where another answer stands now,
//! it is not applied. It is told and kept, so that it comes back with the answer.

use super::super::plain_name;
use super::Scores;
use crate::program::Program;
use crate::program::decisions::Decided;
use crate::program::roster::Participant;
use sha2::{Digest, Sha256};
use std::collections::HashMap;

/// What tells one answer from another in `scores.csv`, in a form that no spreadsheet takes for a number or a
/// date: `a` and the first seven hexadecimal digits of its SHA-256, in letters.
pub fn answer_mark(answer: &str) -> String {
    let digest = Sha256::digest(answer.split_whitespace().collect::<Vec<_>>().join(" ").as_bytes());
    let letters = digest.iter().take(4).flat_map(|byte| [byte >> 4, byte & 15]);
    letters.map(|half| char::from(b'a' + half)).collect()
}

/// Gives each decision to its answer; what finds none is left over.
pub(super) fn apply<'p>(scores: &mut Scores<'p>, program: &'p Program) {
    let mut open: HashMap<(&str, &str), Vec<&Decided>> = HashMap::new();
    for decided in &program.people.decisions.rows {
        open.entry((decided.event.as_str(), decided.question.as_str())).or_default().push(decided);
    }
    // First those that fit in every part, then those whose name or address was corrected meanwhile.
    for fits in [is_same, is_corrected] {
        for scoring in &mut scores.list {
            let person = scoring.participant;
            for scored in scoring.answers.iter_mut().filter(|scored| scored.decision.is_empty()) {
                let key = (person.event.as_str(), scored.question.id.as_str());
                let Some(decisions) = open.get_mut(&key) else { continue };
                let is_its = |decided: &&Decided| is_on(decided, scored.answer) && fits(decided, person);
                // Of two for one answer, the later one counts.
                if let Some(at) = decisions.iter().rposition(is_its) {
                    scored.decision = &decisions.remove(at).decision;
                }
            }
        }
    }
    for scoring in &mut scores.list {
        for scored in scoring.answers.iter_mut().filter(|scored| scored.decision.is_empty()) {
            let key = (scoring.participant.event.as_str(), scored.question.id.as_str());
            let decisions = open.get(&key).map_or(&[][..], Vec::as_slice);
            if let Some(decided) = decisions.iter().find(|decided| is_same(decided, scoring.participant)) {
                let reason = scored.judged.reason.clone();
                scored.judged.reason = reason.and("decided-other", &[("decision", decided.decision.trim())]);
            }
        }
    }
    scores.leftover = open.into_values().flatten().collect();
    scores.leftover.sort_by_key(|decided| decided.row);
}

fn is_on(decided: &Decided, answer: &str) -> bool {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    if decided.mark.is_empty() {
        plain(&decided.answer) == plain(answer)
    } else {
        decided.mark == answer_mark(answer)
    }
}

fn is_same(decided: &Decided, person: &Participant) -> bool {
    plain_name(&decided.name) == plain_name(&person.name)
        && plain_name(&decided.email) == plain_name(person.email.as_deref().unwrap_or_default())
}

fn is_corrected(decided: &Decided, person: &Participant) -> bool {
    let email = plain_name(person.email.as_deref().unwrap_or_default());
    plain_name(&decided.name) == plain_name(&person.name)
        || (!email.is_empty() && plain_name(&decided.email) == email)
}

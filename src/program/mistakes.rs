//! Mistakes: what is wrong in the input files, gathered while they are read.
//!
//! A reader that meets a mistake tells it, puts an empty value in its place and goes on, so that all
//! mistakes of all files are told at once. A program with a mistake is never handed out, so no such
//! empty value leaves the room.
//!
//! Beside them stand remarks: what is odd in a people file but could be read.

use crate::finding::{FileName, Finding, Level, Place, Rule, Sources};
use crate::limits;
use crate::nearest::nearest;
use std::cell::RefCell;
use std::collections::HashMap;

#[derive(Default)]
pub(super) struct Mistakes {
    found: RefCell<Vec<Finding>>,
    remarks: RefCell<Vec<Finding>>,
}

impl Mistakes {
    /// Tells a mistake and how to mend it. A mistake is an error, also where its rule tells of lesser things too.
    pub fn tell(
        &self,
        rule: &'static Rule,
        place: Place,
        message: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let finding = Finding::of(rule, place, message).weighs(Level::Error).mend(mend).stops_press(true);
        self.found.borrow_mut().push(finding);
    }

    /// Keeps a finding: a mistake if it stops the press, else a remark.
    pub fn add(&self, finding: Finding) {
        let kept = if finding.stops_press { &self.found } else { &self.remarks };
        kept.borrow_mut().push(finding);
    }

    /// The remarks, which are taken out.
    pub fn take_remarks(&self, sources: &Sources) -> Vec<Finding> {
        in_order(self.remarks.take(), sources)
    }

    pub fn is_empty(&self) -> bool {
        self.found.borrow().is_empty()
    }

    /// All of them by file and place, each with the words that stand there. They are taken out.
    pub fn take_findings(&self, sources: &Sources) -> Vec<Finding> {
        in_order(self.found.take(), sources)
    }
}

fn in_order(mut found: Vec<Finding>, sources: &Sources) -> Vec<Finding> {
    found.sort_by(|a, b| (&a.place, a.rule, &a.message).cmp(&(&b.place, b.rule, &b.message)));
    found.dedup();
    let mut found = not_too_many(found);
    for finding in &mut found {
        finding.says = excerpt(sources.words(&finding.place));
    }
    found
}

/// Of each rule in each file the first findings; the last of them says how many more there are.
fn not_too_many(found: Vec<Finding>) -> Vec<Finding> {
    let mut counts: HashMap<(FileName, &'static str), usize> = HashMap::new();
    let of = |finding: &Finding| (finding.place.file.clone(), finding.rule.name);
    let mut kept: Vec<Finding> = Vec::new();
    for finding in found {
        let count = counts.entry(of(&finding)).or_default();
        *count += 1;
        if *count <= limits::FINDINGS {
            kept.push(finding);
        }
    }
    for last in kept.iter_mut().rev() {
        if let Some(count) = counts.remove(&of(last)).filter(|count| *count > limits::FINDINGS) {
            let more = count - limits::FINDINGS;
            last.message += &format!(" {more} more of these in this file are not listed.");
        }
    }
    kept
}

/// Findings of one kind that are told one by one.
pub(super) const TOLD: usize = 20;

/// The first of `count` findings of one kind, of which each concerns a row; the last of them says how
/// many more there are.
pub(super) fn few(count: usize, findings: impl Iterator<Item = Finding>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = findings.take(TOLD).collect();
    if count > TOLD
        && let Some(last) = findings.last_mut()
    {
        last.message += &match count - TOLD {
            1 => " One more row has the same problem.".to_owned(),
            more => format!(" {more} more rows have the same problem."),
        };
    }
    findings
}

/// The first line of some words, shortened where it is long.
fn excerpt(words: &str) -> String {
    const LONGEST: usize = 80;
    let words = words.trim();
    let line = words.lines().next().unwrap_or("").trim_end();
    let short: String = line.chars().take(LONGEST).collect();
    if short.len() < words.len() { format!("{} …", short.trim_end()) } else { short }
}

/// A hint for a name that is not known: the nearest one, or else what there is to choose from.
pub(super) fn offer<'n>(word: &str, known: impl IntoIterator<Item = &'n str>, otherwise: &str) -> String {
    match nearest(word, known) {
        Some(name) => format!("Did you mean “{name}”?"),
        None => otherwise.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_very_many_findings_the_first_are_told_and_the_rest_counted() {
        let mistakes = Mistakes::default();
        for (file, count) in [("a", 250), ("b", 100), ("c", 1)] {
            for at in 0..count {
                mistakes.tell(
                    &crate::finding::rules::RAW_HTML,
                    Place::new(&file.into(), at..at + 1),
                    "HTML.",
                    "",
                );
            }
        }
        let told = mistakes.take_findings(&Sources::default());
        assert_eq!(told.len(), 201);
        assert_eq!(told[99].message, "HTML. 150 more of these in this file are not listed.");
        assert_eq!(told[199].message, "HTML.");
    }

    #[test]
    fn an_excerpt_is_one_line() {
        assert_eq!(excerpt("one\ntwo"), "one …");
        assert_eq!(excerpt(" one "), "one");
        assert_eq!(excerpt(&"a".repeat(100)).chars().count(), 82);
    }
}

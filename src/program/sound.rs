//! What of a program is sound although some of its files have mistakes: enough to hold its figures against its facts,
//! so that a wrong figure is told in the same run as a broken table elsewhere.
//!
//! Nothing is guessed. A fact in whose table a mistake stands is left out, and so a figure that quotes it is not held
//! against anything. Where the units or the language of the program are in doubt, there is nothing to go by.

use super::{Program, Unread};
use crate::finding::{Finding, rules};
use std::collections::BTreeSet;

/// The part of a program by which figures can be held against facts.
pub struct SoundPart {
    pub program: Program,
    /// Whether `facts.toml` has no mistake, so that a fact which is not there does not exist.
    pub has_all_facts: bool,
    /// The same of lessons.
    pub has_all_lessons: bool,
}

impl Unread {
    /// What figures can be held against facts by; `None` where there is nothing to go by.
    pub fn sound_part(&self) -> Option<SoundPart> {
        let mut program = (**self.partial.as_ref()?).clone();
        program.sources = self.sources.clone();
        if self.is_in_doubt("program.toml", |heading, line, finding| {
            let is_broken = finding.rule == &rules::SYNTAX || finding.rule == &rules::NAME_DOUBLED;
            let is_of_program = heading.is_none_or(|heading| heading == ["program"]);
            is_of_program && (is_broken || ["language", "editions"].iter().any(|key| line.starts_with(key)))
        }) {
            return None;
        }
        let mut unsound = BTreeSet::new();
        let mut is_at_a_loss = false;
        for finding in self.stopping("facts.toml") {
            match self.heading_at(finding).as_deref() {
                // It belongs to no fact, or its file as a whole cannot be read.
                None => is_at_a_loss |= finding.place.range.end == 0,
                Some([first, ..]) if first == "units" => is_at_a_loss = true,
                Some([at, _, fact, ..]) if at == "at" => drop(unsound.insert(fact.clone())),
                Some([at, ..]) if at == "at" => is_at_a_loss = true,
                Some([fact, ..]) => drop(unsound.insert(fact.clone())),
                Some([]) => is_at_a_loss = true,
            }
        }
        if is_at_a_loss {
            return None;
        }
        let editions = program.editions.iter_mut().map(|edition| &mut edition.content);
        for content in std::iter::once(&mut program.content).chain(editions) {
            content.facts.retain(|fact| !unsound.contains(&fact.name));
            for at in &mut content.at_events {
                at.facts.retain(|fact| !unsound.contains(&fact.name));
            }
        }
        let is_lost = |finding: &&Finding| {
            finding.place.file.starts_with("lessons/") && finding.place.range.end == 0 && finding.stops_press
        };
        Some(SoundPart {
            program,
            has_all_facts: self.stopping("facts.toml").next().is_none(),
            has_all_lessons: self.stopping("program.toml").next().is_none()
                && !self.mistakes.iter().any(|it| is_lost(&it)),
        })
    }

    /// The mistakes of a file.
    fn stopping<'u>(&'u self, file: &'u str) -> impl Iterator<Item = &'u Finding> {
        self.mistakes.iter().filter(move |finding| finding.stops_press && &*finding.place.file == file)
    }

    fn is_in_doubt(&self, file: &str, is: impl Fn(Option<&[String]>, &str, &Finding) -> bool) -> bool {
        self.stopping(file)
            .any(|finding| is(self.heading_at(finding).as_deref(), self.line_at(finding), finding))
    }

    fn line_at(&self, finding: &Finding) -> &str {
        let text = self.sources.text(&finding.place.file).map_or("", |text| &**text);
        let at = finding.place.range.start.min(text.len());
        let start = text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1);
        text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or("").trim_start()
    }

    /// The heading of the TOML table that a mistake stands in, part by part.
    fn heading_at(&self, finding: &Finding) -> Option<Vec<String>> {
        let text = self.sources.text(&finding.place.file)?;
        let end = finding.place.range.start.min(text.len());
        let end = text[end..].find('\n').map_or(text.len(), |line| end + line);
        text.get(..end)?.lines().rev().find_map(heading)
    }
}

/// The parts of a heading such as `[at.north-camp.lead-length]`; none where a line is no heading. One whose last bracket
/// is missing is a heading too: what stands below it was passed over with it.
fn heading(line: &str) -> Option<Vec<String>> {
    let line = line.split('#').next()?.trim();
    let inner = line.strip_prefix("[[").or_else(|| line.strip_prefix('['))?.trim_end_matches(']');
    let is_name = |letter: char| letter.is_alphanumeric() || " ._-\"'".contains(letter);
    // A row of numbers in brackets is none.
    let is_heading = inner.chars().all(is_name) && inner.chars().any(char::is_alphabetic);
    let part = |part: &str| part.trim().trim_matches(['"', '\'']).to_owned();
    is_heading.then(|| inner.split('.').map(part).collect())
}

#[cfg(test)]
mod tests {
    use super::heading;

    #[test]
    fn headings_are_told_from_lists() {
        assert_eq!(heading("[at.north-camp.\"lead\"]  # a note").unwrap(), ["at", "north-camp", "lead"]);
        assert_eq!(heading("[[questions]]").unwrap(), ["questions"]);
        assert_eq!(heading("[daylight-margin").unwrap(), ["daylight-margin"]);
        for none in ["[77, 125],", "rows = [[1, 2]]", "[77]", "", "# [a]"] {
            assert_eq!(heading(none), None, "{none}");
        }
    }
}

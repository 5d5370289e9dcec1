//! Which lesson each fact stands with on the pages of facts: the first that quotes it. Readers come from a lesson, and
//! look for its figures together.

use super::FACTS_PAGE;
use crate::program::lesson::Lesson;
use crate::program::walk::{self, Met};
use crate::program::{Content, Fact};
use std::collections::BTreeMap;

/// So that a page stays below 100 kB: a fact with its quotes takes one or two, and style and script thirty.
const FACTS_ON_A_PAGE: usize = 50;

/// The facts of a lesson, in the order in which it quotes them; those that no lesson quotes stand last, in the order of
/// the facts file.
pub struct ByLesson<'p> {
    pub lesson: Option<&'p Lesson>,
    pub facts: Vec<&'p Fact>,
}

/// What one page of facts tells of.
pub struct FactsOfPage<'p> {
    /// Below the site's folder.
    pub path: String,
    pub groups: Vec<ByLesson<'p>>,
}

/// Every page of facts, in even shares. There is always a first one.
pub fn pages(content: &Content) -> Vec<FactsOfPage<'_>> {
    let count = content.facts.len().div_ceil(FACTS_ON_A_PAGE).max(1);
    let share = content.facts.len().div_ceil(count).max(1);
    let path = |number: usize| match number {
        1 => FACTS_PAGE.to_owned(),
        _ => format!("facts-{number}.html"),
    };
    let mut pages: Vec<FactsOfPage> =
        (1..=count).map(|number| FactsOfPage { path: path(number), groups: Vec::new() }).collect();
    for (at, (lesson, fact)) in in_order(content).into_iter().enumerate() {
        let groups = &mut pages[at / share].groups;
        let same =
            |group: &ByLesson| group.lesson.map(|lesson| &lesson.id) == lesson.map(|lesson| &lesson.id);
        match groups.last_mut().filter(|group| same(group)) {
            Some(group) => group.facts.push(fact),
            None => groups.push(ByLesson { lesson, facts: vec![fact] }),
        }
    }
    pages
}

/// Each fact once, with its lesson.
fn in_order(content: &Content) -> Vec<(Option<&Lesson>, &Fact)> {
    let mut waiting: BTreeMap<&str, &Fact> =
        content.facts.iter().map(|fact| (fact.name.as_str(), fact)).collect();
    let mut ordered = Vec::new();
    for lesson in content.lessons.iter().map(|lesson| &**lesson) {
        for name in walk::lesson(lesson).into_iter().filter_map(quoted) {
            ordered.extend(waiting.remove(name).map(|fact| (Some(lesson), fact)));
        }
    }
    let rest = content.facts.iter().filter(|fact| waiting.contains_key(fact.name.as_str()));
    ordered.extend(rest.map(|fact| (None, fact)));
    ordered
}

fn quoted<'p>(met: Met<'p>) -> Option<&'p str> {
    met.backed().map(|backed| backed.fact.as_str()).or(met.series().map(|view| view.fact.as_str()))
}

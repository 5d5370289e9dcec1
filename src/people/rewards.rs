//! What people are to be given, and what to order for it: counts by reward and size.
//!
//! A reward of completion is due once a season to each person who is credited, however many events that
//! was; an award's reward to each member who has reached the award and was not given it in an earlier
//! season.

use super::credit::{self, credited};
use super::plain_name;
use super::scoring::Scores;
use super::tally::{Tally, in_order};
use crate::finding::Place;
use crate::people::scope::Scope;
use crate::program::Program;
use crate::program::register::{self, Occasion};
use crate::program::settings::{GivenFor, Reward, sizes};
use crate::program::share::Share;
use crate::quantity::Exact;
use num_traits::ToPrimitive;
use std::collections::{BTreeMap, BTreeSet};

/// A reward that a person is to be given.
#[derive(Clone, Debug)]
pub struct Due<'p> {
    pub reward: &'p str,
    pub name: &'p str,
    pub email: Option<&'p str>,
    /// As the roster has it.
    pub size: Option<&'p str>,
    /// The award that it goes with; none for completion.
    pub award: Option<&'p str>,
}

/// How many of one reward to order.
#[derive(Clone, Debug)]
pub struct Order<'p> {
    pub reward: &'p str,
    pub sized: bool,
    /// By size, the smallest first; a single line without a size where it has none.
    pub lines: Vec<Line>,
    /// Who is due a reward that comes in sizes, and whose size is not known.
    pub unknown: Vec<Due<'p>>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    pub size: Option<String>,
    pub give: usize,
    pub spares: usize,
}

impl Order<'_> {
    /// How many to give away, those of unknown size among them.
    pub fn give(&self) -> usize {
        self.lines.iter().map(|line| line.give).sum::<usize>() + self.unknown.len()
    }

    /// How many to order with spares, those of unknown size not among them.
    pub fn order(&self) -> usize {
        self.lines.iter().map(|line| line.give + line.spares).sum()
    }
}

/// Everything that the season's people are due: rewards of completion to whoever is credited or about to
/// be, in the order of the register and the roster, then those of awards. What an earlier season gave is
/// not in it.
pub fn due<'p>(program: &'p Program, scores: &Scores, tally: &Tally<'p>) -> Vec<Due<'p>> {
    let people = credited_people(program).chain(waiting_people(program, scores));
    due_to(program, people, tally)
}

/// The same without who is yet to be credited: what can be handed out now.
pub fn due_to_credited<'p>(program: &'p Program, tally: &Tally<'p>) -> Vec<Due<'p>> {
    due_to(program, credited_people(program), tally)
}

/// Name, e-mail address and size.
type Person<'p> = (&'p str, Option<&'p str>, Option<&'p str>);

fn due_to<'p>(
    program: &'p Program,
    people: impl Iterator<Item = Person<'p>>,
    tally: &Tally<'p>,
) -> Vec<Due<'p>> {
    let mut seen = BTreeSet::new();
    let completed: Vec<Due> = people
        .filter(|(name, email, _)| seen.insert((plain_name(name), email.map(plain_name))))
        .map(|(name, email, size)| Due { reward: "", name, email, size, award: None })
        .collect();
    let rewards =
        program.content.settings.rewards.iter().filter(|reward| reward.given == GivenFor::Completion);
    let mut due: Vec<Due> = rewards
        .flat_map(|reward| completed.iter().map(|person| Due { reward: &reward.name, ..person.clone() }))
        .collect();
    for member in &tally.members {
        let size = member.roster.iter().rev().find_map(|row| row.size.as_deref());
        let is_of_season = |given: &Option<&register::Given>| {
            given.is_none_or(|given| given.season == program.content.settings.season)
        };
        for reached in member.reached.iter().filter(|reached| is_of_season(&reached.given)) {
            let award = Some(reached.award.name.as_str());
            if let Some(reward) = &reached.award.reward {
                due.push(Due { reward: &reward.text, name: member.name, email: member.email, size, award });
            }
        }
    }
    due
}

fn credited_people<'p>(program: &'p Program) -> impl Iterator<Item = Person<'p>> {
    credited(program, &Scope::default()).into_iter().map(|credit| {
        let size = credit.participant.and_then(|row| row.size.as_deref());
        (credit.given.name.as_str(), credit.given.email.as_deref(), size)
    })
}

fn waiting_people<'p>(program: &'p Program, scores: &Scores) -> impl Iterator<Item = Person<'p>> + use<'p> {
    let sizes: BTreeMap<&Place, Option<&str>> =
        program.people.roster.rows.iter().map(|row| (&row.place, row.size.as_deref())).collect();
    let waiting = credit::due(program, scores, &program.people.register, &Scope::default()).people;
    let of_events = waiting.into_iter().filter(|one| matches!(one.occasion, Occasion::Event { .. }));
    of_events.map(move |one| (one.name, one.email, sizes.get(one.place).copied().flatten()))
}

/// What to order for all that is due, without what nobody is due: the rewards of the program in its order,
/// then those that only an award names.
pub fn orders<'p>(program: &'p Program, due: &[Due<'p>]) -> Vec<Order<'p>> {
    let listed = program.content.settings.rewards.iter().map(|reward| reward.name.as_str());
    let named = program.content.settings.awards.iter().filter_map(|award| award.reward.as_ref());
    let mut names: Vec<&str> = Vec::new();
    for name in listed.chain(named.map(|reward| reward.text.as_str())) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
        .into_iter()
        .map(|name| {
            let reward = program.content.settings.rewards.iter().find(|reward| reward.name == name);
            let of_it: Vec<&Due> = due.iter().filter(|due| due.reward == name).collect();
            order(name, reward, &of_it, &program.content.settings.roster.sizes())
        })
        .filter(|order| order.give() > 0)
        .collect()
}

fn order<'p>(name: &'p str, reward: Option<&Reward>, due: &[&Due<'p>], sizes: &[&str]) -> Order<'p> {
    let rank = |size: &str| sizes.iter().position(|known| *known == size).unwrap_or(sizes.len());
    let sized = reward.is_some_and(|reward| reward.sized);
    let spares = reward.and_then(|reward| reward.spares);
    if !sized {
        let lines = vec![Line { size: None, give: due.len(), spares: spares_for(spares, due.len()) }];
        return Order { reward: name, sized, lines, unknown: Vec::new() };
    }
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    let mut unknown = Vec::new();
    for due in due {
        match due.size.and_then(|size| sizes::meant(size, sizes)) {
            Some(size) => *counts.entry(rank(size)).or_default() += 1,
            None => unknown.push((*due).clone()),
        }
    }
    unknown.sort_by_key(|due| in_order(&plain_name(due.name)));
    let line = |(at, give): (usize, usize)| Line {
        size: sizes.get(at).map(|&size| size.to_owned()),
        give,
        spares: spares_for(spares, give),
    };
    Order { reward: name, sized, lines: counts.into_iter().map(line).collect(), unknown }
}

/// Spares for so many: a share is rounded up to whole things.
fn spares_for(spares: Option<Share>, give: usize) -> usize {
    let Some(spares) = spares.filter(|_| give > 0) else { return 0 };
    spares.of(&Exact::from_integer(give.into())).ceil().to_integer().to_usize().unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spares_are_rounded_up_and_none_are_kept_of_what_nobody_gets() {
        assert_eq!(spares_for(Some(Share::Percent(10)), 1), 1);
        assert_eq!(spares_for(Some(Share::Percent(10)), 10), 1);
        assert_eq!(spares_for(Some(Share::Percent(10)), 11), 2);
        assert_eq!(spares_for(Some(Share::Count(3)), 11), 3);
        assert_eq!(spares_for(Some(Share::Count(3)), 0), 0);
        assert_eq!(spares_for(None, 11), 0);
    }
}

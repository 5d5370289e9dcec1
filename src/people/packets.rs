//! Packets: who is mailed, what goes in, in which order.
//!
//! A packet is for one person: who is credited, and gave an address. Several certificates of one
//! person at one address go into one packet. Packets are sorted as they are posted: home first, then by
//! country, postcode and name; those of one postcode are a group. Who has one address stands together
//! and is marked, so that their packets can go in one envelope.

use crate::addresses::{Block, Country, Unmailable, block};
use crate::credential::number::Number;
use crate::people::credit::{awarded, credited};
use crate::people::rewards::{self, Due};
use crate::people::scope::Scope;
use crate::people::{plain_name, tally};
use crate::program::Program;
use crate::program::register::Given;
use crate::program::roster::Participant;
use std::collections::{BTreeMap, BTreeSet};

/// What is put into one envelope.
#[derive(Clone, Debug)]
pub struct Packet<'p> {
    pub person: &'p Participant,
    pub block: Block,
    /// Of the certificates in it, at least one.
    pub numbers: Vec<&'p Number>,
    pub rewards: Vec<Due<'p>>,
    /// Whether the packet before goes to the same address.
    pub same_address: bool,
}

/// Who is credited and cannot be mailed.
#[derive(Clone, Debug)]
pub struct Stranded<'p> {
    pub name: &'p str,
    /// `None` where no address was given at all.
    pub why: Option<Unmailable>,
}

/// All packets of a scope, and those for whom there is none.
#[derive(Clone, Debug, Default)]
pub struct Mail<'p> {
    pub packets: Vec<Packet<'p>>,
    pub stranded: Vec<Stranded<'p>>,
}

impl<'p> Mail<'p> {
    pub fn of(program: &'p Program, scope: &Scope) -> Self {
        let style = program.content.settings.mail().style();
        let mut mail = Self::default();
        let mut known = BTreeMap::new();
        let mut stranded = BTreeSet::new();
        let addressed_rows = AddressedRows::of(program);
        for (given, row) in certificates(program, scope) {
            let own = row.filter(|row| row.address.is_some());
            let row = own.or_else(|| addressed_rows.of_same_person(row?));
            let addressed = row.and_then(|row| Some((row, row.address.as_ref()?)));
            match addressed.map(|(row, address)| (row, block(&row.name, address, &style))) {
                Some((row, Ok(block))) => mail.pack(&given.number, row, block, &mut known),
                other => {
                    if stranded.insert(Person::named(&given.name, given.email.as_deref())) {
                        let why = other.and_then(|(_, block)| block.err());
                        mail.stranded.push(Stranded { name: &given.name, why });
                    }
                }
            }
        }
        mail.add_rewards(program);
        mail.sort(style.home);
        for at in 1..mail.packets.len() {
            let one_address = below_name(&mail.packets[at - 1].block) == below_name(&mail.packets[at].block);
            mail.packets[at].same_address = one_address;
        }
        mail
    }

    /// By country, postcode and name; who has one address stands together, at the first of their names.
    fn sort(&mut self, home: &Country) {
        let mut first: BTreeMap<Vec<String>, String> = BTreeMap::new();
        for packet in &self.packets {
            let name = plain_name(&packet.person.name);
            first
                .entry(below_name(&packet.block))
                .and_modify(|first| *first = name.clone().min(std::mem::take(first)))
                .or_insert(name);
        }
        self.packets.sort_by_cached_key(|packet| {
            let Packet { block, person, .. } = packet;
            let abroad = (block.country.code != home.code).then(|| block.country.name.clone());
            let address = below_name(block);
            let household = first.get(&address).cloned();
            (
                abroad,
                block.postcode.clone(),
                household,
                address,
                plain_name(&person.name),
                person.place.clone(),
            )
        });
    }

    /// `known` is where the packet of a person and an address stands.
    fn pack(
        &mut self,
        number: &'p Number,
        person: &'p Participant,
        block: Block,
        known: &mut BTreeMap<(Person, Vec<String>), usize>,
    ) {
        let at = *known.entry((Person::of(person), below_name(&block))).or_insert(self.packets.len());
        match self.packets.get_mut(at) {
            Some(packet) => packet.numbers.push(number),
            None => {
                let (numbers, rewards) = (vec![number], Vec::new());
                self.packets.push(Packet { person, block, numbers, rewards, same_address: false });
            }
        }
    }

    /// A reward goes with the first certificate that the person is given this season, and is left out
    /// where another event's mail is asked for.
    fn add_rewards(&mut self, program: &'p Program) {
        let mut first = BTreeMap::new();
        for (given, row) in certificates(program, &Scope::default()) {
            if let Some(row) = row {
                first.entry(Person::of(row)).or_insert(&given.number);
            }
        }
        let mut due: BTreeMap<Person, Vec<Due>> = BTreeMap::new();
        for reward in rewards::due_to_credited(program, &tally::tally(program)) {
            due.entry(Person::named(reward.name, reward.email)).or_default().push(reward);
        }
        for packet in &mut self.packets {
            let person = Person::of(packet.person);
            if first.get(&person).is_none_or(|first| packet.numbers.contains(first)) {
                // who gave an e-mail at one event alone may be due by the name alone
                let by_name = || Person(person.0.clone(), None);
                packet.rewards = due.remove(&person).or_else(|| due.remove(&by_name())).unwrap_or_default();
            }
        }
    }
}

/// The rows of the roster that have an address, by the plain name of the person.
struct AddressedRows<'p>(BTreeMap<String, Vec<&'p Participant>>);

impl<'p> AddressedRows<'p> {
    fn of(program: &'p Program) -> Self {
        let mut rows: BTreeMap<String, Vec<&Participant>> = BTreeMap::new();
        for row in program.people.roster.rows.iter().filter(|row| row.address.is_some()) {
            rows.entry(plain_name(&row.name)).or_default().push(row);
        }
        Self(rows)
    }

    /// The last row of a person whose own row has no address: who came to two events gave it at one. Where
    /// an e-mail is lacking and several people with addresses have the name, nobody knows whose it is.
    fn of_same_person(&self, row: &Participant) -> Option<&'p Participant> {
        let named = self.0.get(&plain_name(&row.name))?;
        let person = Person::of(row);
        if let Some(same) = named.iter().rev().find(|other| Person::of(other) == person) {
            return Some(same);
        }
        let people: BTreeSet<Person> = named.iter().map(|other| Person::of(other)).collect();
        let last = named.last().filter(|_| people.len() == 1)?;
        (row.email.is_none() || last.email.is_none()).then_some(last)
    }
}

/// The certificates of a scope, each with the row that it was given to, where the roster still has
/// it; those of awards with the person's last row that has an address.
fn certificates<'p>(program: &'p Program, scope: &Scope) -> Vec<(&'p Given, Option<&'p Participant>)> {
    let mut certificates: Vec<_> =
        credited(program, scope).into_iter().map(|credit| (credit.given, credit.participant)).collect();
    let awards = awarded(program, scope);
    if !awards.is_empty() {
        let rows = program.people.roster.rows.iter().filter(|row| row.address.is_some());
        let last: BTreeMap<Person, &Participant> = rows.map(|row| (Person::of(row), row)).collect();
        let row = |given: &Given| last.get(&Person::named(&given.name, given.email.as_deref())).copied();
        certificates.extend(awards.into_iter().map(|given| (given, row(given))));
    }
    certificates
}

/// What tells one person from another: name and e-mail.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Person(String, Option<String>);

impl Person {
    fn of(row: &Participant) -> Self {
        Self::named(&row.name, row.email.as_deref())
    }

    fn named(name: &str, email: Option<&str>) -> Self {
        Self(plain_name(name), email.map(plain_name))
    }
}

impl Packet<'_> {
    /// What is the same in all packets of a group.
    pub fn group(&self) -> (&str, &str) {
        let postcode = match &*self.block.country.code {
            "US" => self.block.postcode.split('-').next().unwrap_or(""),
            _ => &self.block.postcode,
        };
        (&self.block.country.code, postcode)
    }
}

fn below_name(block: &Block) -> Vec<String> {
    block.lines[1..].iter().map(|line| line.to_lowercase()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::addresses::Address;
    use crate::people::credit;
    use crate::people::scoring::Scores;
    use crate::people::trial::{NORTH, Row, SOUTH, program, row};
    use crate::program::register::{Entry, chain};
    use jiff::civil::date;
    use std::sync::Arc;

    /// Whose packets there are, with how many certificates, and who is stranded; these rows have an address.
    fn mailed(rows: &[Row], addressed: &[usize]) -> (Vec<(String, usize)>, Vec<String>) {
        let numbered: Vec<(usize, usize)> = addressed.iter().map(|at| (*at, at + 1)).collect();
        let program = credited_at(rows, &numbered);
        let mail = Mail::of(&program, &Scope::default());
        let packets = mail.packets.iter().map(|packet| (packet.person.name.clone(), packet.numbers.len()));
        (packets.collect(), mail.stranded.iter().map(|one| one.name.to_owned()).collect())
    }

    /// These rows, all credited; some live at a number of one lane.
    fn credited_at(rows: &[Row], addressed: &[(usize, usize)]) -> Program {
        let mut program = program(rows);
        for &(at, number) in addressed {
            let part = |words: &str| words.to_owned();
            Arc::make_mut(&mut program.people.roster).rows[at].address = Some(Address {
                street: format!("{number} Corral Lane"),
                town: part("Dry Fork"),
                state: part("NV"),
                postcode: part("89914"),
                country: part("US"),
            });
        }
        let due = credit::due(&program, &Scores::default(), &program.people.register, &Scope::default());
        let given: Vec<Given> =
            due.people.iter().map(|one| one.given(&program.content.settings, date(2026, 6, 17))).collect();
        for given in given {
            let line = chain::next(&program.people.register, Entry::Given(Box::new(given)), 0).1;
            Arc::make_mut(&mut program.people.register).push(line).unwrap();
        }
        program
    }

    #[test]
    fn who_has_one_address_stands_together_and_is_marked() {
        let names = ["Ada Vell", "Bo Li", "Cy Vell", "Di Fox", "Eve Vell"];
        let rows = names.map(|name| row(NORTH, name, "", ""));
        let program = credited_at(&rows, &[(0, 7), (1, 9), (2, 7), (3, 8), (4, 7)]);
        let mail = Mail::of(&program, &Scope::default());
        let told: Vec<(&str, bool)> =
            mail.packets.iter().map(|packet| (packet.person.name.as_str(), packet.same_address)).collect();
        let with = |same: bool| told.iter().filter(move |(_, is)| *is == same).map(|(name, _)| *name);
        assert_eq!(with(true).collect::<Vec<_>>(), ["Cy Vell", "Eve Vell"]);
        let at = told.iter().position(|(name, _)| *name == "Ada Vell").unwrap();
        assert_eq!(
            told[at..at + 3].iter().map(|(name, _)| *name).collect::<Vec<_>>(),
            ["Ada Vell", "Cy Vell", "Eve Vell"]
        );
    }

    #[test]
    fn an_address_that_was_given_at_one_event_holds_for_another() {
        let ada = "ada@vell.example";
        let packed = |count| vec![("Ada Vell".to_owned(), count)];
        let twice = [row(NORTH, "Ada Vell", ada, ""), row(SOUTH, "ada  vell", ada, "")];
        assert_eq!(mailed(&twice, &[0]), (packed(2), vec![]));
        let without = [row(NORTH, "Ada Vell", "", ""), row(SOUTH, "Ada Vell", "", "")];
        assert_eq!(mailed(&without, &[1]), (packed(2), vec![]));
        let once = [row(NORTH, "Ada Vell", ada, ""), row(SOUTH, "Ada Vell", "", "")];
        assert_eq!(mailed(&once, &[0]), (packed(2), vec![]));
    }

    #[test]
    fn nobody_is_sent_what_may_be_another_ones() {
        let two = [
            row(NORTH, "Ada Vell", "ada@vell.example", ""),
            row(NORTH, "Ada Vell", "a.vell@post.example", ""),
            row(SOUTH, "Ada Vell", "", ""),
        ];
        assert_eq!(mailed(&two, &[0, 1]).1, ["Ada Vell"]);
        let other =
            [row(NORTH, "Ada Vell", "ada@vell.example", ""), row(SOUTH, "Ada Vell", "b@vell.example", "")];
        assert_eq!(mailed(&other, &[0]).1, ["Ada Vell"]);
    }
}

//! Packets: who is mailed, what goes in, in which order.
//!
//! A packet is for one person: who is credited, and gave an address. Several certificates of one
//! person at one address go into one packet. Packets are sorted as they are posted: home first, then by
//! country, postcode and name; those of one postcode are a group. Who has one address stands together
//! and is marked, so that their packets can go in one envelope.

use super::{Block, Country, Unmailable, block};
use crate::people::credit::{awarded, credited};
use crate::people::number::Number;
use crate::people::rewards::{self, Due};
use crate::people::{plain_name, tally};
use crate::pieces::Selection;
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

/// All packets of a selection, and those for whom there is none.
#[derive(Clone, Debug, Default)]
pub struct Mail<'p> {
    pub packets: Vec<Packet<'p>>,
    pub stranded: Vec<Stranded<'p>>,
}

impl<'p> Mail<'p> {
    pub fn of(program: &'p Program, selection: &Selection) -> Self {
        let style = program.settings.mail().style();
        let mut mail = Self::default();
        let mut known = BTreeMap::new();
        let mut stranded = BTreeSet::new();
        for (given, row) in certificates(program, selection) {
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

    /// The packets by country and postcode; of a ZIP Code its first five figures count.
    pub fn groups(&self) -> impl Iterator<Item = &[Packet<'p>]> {
        self.packets.chunk_by(|one, next| one.group() == next.group())
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
        for (given, row) in certificates(program, &Selection::default()) {
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
                packet.rewards = due.remove(&person).unwrap_or_default();
            }
        }
    }
}

/// The certificates of a selection, each with the row that it was given to, where the roster still has
/// it; those of awards with the person's last row that has an address.
fn certificates<'p>(
    program: &'p Program,
    selection: &Selection,
) -> Vec<(&'p Given, Option<&'p Participant>)> {
    let mut certificates: Vec<_> =
        credited(program, selection).into_iter().map(|credit| (credit.given, credit.participant)).collect();
    let awards = awarded(program, selection);
    if !awards.is_empty() {
        let rows = program.roster.rows.iter().filter(|row| row.address.is_some());
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

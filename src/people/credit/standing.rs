//! How the roster and the register lie on one another: which row was given which certificate, and which
//! looks like one that was given, written otherwise.

use super::occasions::{Likeness, Occasions};
use super::parts::{self, Parts};
use crate::credential::number::Number;
use crate::languages;
use crate::people::{Identity, composed, plain_name};
use crate::program::Program;
use crate::program::register::{Given, Register, State};
use crate::program::roster::Participant;
use crate::program::settings::Companions;
use crate::spelling::alike::{Folded, are_near};
use std::borrow::Cow;
use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap, HashSet};

/// What the register says of a row of the roster.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing<'r> {
    /// Nothing.
    New,
    /// It was given this certificate. Whether that still counts does not matter: nobody is credited
    /// twice for one row.
    Credited(&'r Number),
    /// It was given none, and looks like the person of this one with a corrected name.
    Corrects(&'r Number),
    /// It was given none, and this certificate of its event has no row any more: whether it is that person, with
    /// name and address corrected, cannot be told.
    Unsure(&'r Number),
    /// It was given none, and its event may be one, or a part of one, that certificates were given for under another
    /// name.
    Renamed,
    /// It was given none, and another row of its event, by its number, has the same name: whether that is the same
    /// person cannot be told, or the two say otherwise of whether the person came and passed.
    Doubled(usize),
}

impl<'r> Standing<'r> {
    pub fn credited(self) -> Option<&'r Number> {
        match self {
            Self::Credited(number) => Some(number),
            Self::New | Self::Corrects(_) | Self::Unsure(_) | Self::Renamed | Self::Doubled(_) => None,
        }
    }
}

/// A certificate with all those that it replaced: one person at one event, by every name that was ever
/// certified.
pub(super) struct Chain<'r> {
    /// The certificate that counts in the place of all of them, or was the last to do so.
    pub newest: &'r Given,
    pub people: Vec<Identity>,
    pub withdrawn: bool,
    /// The row of the roster that it was given to, where there still is one.
    pub row: Option<usize>,
    /// Whether that row is the one of another certificate too: two events were made one.
    is_beside: bool,
}

impl Chain<'_> {
    /// The event of the program that it is for.
    pub fn event(&self) -> &str {
        &self.people[0].event
    }
}

/// A certificate that counts.
pub(super) struct Valid<'p, 'r, 's> {
    pub given: &'r Given,
    /// The event of the program that it is for.
    pub event: &'s str,
    pub row: Option<&'p Participant>,
    /// Whether its row is the one of another certificate too.
    pub is_beside: bool,
}

/// The rows of the roster that say something new, each with what the register says of it.
pub(super) struct Standings<'p, 'r> {
    rows: Vec<(&'p Participant, Identity, Standing<'r>)>,
    chains: Vec<Chain<'r>>,
    /// The companions that one certificate names, by the row that stands for all rows of its person and event.
    together: HashMap<usize, String>,
    /// Events that may be occasions of the register by another name, or parts of such.
    pub likenesses: Vec<Likeness<'p>>,
    /// Certificates whose person stands in the rows of such a part by now.
    pub moved: Vec<&'r Number>,
}

impl<'p, 'r> Standings<'p, 'r> {
    pub fn of(program: &'p Program, register: &'r Register) -> Self {
        let occasions = Occasions::of(program, register);
        let mut chains = chains(register, &occasions);
        let mut seen: HashMap<Identity, &Participant> = HashMap::new();
        let (together, left_out) = together(program);
        let rows = program.people.roster.rows.iter().filter(|row| !left_out.contains(&row.row));
        let rows = rows.map(|row| match together.get(&row.row) {
            Some(companions) => (row, Identity { companion: composed(companions), ..Identity::of(row) }),
            None => (row, Identity::of(row)),
        });
        let mut contradicted: HashMap<usize, usize> = HashMap::new();
        let rows = rows.filter(|(row, identity)| match seen.entry(identity.clone()) {
            Entry::Vacant(first) => {
                first.insert(*row);
                true
            }
            Entry::Occupied(first) => {
                let first = first.get();
                if says_otherwise(first, row) {
                    contradicted.entry(first.row).or_insert(row.row);
                }
                false
            }
        });
        let mut rows: Vec<_> = rows.map(|(row, identity)| (row, identity, Standing::New)).collect();
        if !chains.is_empty() {
            mark_same(&mut rows, &mut chains);
            mark_same_but_for_email(&mut rows, &mut chains);
            mark_corrected(&mut rows, &chains);
            mark_unsure(&mut rows, &chains);
        }
        let parts = match chains.is_empty() {
            true => Parts::default(),
            false => parts::mark(program, &mut rows, &mut chains),
        };
        mark_doubled(&mut rows, &contradicted);
        let new = rows.iter().filter(|(row, _, standing)| row.attended && *standing == Standing::New);
        let mut likenesses = occasions.likenesses(new.map(|(row, ..)| *row));
        for (row, _, standing) in &mut rows {
            if *standing == Standing::New && likenesses.iter().any(|like| like.event.id == row.event) {
                *standing = Standing::Renamed;
            }
        }
        likenesses.extend(parts.likenesses);
        Self { rows, chains, together, likenesses, moved: parts.moved }
    }

    /// The certificates that count, each with its event and with the row that it was given to where the roster
    /// still has it; and whether that is the row of another certificate too.
    pub fn valid(&self) -> impl Iterator<Item = Valid<'p, 'r, '_>> {
        let valid = self.chains.iter().filter(|chain| !chain.withdrawn);
        valid.map(|chain| Valid {
            given: chain.newest,
            event: chain.event(),
            row: chain.row.map(|at| self.rows[at].0),
            is_beside: chain.is_beside,
        })
    }

    /// The row of each certificate, where the roster still has one.
    pub fn row_of_each(&self) -> impl Iterator<Item = (&'r Number, &'p Participant)> {
        let of_chain = |chain: &Chain<'r>| {
            Some((&chain.newest.number, self.rows[chain.row.filter(|_| chain.is_beside)?].0))
        };
        let beside = self.chains.iter().filter_map(of_chain);
        let own = self.rows().filter_map(|(row, standing)| Some((standing.credited()?, row)));
        own.chain(beside)
    }

    /// What a row's certificate says of companions: of all rows of this person and event, where they are named
    /// together.
    pub fn companion_of(&self, row: &'p Participant) -> Option<Cow<'p, str>> {
        let together = self.together.get(&row.row).map(|names| Cow::Owned(names.clone()));
        together.or_else(|| row.companion.as_deref().map(Cow::Borrowed))
    }

    /// In the order of the roster; a row that says again what one above it says is left out.
    pub fn rows(&self) -> impl Iterator<Item = (&'p Participant, Standing<'r>)> {
        self.rows.iter().map(|(row, _, standing)| (*row, *standing))
    }

    /// The same with what tells each person apart.
    pub fn identified(&self) -> impl Iterator<Item = (&'p Participant, &Identity, Standing<'r>)> {
        self.rows.iter().map(|(row, identity, standing)| (*row, identity, *standing))
    }
}

/// Where a program names companions together: the names by the first row of each person with several at one event,
/// and the person's other rows.
fn together(program: &Program) -> (HashMap<usize, String>, HashSet<usize>) {
    let settings = &program.content.settings;
    if settings.certificate.companions != Companions::Together {
        return Default::default();
    }
    let mut rows: HashMap<Identity, Vec<&Participant>> = HashMap::new();
    // Whom a row says no of is named on nobody's certificate.
    let took_part = |row: &&Participant| row.attended && row.passed != Some(false);
    for row in program.people.roster.rows.iter().filter(took_part) {
        let person = Identity { companion: String::new(), ..Identity::of(row) };
        rows.entry(person).or_default().push(row);
    }
    let (mut names, mut left_out) = (HashMap::new(), HashSet::new());
    let and = languages::of_or_english(&settings.language).answers.and.first().map_or("&", String::as_str);
    for rows in rows.into_values() {
        let mut companions: Vec<&str> = Vec::new();
        for companion in rows.iter().filter_map(|row| row.companion.as_deref()) {
            if !companions.iter().any(|known| composed(known) == composed(companion)) {
                companions.push(companion);
            }
        }
        if let ([first, others @ ..], [begin @ .., last]) = (rows.as_slice(), companions.as_slice())
            && !others.is_empty()
        {
            let all = match begin {
                [] => (*last).to_owned(),
                _ => format!("{} {and} {last}", begin.join(", ")),
            };
            names.insert(first.row, all);
            left_out.extend(others.iter().map(|row| row.row));
        }
    }
    (names, left_out)
}

pub(super) type Rows<'p, 'r> = [(&'p Participant, Identity, Standing<'r>)];

fn chains<'r>(register: &'r Register, occasions: &Occasions<'_, 'r>) -> Vec<Chain<'r>> {
    let mut chains: Vec<Chain> = Vec::new();
    let mut of_number: HashMap<&Number, usize> = HashMap::new();
    for given in register.all_given() {
        let Some(event) = occasions.event_of(given) else { continue };
        let identity =
            Identity::new(&event.id, &given.name, given.email.as_deref(), given.companion.as_deref());
        let withdrawn = matches!(register.state(&given.number), State::Withdrawn(_));
        let earlier = given.replaces.as_ref().and_then(|number| of_number.get(number).copied());
        let at = earlier.unwrap_or(chains.len());
        match chains.get_mut(at) {
            Some(chain) => {
                (chain.newest, chain.withdrawn) = (given, withdrawn);
                chain.people.push(identity);
            }
            None => {
                chains.push(Chain {
                    newest: given,
                    people: vec![identity],
                    withdrawn,
                    row: None,
                    is_beside: false,
                });
            }
        }
        of_number.insert(&given.number, at);
    }
    chains
}

fn mark_same<'r>(rows: &mut Rows<'_, 'r>, chains: &mut [Chain<'r>]) {
    let mut by_identity: HashMap<Identity, Vec<usize>> = HashMap::new();
    for (at, chain) in chains.iter().enumerate() {
        chain.people.iter().for_each(|person| by_identity.entry(person.clone()).or_default().push(at));
    }
    for (at, (_, identity, standing)) in rows.iter_mut().enumerate() {
        let of_row = by_identity.get(identity).map(Vec::as_slice).unwrap_or_default();
        // One that counts comes before one that was withdrawn, and otherwise the last.
        let Some(first) = of_row.iter().copied().max_by_key(|at| (!chains[*at].withdrawn, *at)) else {
            continue;
        };
        *standing = Standing::Credited(&chains[first].newest.number);
        for other in of_row {
            let chain = &mut chains[*other];
            if chain.row.is_none() {
                (chain.row, chain.is_beside) = (Some(at), *other != first);
            }
        }
    }
}

/// An e-mail address is not printed: who got another one was credited all the same.
fn mark_same_but_for_email<'r>(rows: &mut Rows<'_, 'r>, chains: &mut [Chain<'r>]) {
    let printed = |person: &Identity| Identity { email: String::new(), ..person.clone() };
    let mut absent: HashMap<Identity, usize> = HashMap::new();
    for (at, chain) in chains.iter().enumerate().filter(|(_, chain)| chain.row.is_none()) {
        absent.extend(chain.people.iter().map(|person| (printed(person), at)));
    }
    let new = rows.iter_mut().enumerate().filter(|(_, (.., standing))| *standing == Standing::New);
    for (at, (_, identity, standing)) in new {
        if let Some(chain) = absent.get(&printed(identity)).map(|at| &mut chains[*at])
            && chain.row.is_none()
        {
            *standing = Standing::Credited(&chain.newest.number);
            chain.row = Some(at);
        }
    }
}

/// A row that nobody was credited for, of an event of which a certificate has no row any more: a name and an
/// address that were both corrected leave nothing to tell the person by, so it is asked.
fn mark_unsure<'r>(rows: &mut Rows<'_, 'r>, chains: &[Chain<'r>]) {
    let claimed = rows.iter().filter_map(|(.., standing)| match standing {
        Standing::Corrects(number) => Some(*number),
        _ => None,
    });
    let claimed: HashSet<&Number> = claimed.collect();
    let mut gone: BTreeMap<&str, &'r Number> = BTreeMap::new();
    for chain in chains.iter().filter(|chain| !chain.withdrawn && chain.row.is_none()) {
        if !claimed.contains(&chain.newest.number) {
            gone.entry(chain.event()).or_insert(&chain.newest.number);
        }
    }
    for (_, identity, standing) in rows.iter_mut().filter(|(.., standing)| *standing == Standing::New) {
        if let Some(number) = gone.get(identity.event.as_str()) {
            *standing = Standing::Unsure(number);
        }
    }
}

/// Whether two rows of one person say otherwise of whether that person came or passed.
fn says_otherwise(first: &Participant, other: &Participant) -> bool {
    let passed = first.passed.zip(other.passed).is_some_and(|(first, other)| first != other);
    first.attended != other.attended || passed
}

/// Rows that nobody was credited for and that may be the person of another row of their event, by the same name: where
/// that one was credited with another address, where either has none, and where the two say otherwise of whether the
/// person came. Two addresses tell two people of one name apart as long as neither was credited; rows of one address
/// that name other companions are one person's with several.
fn mark_doubled(rows: &mut Rows<'_, '_>, contradicted: &HashMap<usize, usize>) {
    struct Other {
        row: usize,
        email: String,
        is_credited: bool,
    }
    let mut of_name: HashMap<(String, String), Vec<Other>> = HashMap::new();
    let name_of = |identity: &Identity| (identity.event.clone(), plain_name(&identity.name));
    for (row, identity, standing) in rows.iter().filter(|(row, ..)| row.attended) {
        let is_credited = standing.credited().is_some();
        let other = Other { row: row.row, email: identity.email.clone(), is_credited };
        of_name.entry(name_of(identity)).or_default().push(other);
    }
    for (row, identity, standing) in rows.iter_mut().filter(|(.., standing)| *standing == Standing::New) {
        let others = of_name.get(&name_of(identity)).map(Vec::as_slice).unwrap_or_default();
        let may_be = |other: &&Other| {
            let lacks_email = other.email.is_empty() || identity.email.is_empty();
            other.email != identity.email && (other.is_credited || lacks_email)
        };
        let other = others.iter().find(may_be).map(|other| other.row);
        if let Some(other) = contradicted.get(&row.row).copied().or(other) {
            *standing = Standing::Doubled(other);
        }
    }
}

/// A certificate's person, as rows are held against it.
struct Known<'c, 'r> {
    chain: &'c Chain<'r>,
    person: &'c Identity,
    folded: Folded,
}

/// A row that nobody was credited for, where a certificate of the event has the same e-mail address or
/// nearly the same name and its own row is gone. While that row is still there, only both together
/// tell: families share an address.
fn mark_corrected<'r>(rows: &mut Rows<'_, 'r>, chains: &[Chain<'r>]) {
    let mut of_event: BTreeMap<&str, Vec<Known<'_, 'r>>> = BTreeMap::new();
    for chain in chains {
        for person in &chain.people {
            let known = Known { chain, person, folded: Folded::of(&person.name) };
            of_event.entry(&person.event).or_default().push(known);
        }
    }
    let mut claimed = HashSet::new();
    // An address tells more than a name: who has it comes first, and then nobody else is meant.
    for by_name in [false, true] {
        for (_, identity, standing) in rows.iter_mut().filter(|(.., standing)| *standing == Standing::New) {
            let Some(known) = of_event.get(identity.event.as_str()) else { continue };
            let name = Folded::of(&identity.name);
            let found = known.iter().find(|known| match by_name {
                false => known.has_email_of(identity, &name),
                true => known.has_name_of(&name) && !claimed.contains(&known.chain.newest.number),
            });
            if let Some(Known { chain, .. }) = found {
                *standing = Standing::Corrects(&chain.newest.number);
                if !by_name {
                    claimed.insert(&chain.newest.number);
                }
            }
        }
    }
}

impl Known<'_, '_> {
    fn has_email_of(&self, row: &Identity, name: &Folded) -> bool {
        let same_email = !row.email.is_empty() && row.email == self.person.email;
        let written_otherwise =
            || are_near(name, &self.folded) && plain_name(&row.name) != plain_name(&self.person.name);
        same_email && (self.chain.row.is_none() || written_otherwise())
    }

    fn has_name_of(&self, name: &Folded) -> bool {
        self.chain.row.is_none() && are_near(name, &self.folded)
    }
}

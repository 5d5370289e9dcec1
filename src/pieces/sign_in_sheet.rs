//! Sign-in sheets: one an event, with who is on the roster and room for who walks in.
//!
//! Private: it holds names.

use super::common::{Head, Held, RosterWord};
use super::run_sheet::StaffEvent;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, RosterCells, Sheet, Shelf, file_name};
use crate::people;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::understand::Understood;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;
use unicode_segmentation::UnicodeSegmentation;

/// Rows for who walks in, at least.
const BLANK: usize = 12;

/// What `sign-in-sheet.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct SignInSheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    event: StaffEvent<'p>,
    /// Whether people can join a service unit, and tick a box to be asked.
    joins: bool,
    /// Whether a reward comes in sizes.
    sized: bool,
    /// How other columns of the roster are called that the program keeps; mostly none.
    kept: Vec<&'p str>,
    /// Who is on the roster, by name.
    people: Vec<SignInRow<'p>>,
    /// How many empty rows are wanted; they begin on the first page.
    blank: usize,
}

/// Who is on the roster for the event.
#[derive(Serialize, JsonSchema)]
struct SignInRow<'p> {
    name: RosterWord<'p>,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<RosterWord<'p>>,
    /// Enough of an e-mail address for its owner to know it by, or null: the sheet lies open on a table.
    email: Option<HiddenAddress>,
    /// The size on the roster, or null.
    size: Option<RosterWord<'p>>,
    /// Whether the roster has it that the person asked to join.
    joins: bool,
    /// What stands in each column that is kept; null where nothing does.
    kept: Vec<Option<RosterWord<'p>>>,
}

/// An e-mail address of which most is hidden: `ma…@m….example`.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum HiddenAddress {
    Hidden(String),
    Held(Held),
}

impl HiddenAddress {
    fn of(address: &str) -> Self {
        let first = |part: &str, letters| -> String { part.graphemes(true).take(letters).collect() };
        let (person, host) = address.rsplit_once('@').unwrap_or((address, ""));
        // Of a short one not even two letters are shown.
        let shown = if person.graphemes(true).count() > 4 { 2 } else { 1 };
        let host = match host.rsplit_once('.') {
            Some((name, ending)) => format!("@{}….{ending}", first(name, 1)),
            None if host.is_empty() => String::new(),
            None => format!("@{}…", first(host, 1)),
        };
        Self::Hidden(format!("{}…{host}", first(person, shown)))
    }
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let events = selection.scope.events(understood.content);
    let sheets = events.flat_map(|event| event.days().into_iter().map(move |day| (event, day)));
    sheets.flat_map(|(event, day)| jobs(understood, selection, event, day)).collect()
}

/// An event's sheet for one of its days, on each of which people sign by themselves; in volumes where many are on its
/// roster. Who walks in signs on the last.
fn jobs(understood: &Understood, selection: &Selection, event: &Event, day: Date) -> Vec<Job> {
    let folder = file_name::of_id(&event.id);
    let path = match event.later_days.is_empty() {
        true => format!("sign-in-sheets/{folder}.pdf"),
        false => format!("sign-in-sheets/{folder}/{day}.pdf"),
    };
    let people = people::registered(understood.root, event);
    let volumes: Vec<&[&Participant]> = match people.is_empty() {
        true => vec![&[]],
        false => people.chunks(common::LIST).collect(),
    };
    let volume = |(number, people): (usize, &&[&Participant])| {
        let blank = if number + 1 == volumes.len() { BLANK } else { 0 };
        let path = common::volume_path(&path, number, volumes.len());
        job(understood, selection, (event, day), (people, blank), path)
    };
    volumes.iter().enumerate().map(volume).collect()
}

fn job(
    understood: &Understood,
    selection: &Selection,
    (event, day): (&Event, Date),
    (people, blank): (&[&Participant], usize),
    path: String,
) -> Job {
    let title = common::title(understood, selection, "sign-in-sheet", &event.name);
    let sheet = SignInSheet {
        head: common::head(understood, selection, &title),
        event: StaffEvent::on(event, day),
        joins: !understood.content.settings.awards.is_empty()
            || understood.root.people.roster.rows.iter().any(|row| row.joins),
        sized: understood.content.settings.rewards.iter().any(|reward| reward.sized),
        kept: common::kept_headings(understood),
        people: people.iter().map(|row| person(row)).collect(),
        blank,
    };
    Job {
        piece: Piece::SignInSheet,
        shelf: Shelf::Private,
        path,
        make: Make::Sheet(Sheet {
            cells: people.iter().enumerate().map(|(at, row)| cells(at, row)).collect(),
            ..Sheet::of("sign-in-sheet.typ", &sheet)
        }),
    }
}

fn person(row: &Participant) -> SignInRow<'_> {
    SignInRow {
        name: RosterWord::new(&row.name),
        companion: RosterWord::maybe(row.companion.as_deref()),
        email: row.email.as_deref().map(HiddenAddress::of),
        size: RosterWord::maybe(row.size.as_deref()),
        joins: row.joins,
        kept: common::kept(row),
    }
}

fn cells(at: usize, row: &Participant) -> RosterCells {
    let keys = ["name", "companion", "email"];
    let keys = keys.iter().map(|key| format!("/people/{at}/{key}"));
    let kept = (0..row.kept.len()).map(|column| format!("/people/{at}/kept/{column}"));
    common::roster_cells(row, keys.chain(kept).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source.
    #[test]
    fn of_an_address_only_its_owner_knows_the_rest() {
        let cases = [
            ("marisol.p@mailbox.example", "ma…@m….example"),
            ("jo@mail.basin.example", "j…@m….example"),
            ("e\u{301}tienne@post.example", "e\u{301}t…@p….example"),
            ("nobody@host", "no…@h…"),
            ("without", "wi…"),
        ];
        for (address, hidden) in cases {
            assert_eq!(HiddenAddress::of(address), HiddenAddress::Hidden(hidden.into()), "{address}");
        }
    }
}

//! The packing list: what goes into each packet, by postcode, with weights and counts; on paper to pack
//! by, and as a table.
//!
//! Private: it holds names.

use super::common::Head;
use super::table_words::TableWords;
use super::weights::{Load, Weight};
use super::{Selection, common, mailing};
use crate::addresses::{Country, Unmailable};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table};
use crate::people::packets::{Mail, Packet, Stranded};
use crate::program::settings::{Mailing, Settings, sizes};
use crate::quantity::Exact;
use crate::understand::Understood;
use crate::words::filled_in;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What `packing-list.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct PackingList<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// The packets by country and postcode.
    groups: Vec<PackingGroup<'p>>,
    totals: PackingTotals,
    /// Who is credited and cannot be mailed.
    stranded: Vec<StrandedRow<'p>>,
}

/// Packets to one postcode.
#[derive(Serialize, JsonSchema)]
struct PackingGroup<'p> {
    /// Null in the program's own country.
    country: Option<&'p str>,
    postcode: &'p str,
    count: usize,
    weight: Weight,
    packets: Vec<PacketRow<'p>>,
}

/// What goes into one packet.
#[derive(Serialize, JsonSchema)]
struct PacketRow<'p> {
    /// Its number, from 1.
    n: usize,
    name: &'p str,
    /// The numbers of the certificates in it.
    numbers: Vec<String>,
    things: Vec<Thing>,
    weight: Weight,
    label: LabelPlace,
    /// Whether the packet before goes to the same address.
    same_address: bool,
}

/// Where a packet's label lies, from 1.
#[derive(Serialize, JsonSchema)]
struct LabelPlace {
    sheet: usize,
    place: usize,
}

/// All packets together.
#[derive(Serialize, JsonSchema)]
struct PackingTotals {
    packets: usize,
    certificates: usize,
    /// By name and size, the smallest size first.
    things: Vec<Thing>,
    weight: Weight,
}

/// Who cannot be mailed; both reasons are null where no address was given.
#[derive(Serialize, JsonSchema)]
struct StrandedRow<'p> {
    name: &'p str,
    why: Option<String>,
    mend: Option<String>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(mail) = mailing::mail(understood, selection, Piece::PackingList) else { return Vec::new() };
    let settings = &understood.content.settings;
    let words = selection.words.of(&settings.language);
    let list = List { settings, mailing: settings.mail(), selection, words };
    let title = common::title(understood, selection, "packing-list", "");
    let job = |name: &str, make| Job {
        piece: Piece::PackingList,
        shelf: Shelf::Private,
        path: mailing::path(selection, &mail, name),
        make,
    };
    // Each is a list by itself, of the packets that stand in it; who cannot be mailed stands in the last.
    let volumes: Vec<&[Packet]> = match mail.packets.is_empty() {
        true => vec![&[]],
        false => mail.packets.chunks(common::LIST).collect(),
    };
    let volume = |(number, packets): (usize, &&[Packet])| {
        let data = PackingList {
            head: common::head(understood, selection, &title),
            groups: list.groups(number * common::LIST, packets),
            totals: list.totals(packets),
            stranded: if number + 1 == volumes.len() { list.stranded(&mail) } else { Vec::new() },
        };
        let path = common::volume_path("packing-list.pdf", number, volumes.len());
        job(&path, Make::Sheet(Sheet::of("packing-list.typ", &data)))
    };
    let table = job(
        "packing-list.csv",
        Make::Tables(vec![list.table(&mail, &TableWords::of(understood, selection))]),
    );
    volumes.iter().enumerate().map(volume).chain([table]).collect()
}

struct List<'s> {
    settings: &'s Settings,
    mailing: Mailing,
    selection: &'s Selection,
    /// The theme's, in the language of the program.
    words: Arc<Value>,
}

/// A thing in a packet, its size where it has one, and how many.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[schemars(rename = "PackedThing")]
struct Thing {
    name: String,
    /// Null where it has none.
    size: Option<String>,
    count: u32,
}

impl List<'_> {
    /// The rewards of a packet; its certificates are told by their numbers.
    fn things(&self, packet: &Packet) -> Vec<Thing> {
        let mut things: Vec<Thing> = Vec::new();
        for due in &packet.rewards {
            let reward = self.settings.rewards.iter().find(|reward| reward.name == due.reward);
            let sized = reward.is_some_and(|reward| reward.sized);
            let size = sized.then(|| self.size(due.size));
            match things.iter_mut().find(|thing| thing.name == due.reward && thing.size == size) {
                Some(thing) => thing.count += 1,
                None => things.push(Thing { name: due.reward.to_owned(), size, count: 1 }),
            }
        }
        things
    }

    /// As it is ordered; what is no size of the program stays as the roster has it.
    fn size(&self, asked: Option<&str>) -> String {
        let Some(asked) = asked else { return "?".to_owned() };
        sizes::meant(asked, &self.settings.roster.sizes()).unwrap_or(asked).to_owned()
    }

    fn load(&self, packet: &Packet) -> Load {
        let mut load = Load::of(packet.numbers.len() as u32, self.mailing.certificate_weight.as_deref());
        for thing in self.things(packet) {
            let reward = self.settings.rewards.iter().find(|reward| reward.name == thing.name);
            load.add(&Load::of(thing.count, reward.and_then(|reward| reward.weight.as_deref())));
        }
        if let Some(weight) = &self.mailing.envelope_weight {
            load.add(&Load::of(1, Some(weight)));
        }
        load
    }

    fn load_of_all(&self, packets: &[Packet]) -> Load {
        let mut all = Load::default();
        packets.iter().for_each(|packet| all.add(&self.load(packet)));
        all
    }

    /// Sheet and place of a packet's label, from 1.
    fn label(&self, at: usize) -> (usize, usize) {
        let start = self.selection.start_label.map_or(1, |start| start as usize);
        let (sheet, place) = self.mailing.labels.at(at, start);
        (sheet + 1, place + 1)
    }

    /// `at` is the number of the first of the packets, from 0.
    fn groups<'m>(&self, mut at: usize, packets: &'m [Packet]) -> Vec<PackingGroup<'m>> {
        let group = |packets: &'m [Packet]| {
            let (code, postcode) = packets[0].group();
            let country = &packets[0].block.country;
            let packet_row = |packet| {
                at += 1;
                self.packet_row(at - 1, packet)
            };
            PackingGroup {
                country: (code != self.mailing.country.code)
                    .then_some(country.named(&self.settings.language)),
                postcode,
                count: packets.len(),
                weight: Weight::of(&self.load_of_all(packets), &self.words),
                packets: packets.iter().map(packet_row).collect(),
            }
        };
        packets.chunk_by(|one, next| one.group() == next.group()).map(group).collect()
    }

    fn packet_row<'m>(&self, at: usize, packet: &'m Packet) -> PacketRow<'m> {
        let (sheet, place) = self.label(at);
        PacketRow {
            n: at + 1,
            name: &packet.person.name,
            numbers: numbers(packet),
            things: self.things(packet),
            weight: Weight::of(&self.load(packet), &self.words),
            label: LabelPlace { sheet, place },
            same_address: packet.same_address,
        }
    }

    fn totals(&self, packets: &[Packet]) -> PackingTotals {
        // The smallest size first, as in the orders.
        let sizes = self.settings.roster.sizes();
        let rank = |size: &str| sizes.iter().position(|known| *known == size).unwrap_or(sizes.len());
        let mut counts: BTreeMap<(String, Option<usize>, Option<String>), u32> = BTreeMap::new();
        for thing in packets.iter().flat_map(|packet| self.things(packet)) {
            let rank = thing.size.as_deref().map(rank);
            *counts.entry((thing.name, rank, thing.size)).or_default() += thing.count;
        }
        let things = counts.into_iter().map(|((name, _, size), count)| Thing { name, size, count });
        PackingTotals {
            packets: packets.len(),
            certificates: packets.iter().map(|packet| packet.numbers.len()).sum(),
            things: things.collect(),
            weight: Weight::of(&self.load_of_all(packets), &self.words),
        }
    }

    fn table(&self, mail: &Mail, words: &TableWords) -> Table {
        let headings = [
            "packet",
            "country",
            "postcode",
            "name",
            "certificates",
            "rewards",
            "weight",
            "label-sheet",
            "label",
            "address-as-before",
        ];
        let whole = |number: usize| Cell::Number(Exact::from_integer(number.into()));
        let rows = mail.packets.iter().enumerate().map(|(at, packet)| {
            let (sheet, place) = self.label(at);
            let things: Vec<String> = self.things(packet).iter().map(thing_words).collect();
            let text = |text: String| if text.is_empty() { Cell::Empty } else { Cell::Text(text) };
            vec![
                whole(at + 1),
                text(packet.block.country.named(&self.settings.language).to_owned()),
                text(packet.block.postcode.clone()),
                text(packet.person.name.clone()),
                text(numbers(packet).join("; ")),
                text(things.join("; ")),
                text(self.load(packet).words(&self.words).unwrap_or_default()),
                whole(sheet),
                whole(place),
                if packet.same_address { words.yes(true) } else { Cell::Empty },
            ]
        });
        Table { rows: rows.collect(), ..words.of_mail("packing-list", &headings) }
    }
}

impl List<'_> {
    fn stranded<'m>(&self, mail: &'m Mail) -> Vec<StrandedRow<'m>> {
        let row = |stranded: &'m Stranded| {
            let said = stranded.why.as_ref().map(|why| self.reason(why));
            let (why, mend) = said.unzip();
            StrandedRow { name: stranded.name, why, mend }
        };
        mail.stranded.iter().map(row).collect()
    }

    /// Why somebody cannot be mailed and how to mend it, in the theme's words; in English where it has none.
    fn reason(&self, why: &Unmailable) -> (String, String) {
        let (key, known) = why.key();
        let known = |name: &str| {
            let (_, said) = known.iter().find(|(known, _)| *known == name)?;
            let country = (name == "country").then(|| Country::find(said)).flatten();
            Some(country.map_or(*said, |country| country.named(&self.settings.language)))
        };
        let said = |part: &str| {
            let pattern = self.words["packing-list"]["unmailable"][key][part].as_str()?;
            Some(filled_in(pattern, known))
        };
        (said("why").unwrap_or_else(|| why.message()), said("mend").unwrap_or_else(|| why.mend()))
    }
}

fn numbers(packet: &Packet) -> Vec<String> {
    packet.numbers.iter().map(|number| number.to_string()).collect()
}

/// `2 neckerchiefs` would need the plural of a word that the program made: `neckerchief (M) × 2`.
fn thing_words(thing: &Thing) -> String {
    let size = thing.size.as_ref().map(|size| format!(" ({size})")).unwrap_or_default();
    let count = if thing.count > 1 { format!(" × {}", thing.count) } else { String::new() };
    format!("{}{size}{count}", thing.name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Words;

    /// Each reason, once with a name that is near and once without.
    fn reasons() -> Vec<Unmailable> {
        let (country, state) = ("Germany", "Oregon");
        vec![
            Unmailable::NoStreet,
            Unmailable::NoTown,
            Unmailable::NoState { country },
            Unmailable::NoPostcode { country },
            Unmailable::CountryUnknown { near: Some(country) },
            Unmailable::CountryUnknown { near: None },
            Unmailable::StateUnknown { country, near: Some(state) },
            Unmailable::StateUnknown { country, near: None },
            Unmailable::PostcodeUnfit { country, form: "12345".into() },
            Unmailable::PostcodeElsewhere { state },
            Unmailable::HalfMilitary,
        ]
    }

    #[test]
    fn each_reason_is_told_in_the_language_of_the_program() {
        let sound = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        let program = crate::program::open(&sound).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
        for language in crate::languages::all() {
            let settings = Settings { language: language.tag.into(), ..program.content.settings.clone() };
            let words = Words::default().of(language.tag);
            let selection = Selection::default();
            let list = List { mailing: settings.mail(), settings: &settings, selection: &selection, words };
            for reason in reasons() {
                let (why, mend) = list.reason(&reason);
                assert!(!why.contains('{') && !mend.contains('{'), "{why} {mend}");
                let in_english = (why == reason.message(), mend == reason.mend());
                assert_eq!(in_english, (language.tag == "en", language.tag == "en"), "{why} {mend}");
                assert_eq!(
                    why.contains("Germany"),
                    language.tag == "en" && reason.message().contains("Germany")
                );
            }
        }
    }
}

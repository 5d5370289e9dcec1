//! Envelopes: one page each, at the size of the envelope.
//!
//! Private: the data holds names and addresses.

use super::common::Head;
use super::mailing::{self, AddressBlock, Measures};
use super::{Selection, common};
use crate::job::{self, Job, Make, Piece, RunEntry, RunOfSheets, Shelf, file_name};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What all pages of `envelope.typ` share; each entry is an [`AddressBlock`].
#[derive(Serialize, JsonSchema)]
pub(super) struct Envelopes<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    envelope: Measures,
    /// Line by line; empty where the program gives none.
    return_address: &'p [String],
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(mail) = mailing::mail(understood, selection, Piece::Envelopes) else { return Vec::new() };
    if mail.packets.is_empty() {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let title = common::title(understood, selection, "envelopes", "");
    let data = job::data(&Envelopes {
        head: common::head(understood, selection, &title),
        envelope: Measures::of(&settings.envelope.width, &settings.envelope.height),
        return_address: &settings.return_address,
    });
    let path = mailing::path(selection, &mail, "envelopes");
    let entries = mail
        .packets
        .iter()
        .map(|packet| RunEntry {
            path: format!("{path}/{}.pdf", file_name::of_person(&packet.person.name, packet.numbers[0])),
            title: "Envelope".into(),
            data: job::data(&AddressBlock::of(packet)),
            code: None,
            place: Some(packet.person.place.clone()),
            letter: None,
        })
        .collect();
    vec![Job {
        piece: Piece::Envelopes,
        shelf: Shelf::Private,
        path: format!("{path}.pdf"),
        make: Make::Run(RunOfSheets {
            template: "envelope.typ".into(),
            data,
            entries,
            pictures: Vec::new(),
            places: settings.return_place.into_iter().map(|place| ("return-address".into(), place)).collect(),
            alone: true,
        }),
    }]
}

//! Envelopes: one page each, at the size of the envelope.
//!
//! Private. Beside the common head: `envelope` (`width`, `height`, in points) and `return_address` (a
//! list of lines, may be empty). Each entry: `lines`, `narrow` (may be null).

use super::mailing::{self, block, length};
use super::{Selection, common};
use crate::job::{Job, Make, Piece, RunEntry, RunOfSheets, Shelf, file_name};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(mail) = mailing::mail(understood, selection, Piece::Envelopes) else { return Vec::new() };
    if mail.packets.is_empty() {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let mut data =
        common::head(understood, selection, &common::title(understood, selection, "envelopes", ""));
    let envelope = &settings.envelope;
    data.insert(
        "envelope".into(),
        json!({"width": length(&envelope.width), "height": length(&envelope.height)}),
    );
    data.insert("return_address".into(), settings.return_address.clone().into());
    let path = mailing::path(selection, &mail, "envelopes");
    let entries = mail
        .packets
        .iter()
        .map(|packet| RunEntry {
            path: format!("{path}/{}.pdf", file_name::of_person(&packet.person.name, packet.numbers[0])),
            title: "Envelope".into(),
            data: block(packet),
            code: None,
            place: Some(packet.person.place.clone()),
        })
        .collect();
    vec![Job {
        piece: Piece::Envelopes,
        shelf: Shelf::Private,
        path: format!("{path}.pdf"),
        make: Make::Run(RunOfSheets {
            template: "envelope.typ".into(),
            data: Value::Object(data),
            entries,
            pictures: Vec::new(),
            places: settings.return_place.into_iter().map(|place| ("return-address".into(), place)).collect(),
            alone: true,
        }),
    }]
}

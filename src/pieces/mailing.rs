//! What labels, envelopes and the packing list share: when they are made, where they go, and lengths
//! for the typesetter.

use super::Selection;
use crate::finding::Place;
use crate::job::{Piece, file_name};
use crate::people::packets::{Mail, Packet};
use crate::quantity::Exact;
use crate::understand::Understood;
use num_traits::ToPrimitive;
use serde_json::{Value, json};

/// The mail of a selection, where there is any to plan for: a program that has no `[mailing]` gets
/// these pieces only when they are asked for by name.
pub(super) fn mail<'p>(understood: &Understood<'p>, selection: &Selection, piece: Piece) -> Option<Mail<'p>> {
    if !is_wanted(understood, selection, piece) {
        return None;
    }
    let mail = Mail::of(understood.root, &selection.scope);
    let is_empty = mail.packets.is_empty() && mail.stranded.is_empty();
    (!is_empty).then_some(mail)
}

pub(super) fn is_wanted(understood: &Understood, selection: &Selection, piece: Piece) -> bool {
    understood.content.settings.mailing.is_some() || selection.pieces.contains(&piece)
}

/// Below the private shelf: `mail/labels.pdf`, of one event `mail/north-camp/labels.pdf`. What is made
/// for one person never stands in the place of what is made for all.
pub(super) fn path(selection: &Selection, mail: &Mail, name: &str) -> String {
    let mut folder = String::from("mail/");
    if let Some(event) = &selection.scope.event {
        folder += &format!("{}/", file_name::of_id(event));
    }
    if selection.scope.participant.is_some() {
        folder += "of-one/";
        if let Some(packet) = mail.packets.first() {
            folder += &format!("{}/", file_name::of_person(&packet.person.name, packet.numbers[0]));
        }
    }
    folder + name
}

/// The lines of a block, and those with the unit on a line of its own, which may be null.
pub(super) fn block(packet: &Packet) -> Value {
    json!({"lines": packet.block.lines, "narrow": packet.block.narrow})
}

/// By which key the typesetter names a packet, and its row in the roster.
pub(super) fn place(at: usize, packet: &Packet) -> (String, Place) {
    (key(at), packet.person.place.clone())
}

pub(super) fn key(at: usize) -> String {
    format!("packet-{}", at + 1)
}

/// A length in points for the typesetter, to a hundred-thousandth of one.
pub(super) fn length(points: &Exact) -> Value {
    let fine = Exact::from_integer(100_000.into());
    json!((points * &fine).round().to_f64().unwrap_or_default() / 100_000.0)
}

/// Millimeters in points: an inch is 25.4 mm and 72 points.
pub(super) fn of_millimeters(millimeters: &Exact) -> Exact {
    millimeters * Exact::new(720.into(), 254.into())
}

//! What labels, envelopes and the packing list share: when they are made, where they go, and lengths
//! for the typesetter.

use super::Selection;
use crate::finding::Place;
use crate::job::{Piece, file_name};
use crate::people::packets::{Mail, Packet};
use crate::program::settings::Mailing;
use crate::quantity::Exact;
use crate::understand::Understood;
use num_traits::ToPrimitive;
use schemars::JsonSchema;
use serde::Serialize;

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

/// An address, line by line.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub(super) struct AddressBlock<'p> {
    lines: &'p [String],
    /// The same with the unit on a line of its own, for where the lines are too wide; null where that is no
    /// other block.
    narrow: Option<&'p [String]>,
}

impl<'p> AddressBlock<'p> {
    pub fn of(packet: &'p Packet) -> Self {
        Self { lines: &packet.block.lines, narrow: packet.block.narrow.as_deref() }
    }
}

/// How large something is, in points.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub(super) struct Measures {
    width: f64,
    height: f64,
}

impl Measures {
    pub fn of(width: &Exact, height: &Exact) -> Self {
        Self { width: length(width), height: length(height) }
    }
}

/// By how much all is moved so that it meets the labels, in points.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub(super) struct Nudge {
    /// To the right.
    x: f64,
    /// Down.
    y: f64,
}

impl Nudge {
    pub fn of(mailing: &Mailing) -> Self {
        let x = length(&of_millimeters(&mailing.nudge_right));
        Self { x, y: length(&of_millimeters(&mailing.nudge_down)) }
    }
}

/// By which key the typesetter names a packet, and its row in the roster.
pub(super) fn place(at: usize, packet: &Packet) -> (String, Place) {
    (key(at), packet.person.place.clone())
}

pub(super) fn key(at: usize) -> String {
    format!("packet-{}", at + 1)
}

/// A length in points for the typesetter, to a hundred-thousandth of one.
pub(super) fn length(points: &Exact) -> f64 {
    let fine = Exact::from_integer(100_000.into());
    (points * &fine).round().to_f64().unwrap_or_default() / 100_000.0
}

/// Millimeters in points: an inch is 25.4 mm and 72 points.
fn of_millimeters(millimeters: &Exact) -> Exact {
    millimeters * Exact::new(720.into(), 254.into())
}

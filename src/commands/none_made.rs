//! Why a piece that was asked for by name was not made: nothing wrong and nothing done must never look alike.

use crate::job::Piece;
use crate::people::credit::{awarded, credited};
use crate::pieces::{Selection, row};
use crate::program::Program;
use std::io::{self, Write};

/// Tells of each piece that was asked for by name and that `is_missing`; it may be held, if there was something
/// to make.
pub(super) fn tell(
    program: &Program,
    selection: &Selection,
    is_missing: impl Fn(Piece) -> bool,
    is_held: impl Fn(Piece) -> bool,
    out: &mut dyn Write,
) -> io::Result<()> {
    for piece in selection.pieces.iter().filter(|piece| is_missing(**piece)) {
        let why = if is_held(*piece) { "The reason is below." } else { why(*piece, program, selection) };
        writeln!(out, "{}: none made. {why}", row(*piece).title)?;
    }
    Ok(())
}

fn why(piece: Piece, program: &Program, selection: &Selection) -> &'static str {
    let nobody =
        credited(program, &selection.scope).is_empty() && awarded(program, &selection.scope).is_empty();
    match piece {
        Piece::Certificates => {
            "They are for people who attended and passed, according to the roster and the answers: `packstring proofread --roster` shows each row as it was understood."
        }
        Piece::Labels | Piece::Envelopes | Piece::PackingList if nobody => {
            "They are for people who have a certificate, and nobody has one yet: `packstring make --pieces certificates` gives them."
        }
        Piece::Letters if nobody => {
            "They are for people who have a certificate, and nobody has one yet: `packstring make --pieces certificates` gives them."
        }
        Piece::Letters if program.content.settings.sender().is_none() => {
            "There is no address that they could come from: write `from` under [letters] in program.toml."
        }
        Piece::Letters => "Nobody who was given a certificate gave an e-mail address that can be one.",
        Piece::Labels | Piece::Envelopes => {
            "Nobody who was given a certificate gave an address that can be mailed to: the packing list gives the reason for each."
        }
        Piece::Errata => {
            "Nothing on the open shelf that was printed then states a figure that is another now: `packstring since` lists what else changed."
        }
        Piece::Scores => "There are no answers to score.",
        Piece::Tally => "Nobody has hours in people/hours.csv.",
        _ => "The program has nothing for it.",
    }
}

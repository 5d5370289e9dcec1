//! What stands already: a whole making that was made from just what is there now need not be planned again.

use super::make::Count;
use crate::digest::{absorb, hex};
use crate::disk;
use crate::pieces::{Selection, TABLE, row};
use crate::press::Press;
use crate::program::Program;
use crate::shelf::{Shelves, Whole};
use sha2::{Digest, Sha256};

/// A fingerprint of all that pieces are made from, and of what is asked: the program's files, the ranger's
/// decisions, pictures, the theme, packstring itself. `None` where not everything is asked for.
pub(super) fn fingerprint(program: &Program, press: &Press, selection: &Selection) -> Option<String> {
    let asked = format!("{:?}", (selection.paper, selection.ink, selection.start_label));
    selection.is_everything().then(|| of_all(program, press, &asked))
}

/// A fingerprint of all that a program's pieces are made from, and of what is `asked`.
pub(super) fn of_all(program: &Program, press: &Press, asked: &str) -> String {
    let mut hash = Sha256::new();
    let mut absorb = |part: &[u8]| absorb(&mut hash, part);
    absorb(press.theme_fingerprint().as_bytes());
    absorb(asked.as_bytes());
    for decided in &program.people.decisions.rows {
        let parts = [&decided.event, &decided.name, &decided.email, &decided.question, &decided.answer];
        parts.into_iter().chain([&decided.decision, &decided.mark]).for_each(|part| absorb(part.as_bytes()));
    }
    for (name, text) in program.sources.files() {
        absorb(name.as_bytes());
        absorb(text.as_bytes());
    }
    let editions = program.editions.iter().map(|edition| &edition.content);
    for name in std::iter::once(&program.content).chain(editions).flat_map(|content| content.pictures.keys())
    {
        absorb(name.as_bytes());
        absorb(&disk::read(&program.folder.join(name)).unwrap_or_default());
    }
    hex(hash.finalize())
}

/// The files of the last run, all kept, where it made everything from just this.
pub(super) fn kept(shelves: &Shelves, from: &str) -> Option<Count> {
    let whole = shelves.whole().filter(|whole| whole.from == from)?;
    let piece_of = |key: &str| TABLE.iter().find(|row| row.key == key).map(|row| row.piece);
    let pieces = whole.files.iter().map(|(key, count)| Some((piece_of(key)?, (0, *count))));
    Some(Count { pieces: pieces.collect::<Option<_>>()?, cleared: 0 })
}

/// What is noted of a making of everything from which nothing is left to be mended.
pub(super) fn note(from: String, count: &Count) -> Whole {
    let files = count.pieces.iter().map(|(piece, (made, kept))| (row(*piece).key.to_owned(), made + kept));
    Whole { from, files: files.collect() }
}

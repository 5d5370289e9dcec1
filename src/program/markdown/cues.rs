//! Cues: block quotes that start with a cue word and a colon.

use super::super::lesson::{Block, Cue, Inline};
use super::TreeBuilder;
use super::inlines::plain_text;
use crate::finding::{Place, rules};

impl TreeBuilder<'_> {
    /// Makes a cue of a block quote whose first words are a cue word and a colon, and takes these away.
    pub(super) fn quote_or_cue(&mut self, mut blocks: Vec<Block>, place: Place) -> Block {
        let Some((cue, length)) = blocks.first().and_then(first_words).and_then(lead) else {
            self.tell_near_miss(&blocks);
            return Block::Quote { blocks, place };
        };
        self.tell_second_cue(&blocks);
        cut(&mut blocks, length);
        if blocks.is_empty() {
            self.mistakes.tell(
                &rules::CUE_EMPTY,
                place.clone(),
                format!("Nothing follows “{}:”.", cue.word()),
                "Write the words after the colon, in the same block quote.",
            );
        }
        Block::Cue { cue, blocks, place }
    }

    /// A word that was most likely meant as a cue would else be printed as a mere quotation.
    fn tell_near_miss(&self, blocks: &[Block]) {
        let Some(Block::Paragraph { inlines, place }) = blocks.first() else { return };
        let text = plain_text(inlines);
        let Some((word, _)) = text.split_once(':') else { return };
        let is_marked_up = !matches!(inlines.first(), Some(Inline::Text { .. }));
        let word = word.trim();
        let Some(cue) = meant(word) else { return };
        let message = match is_marked_up {
            true => "A cue word must be plain text at the start of its block quote, without asterisks or brackets."
                .to_owned(),
            false => format!("This block quote starts with “{word}:”, which is not a cue word."),
        };
        let mend = match is_marked_up {
            true => format!("Write “{}:”.", cue.word()),
            false => {
                format!("Did you mean “{}:”? For a mere quotation, start with another word.", cue.word())
            }
        };
        self.mistakes.tell(&rules::CUE_UNKNOWN, place.clone(), message, mend);
    }

    fn tell_second_cue(&self, blocks: &[Block]) {
        for (number, block) in blocks.iter().enumerate() {
            let Block::Paragraph { inlines, .. } = block else { continue };
            for (at, inline) in inlines.iter().enumerate() {
                let starts_line = match at {
                    0 => number > 0,
                    _ => matches!(inlines[at - 1], Inline::SoftBreak | Inline::HardBreak),
                };
                let Inline::Text { text, place } = inline else { continue };
                if let (true, Some((cue, _))) = (starts_line, lead(text)) {
                    self.mistakes.tell(
                        &rules::CUE_DOUBLED,
                        place.clone(),
                        format!(
                            "A second cue, “{}:”, stands in the same block quote as the first.",
                            cue.word()
                        ),
                        "Put an empty line, without “>”, between the two.",
                    );
                }
            }
        }
    }
}

fn first_words(block: &Block) -> Option<&str> {
    match block {
        Block::Paragraph { inlines, .. } => match inlines.first() {
            Some(Inline::Text { text, .. }) => Some(text),
            _ => None,
        },
        _ => None,
    }
}

/// The cue that a text starts with, and the bytes of its word, colon and the white space after them.
fn lead(text: &str) -> Option<(Cue, usize)> {
    Cue::ALL.into_iter().find_map(|cue| {
        // French has a space before its colon
        let spaces = [' ', '\u{a0}', '\u{202f}'];
        let rest = cue
            .words()
            .find_map(|word| text.strip_prefix(word)?.trim_start_matches(spaces).strip_prefix(':'))?;
        Some((cue, text.len() - rest.trim_start().len()))
    })
}

/// Takes the first `length` bytes from the first text, and what is empty then.
fn cut(blocks: &mut Vec<Block>, length: usize) {
    let Some(Block::Paragraph { inlines, place: paragraph }) = blocks.first_mut() else { return };
    if let Some(Inline::Text { text, place }) = inlines.first_mut() {
        // A text of which a part is cut away stands in the file as it is: cue words hold no escapes.
        place.range.start = (place.range.start + length).min(place.range.end);
        text.drain(..length);
        paragraph.range.start = place.range.start;
        if text.is_empty() {
            inlines.remove(0);
            while matches!(inlines.first(), Some(Inline::SoftBreak | Inline::HardBreak)) {
                inlines.remove(0);
            }
        }
    }
    if inlines.is_empty() {
        blocks.remove(0);
    }
}

/// The cue that a word like `Sya`, `WARNING` or `Cation` was most likely meant as. Short words must
/// keep their first letter or be a shuffle of the cue word, so that `Day:` stays a quotation.
fn meant(word: &str) -> Option<Cue> {
    let word = word.to_lowercase();
    // What others call a cue: a quotation hardly starts so.
    let otherwise = match word.as_str() {
        "question" | "questions" | "pregunta" | "preguntas" => Some(Cue::Ask),
        "exercise" | "activity" | "ejercicio" | "actividad" => Some(Cue::Try),
        _ => None,
    };
    otherwise.or_else(|| {
        Cue::ALL.into_iter().find(|cue| {
            let known = cue.word().to_lowercase();
            let distance = strsim::osa_distance(&word, &known);
            let reach = if known.len() > 4 { 2 } else { 1 };
            distance <= reach
                && (word.chars().next() == known.chars().next() || letters(&word) == letters(&known))
        })
    })
}

fn letters(word: &str) -> Vec<char> {
    let mut letters: Vec<char> = word.chars().collect();
    letters.sort_unstable();
    letters
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_has_a_word_for_each_cue() {
        for cue in Cue::ALL {
            assert_eq!(cue.words().count(), crate::languages::all().len(), "{cue:?}");
        }
    }

    #[test]
    fn only_the_very_words_are_cues() {
        assert_eq!(lead("Say: hold on"), Some((Cue::Say, 5)));
        assert_eq!(lead("Danger:"), Some((Cue::Danger, 7)));
        assert_eq!(lead("say: hold on"), None);
        assert_eq!(lead("Say hold: on"), None);
    }

    #[test]
    fn slips_are_known_and_other_words_are_left_alone() {
        assert_eq!(meant("Sya"), Some(Cue::Say));
        assert_eq!(meant("WARNING"), Some(Cue::Warning));
        assert_eq!(meant("Cation"), Some(Cue::Caution));
        assert_eq!(meant("Aks"), Some(Cue::Ask));
        for word in ["Note", "Day", "Task", "Tip", "Why", "Remember", "From the ranger's log"] {
            assert_eq!(meant(word), None, "{word}");
        }
    }
}

//! The signal boxes of all lessons in one list: caution, warning and danger, the gravest first.

use crate::pieces::tree::{Block, CueWord, Lesson};
use schemars::JsonSchema;
use serde::Serialize;

/// A signal box by itself, with the kind that it has in its lesson.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Signal {
    Cue {
        cue: CueWord,
        blocks: Vec<Block>,
        /// The name under which its page can be told: the same stands at the box in its lesson.
        anchor: String,
        /// In plain words.
        lesson_title: String,
        /// The language of its lesson, where an edition has it in another than its own.
        language: Option<String>,
    },
}

/// All signal boxes, the gravest first and else as they stand. Each gets a name under which its page
/// can be told, in the lesson and in the list.
pub fn gather_signals(lessons: &mut [Lesson]) -> Vec<Signal> {
    let mut found: Vec<(usize, Signal)> = Vec::new();
    for lesson in lessons {
        let (title, language) = (lesson.title_text.clone(), lesson.language.clone());
        let mut meet = |cue: CueWord, blocks: &[Block], anchor: &mut Option<String>| {
            let Some(rank) = rank(cue) else { return };
            let name = format!("signal {}", found.len() + 1);
            *anchor = Some(name.clone());
            let listed = Signal::Cue {
                cue,
                blocks: blocks.to_vec(),
                anchor: name,
                lesson_title: title.clone(),
                language: language.clone(),
            };
            found.push((rank, listed));
        };
        each_cue(&mut lesson.opening, &mut meet);
        lesson.sections.iter_mut().for_each(|section| each_cue(&mut section.blocks, &mut meet));
    }
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().map(|(_, signal)| signal).collect()
}

/// How grave a signal box is, from 0; nothing for the other cues.
fn rank(cue: CueWord) -> Option<usize> {
    [CueWord::Danger, CueWord::Warning, CueWord::Caution].iter().position(|signal| *signal == cue)
}

/// What is done with a cue: its word, what stands in it, and its name.
type Meet<'m> = dyn FnMut(CueWord, &[Block], &mut Option<String>) + 'm;

/// Every cue, and then what stands in it.
fn each_cue(blocks: &mut [Block], meet: &mut Meet) {
    for block in blocks {
        match block {
            Block::Cue { cue, blocks, anchor } => {
                meet(*cue, blocks, anchor);
                each_cue(blocks, meet);
            }
            Block::Quote { blocks } => each_cue(blocks, meet),
            Block::List { items, .. } => items.iter_mut().for_each(|item| each_cue(&mut item.blocks, meet)),
            Block::Heading { .. }
            | Block::Paragraph { .. }
            | Block::Table { .. }
            | Block::Code { .. }
            | Block::Rule
            | Block::Picture(_)
            | Block::Series(_) => {}
        }
    }
}

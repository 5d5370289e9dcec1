//! What a slide shows, said in words: for who cannot see its picture.

use crate::pieces::tree::{Block, Inline, Section, words};

/// A slide as one line: its heading and everything on it.
pub fn in_words(slide: &Section) -> String {
    let mut said = vec![words(&slide.heading)];
    say(&slide.blocks, &mut said);
    let mut line = String::new();
    for words in said.iter().map(|words| words.trim()).filter(|words| !words.is_empty()) {
        if !line.is_empty() {
            line.push_str(if line.ends_with(['.', '?', '!', ':', ';', '…']) { " " } else { ". " });
        }
        line.push_str(words);
    }
    line
}

fn say(blocks: &[Block], said: &mut Vec<String>) {
    for block in blocks {
        match block {
            Block::List { items, .. } => items.iter().for_each(|item| say(&item.blocks, said)),
            Block::Table { head, rows, .. } => {
                let row = |cells: &Vec<Vec<Inline>>| {
                    cells.iter().map(|cell| words(cell)).collect::<Vec<_>>().join(", ")
                };
                said.push(row(head));
                said.extend(rows.iter().map(row));
            }
            Block::Cue { blocks, .. } | Block::Quote { blocks } => say(blocks, said),
            Block::Code { text } => said.push(text.clone()),
            Block::Picture(picture) => said.push(picture.alt.clone()),
            Block::Series(series) => said.push(series.alt.clone()),
            Block::Heading { inlines, .. } | Block::Paragraph { inlines } => said.push(words(inlines)),
            Block::Rule => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pieces::tree::{CueWord, Item, Picture};

    #[test]
    fn everything_on_a_slide_is_said() {
        let line = |text: &str| vec![Inline::Text { text: text.into() }];
        let paragraph = |text: &str| vec![Block::Paragraph { inlines: line(text) }];
        let item = |text| Item { task: None, blocks: paragraph(text) };
        let picture = Picture { file: "pictures/riders.svg".into(), alt: "Two riders".into(), caption: None };
        let slide = Section {
            id: "keep-apart".into(),
            heading: line("Keep apart"),
            heading_text: "Keep apart".into(),
            blocks: vec![
                Block::List { start: None, items: vec![item("Stand off"), item("Wait.")] },
                Block::Table {
                    align: vec![],
                    head: vec![line("Who"), line("Where")],
                    rows: vec![vec![line("Sweep"), line("Last")]],
                },
                Block::Cue { cue: CueWord::Ask, blocks: paragraph("Why?"), anchor: None },
                Block::Picture(picture),
                Block::Rule,
            ],
        };
        assert_eq!(in_words(&slide), "Keep apart. Stand off. Wait. Who, Where. Sweep, Last. Why? Two riders");
    }
}

//! The comparison as tables for a spreadsheet.

use super::lines::{question, verdict};
use crate::job::{Cell, Table};
use crate::since::{Comparison, Level};

/// Pieces, sentences, facts, questions, and texts to translate: a sheet each, where there are any.
pub(super) fn of(told: &Comparison) -> Vec<Table> {
    let mut tables = vec![pieces(told), sentences(told), facts(told), answers(told), translations(told)];
    let mut at = 0;
    // The list of pieces is there always.
    tables.retain(|table| {
        at += 1;
        at == 1 || !table.rows.is_empty()
    });
    tables
}

fn text(text: &str) -> Cell {
    Cell::Text(text.to_owned())
}

fn pieces(told: &Comparison) -> Table {
    let headings = [
        "To do",
        "Edition",
        "Piece",
        "Shelf",
        "File",
        "On screens",
        "Pages",
        "Sheets of paper, two-sided",
        "Changes",
    ];
    let mut table = Table::new("Pieces", &headings);
    for piece in &told.pieces {
        let count = |count: Option<usize>| count.map_or(Cell::Empty, Cell::count);
        let paper = piece.pages.filter(|_| !piece.on_screen);
        table.rows.push(vec![
            text(verdict(piece.verdict)),
            text(&piece.edition),
            text(&piece.piece),
            text(&piece.shelf),
            text(&piece.path),
            text(if piece.on_screen { "yes" } else { "" }),
            count(paper),
            count(piece.sheets()),
            Cell::count(piece.all_changes()),
        ]);
    }
    table
}

fn sentences(told: &Comparison) -> Table {
    let headings = ["Why", "Edition", "Piece", "File", "Pages", "Was", "Now", "Facts", "Lesson", "Section"];
    let mut table = Table::new("Sentences", &headings);
    for change in &told.changes {
        let why = match (change.level, change.not_restated) {
            (_, true) => "Fact changed, sentence not restated",
            (Level::Safety, _) => "Safety",
            (Level::Figure, _) => "Figure",
            (Level::Words, _) => "Words",
            (Level::Date, _) => "Date",
        };
        for stands in &change.stands {
            let pages: Vec<String> = stands.pages.iter().map(usize::to_string).collect();
            table.rows.push(vec![
                text(why),
                text(&change.edition),
                text(&stands.piece),
                text(&stands.path),
                Cell::text(Some(pages.join(", ")).filter(|pages| !pages.is_empty()).as_deref()),
                Cell::text(change.was.as_deref()),
                Cell::text(change.now.as_deref()),
                Cell::text(Some(change.facts.join(", ")).filter(|facts| !facts.is_empty()).as_deref()),
                Cell::text(change.file.as_deref()),
                Cell::text(change.section.as_deref()),
            ]);
        }
    }
    table
}

fn facts(told: &Comparison) -> Table {
    let mut table =
        Table::new("Facts", &["Fact", "Event", "Safety", "Was", "Now", "Source", "Checked on", "Ask why"]);
    for fact in &told.facts {
        table.rows.push(vec![
            text(&fact.name),
            Cell::text(fact.at.as_deref()),
            text(if fact.safety { "yes" } else { "" }),
            text(&fact.was),
            Cell::text(fact.now.as_deref()),
            Cell::text(fact.source.as_deref()),
            fact.as_of.as_deref().and_then(|day| day.parse().ok()).map_or(Cell::Empty, Cell::Date),
            text(if fact.asked { "yes" } else { "" }),
        ]);
    }
    table
}

fn answers(told: &Comparison) -> Table {
    let mut table = Table::new("Answer keys", &["Edition", "Version", "Question", "What", "Was", "Now"]);
    for answer in &told.answers {
        table.rows.push(vec![
            text(&answer.edition),
            text(&answer.version),
            text(&answer.question),
            text(question(answer.change)),
            Cell::text(answer.was.as_deref()),
            Cell::text(answer.now.as_deref()),
        ]);
    }
    table
}

fn translations(told: &Comparison) -> Table {
    let mut table = Table::new("Translate again", &["Edition", "Text"]);
    for again in &told.translate_again {
        table.rows.push(vec![text(&again.edition), text(&again.text)]);
    }
    table
}

//! What becomes of single nodes on a small page.

use super::*;
use crate::pieces::site::tree::{PageCell, PagePicture};
use crate::pieces::tree::{Align, Picture, Target};

fn pages() -> Pages {
    let mut pages = Pages::default();
    pages.add_lesson("heat", ["shade", "été"].into_iter());
    pages.add_lesson("ropes", ["knots"].into_iter());
    pages.add_fact("lead-length", "facts.html");
    pages.add_picture("pictures/a b.svg", "pictures/a b.svg".into());
    pages
}

/// What becomes of words on the page of the lesson `heat`, with its quotes and notes.
fn read(inlines: Vec<Inline>) -> (Vec<PageInline>, Vec<Quote>, Vec<Vec<PageBlock>>) {
    let (pages, page) = (pages(), PageAddress::of_lesson("heat"));
    let mut reader = ProseWalker::new(&pages, &page);
    let read = reader.read(inlines);
    (read, reader.quotes, reader.notes)
}

/// What becomes of blocks there.
fn read_blocks(blocks: Vec<Block>) -> Vec<PageBlock> {
    let (pages, page) = (pages(), PageAddress::of_lesson("heat"));
    ProseWalker::new(&pages, &page).read_blocks(blocks)
}

fn text(words: &str) -> Inline {
    Inline::Text { text: words.into() }
}

fn page_text(words: &str) -> PageInline {
    PageInline::Text { text: words.into() }
}

fn paragraph(inlines: Vec<Inline>) -> Vec<Block> {
    vec![Block::Paragraph { inlines }]
}

fn link(to: Target) -> Inline {
    Inline::Link { to, inlines: vec![text("words")] }
}

fn to_lesson(lesson: &str, section: Option<&str>) -> Target {
    Target::Lesson { lesson: lesson.into(), section: section.map(str::to_owned), title: None }
}

fn to_address(address: &str) -> Target {
    Target::Address { address: address.into() }
}

fn figure(fact: &str, words: &str) -> Inline {
    Inline::Figure { fact: fact.into(), words: words.into() }
}

#[test]
fn links_lead_to_pages_and_sections() {
    let cases = [
        (to_lesson("ropes", Some("knots")), "../lessons/ropes.html#knots"),
        (to_lesson("ropes", Some("gone")), "../lessons/ropes.html"),
        (to_lesson("heat", Some("été")), "#%C3%A9t%C3%A9"),
        (to_address("https://basin.example/a b"), "https://basin.example/a%20b"),
    ];
    for (to, leads) in cases {
        let (read, ..) = read(vec![link(to)]);
        assert_eq!(read, [PageInline::Link { href: leads.into(), inlines: vec![page_text("words")] }]);
    }
}

#[test]
fn what_cannot_be_followed_is_shown_as_letters() {
    let (followed, ..) = read(vec![link(to_address("javascript:alert(1)"))]);
    assert_eq!(followed, [page_text("words"), page_text(" (javascript:alert(1))")]);
    let (gone, ..) = read(vec![link(to_lesson("gone", None))]);
    assert_eq!(gone, [page_text("words")]);
}

#[test]
fn each_quote_has_a_place_of_its_own() {
    let quoted = || figure("lead-length", "ten feet");
    let (read, quotes, _) = read(vec![quoted(), Inline::Strong { inlines: vec![quoted()] }]);
    let shown = |number: usize| PageInline::Figure {
        fact: "lead-length".into(),
        id: format!("quote.lead-length.{number}"),
        href: "../facts.html#lead-length".into(),
        words: "ten feet".into(),
    };
    assert_eq!(read, [shown(1), PageInline::Strong { inlines: vec![shown(2)] }]);
    let ids: Vec<&str> = quotes.iter().map(|quote| quote.id.as_str()).collect();
    assert_eq!(ids, ["quote.lead-length.1", "quote.lead-length.2"]);
    assert_eq!(quotes[0].page, "lessons/heat.html");
}

#[test]
fn a_figure_of_an_unknown_fact_is_plain_words() {
    let (read, quotes, _) = read(vec![figure("gone", "6 ft")]);
    assert_eq!(read, [page_text("6 ft")]);
    assert_eq!(quotes, []);
}

#[test]
fn what_is_for_the_presenter_is_left_out() {
    use CueWord::{Ask, Bring, Caution, Danger, Say, Try, Warning};
    let cue = |cue| Block::Cue { cue, blocks: vec![], anchor: None };
    let all = [Say, Ask, Bring, Try, Caution, Warning, Danger].map(cue);
    let kept = [Ask, Try, Caution, Warning, Danger].map(|cue| PageBlock::Cue { cue, blocks: vec![] });
    assert_eq!(
        read_blocks(vec![Block::Quote { blocks: all.into() }]),
        [PageBlock::Quote { blocks: kept.into() }]
    );
}

#[test]
fn no_level_of_heading_is_skipped() {
    let heading = |level: u8| Block::Heading { level, inlines: vec![text("x")] };
    let empty = Block::Heading { level: 3, inlines: vec![] };
    let read = read_blocks(vec![heading(4), empty, heading(3), heading(6), heading(3)]);
    let level = |block: &PageBlock| match block {
        PageBlock::Heading { level, .. } => Some(*level),
        _ => None,
    };
    assert_eq!(read.iter().filter_map(level).collect::<Vec<_>>(), [2, 3, 4, 3]);
}

#[test]
fn notes_are_numbered_in_reading_order_and_stand_outside_of_links() {
    let note = |inlines| Inline::Footnote { blocks: paragraph(inlines) };
    let nested = note(vec![text("first"), note(vec![text("nested")])]);
    let linked = Inline::Link {
        to: to_lesson("ropes", None),
        inlines: vec![text("knots"), note(vec![text("third")])],
    };
    let (read, _, notes) = read(vec![nested, linked]);
    assert_eq!(read[0], PageInline::Note { number: 1 });
    let PageInline::Link { inlines, .. } = &read[1] else { panic!("{read:?}") };
    assert_eq!(*inlines, [page_text("knots")]);
    assert_eq!(read[2], PageInline::Note { number: 3 });
    let said = |note: &Vec<PageBlock>| match note.as_slice() {
        [PageBlock::Paragraph { inlines }] => inlines.first().cloned(),
        _ => None,
    };
    let said: Vec<PageInline> = notes.iter().filter_map(said).collect();
    assert_eq!(said, ["first", "nested", "third"].map(page_text));
}

#[test]
fn cells_know_their_column_and_wide_tables_stack() {
    let row: Vec<Vec<Inline>> = ["a", "b", "c", "d"].map(|words| vec![text(words)]).into();
    let read =
        read_blocks(vec![Block::Table { align: vec![Align::End], head: row.clone(), rows: vec![row] }]);
    let [PageBlock::Table { stacks: true, rows, .. }] = read.as_slice() else { panic!("{read:?}") };
    let PageCell { align, column, .. } = &rows[0][3];
    assert_eq!(rows[0][0].align, Align::End);
    assert_eq!((*align, column.as_deref()), (Align::Start, Some("d")));
}

#[test]
fn a_narrow_table_stacks_only_for_long_words() {
    let stacks = |words: &str| {
        let rows = vec![vec![vec![text(words)]]];
        let read = read_blocks(vec![Block::Table { align: vec![], head: vec![], rows }]);
        matches!(read.as_slice(), [PageBlock::Table { stacks: true, .. }])
    };
    assert!(!stacks("Five seconds on the ground"));
    assert!(stacks("Incomprehensibly"));
    assert!(stacks("10\u{a0}US\u{a0}gallons\u{a0}a\u{a0}day"));
}

#[test]
fn pictures_are_encoded_and_one_that_cannot_be_shown_is_told_in_words() {
    let picture =
        |file: &str| Block::Picture(Picture { file: file.into(), alt: "A mule".into(), caption: None });
    let read = read_blocks(vec![picture("pictures/a b.svg"), picture("pictures/gone.svg")]);
    let shown = PagePicture { src: "../pictures/a%20b.svg".into(), alt: "A mule".into(), caption: None };
    assert_eq!(read, [PageBlock::Picture(shown), PageBlock::MissingPicture { alt: "A mule".into() }]);
}

#[test]
fn no_depth_of_nesting_is_too_deep_for_a_page_and_no_words_are_lost() {
    let mut blocks = paragraph(vec![text("kernel")]);
    for level in 0..60 {
        blocks = vec![match level % 3 {
            0 => Block::Quote { blocks },
            1 => Block::List { start: None, items: vec![Item { task: None, blocks }] },
            _ => Block::Cue { cue: CueWord::Try, blocks, anchor: None },
        }];
    }
    fn deepest(value: &serde_json::Value) -> usize {
        match value {
            serde_json::Value::Array(values) => 1 + values.iter().map(deepest).max().unwrap_or(0),
            serde_json::Value::Object(node) => node.values().map(deepest).max().unwrap_or(0),
            _ => 0,
        }
    }
    let read = crate::job::data(&read_blocks(blocks));
    assert!(read.to_string().contains("kernel"));
    // A list has two arrays a level.
    assert!(deepest(&read) <= 2 * DEEPEST + 1, "{}", deepest(&read));
}

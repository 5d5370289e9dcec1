//! What holds on every page, whatever a program says: tried on lessons that break at every line.

use crate::imposition::Paper;
use crate::job::{Make, Piece};
use crate::people::scoring::Scores;
use crate::pieces::{self, Selection};
use crate::press::{Engine, Letters, Root, Theme};
use crate::program;
use crate::understand::{Understood, plain_text};
use crate::words::Words;
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Arc;
use typst::foundations::Bytes;
use typst::layout::{Abs, Frame, FrameItem, Point};
use typst_layout::PagedDocument;

/// Blocks as the sheets of the theme set them.
const TRIAL: &str = r#"
#import "lib/base.typ": *
#let piece = json("/data/piece.json")
#let ctx = look(piece, size: 10.5pt)
#show: sheet.with(piece, ctx, footer: none)
#heading(level: 1, "Trial")
#par("What stands before.")
#v(piece.down * 1pt)
#walk(piece.blocks, (..ctx, level: 1))
"#;

const PICTURE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="300" height="180"><rect width="300" height="180"/></svg>"#;

fn text(words: &str) -> Value {
    json!([{"kind": "text", "text": words}])
}

fn paragraph(words: &str) -> Value {
    json!({"kind": "paragraph", "inlines": text(words)})
}

/// Lays blocks out so far down the first page.
fn lay_out(engine: &Engine, down: usize, paper: &str, blocks: &[Value]) -> PagedDocument {
    let data = json!({
        "title": "Trial", "paper": paper, "ink": "color", "down": down, "blocks": blocks,
        "program": {
            "name": "Trail Rider Stewards", "agency": "Juniper Basin Open Lands", "season": "2026",
            "language": "en", "contacts": [], "signatures": [],
        },
    });
    engine.place_piece(Root::Common, &data);
    engine.lay_out(Root::Common, "sheets/trial.typ").unwrap()
}

fn engine() -> Engine {
    let theme = Arc::new(Theme::plain().with_file("sheets/trial.typ", TRIAL.as_bytes()));
    let engine = Engine::new(&theme, &Words::default(), Letters::new(&theme).theme().to_vec());
    engine.place(Root::Common, "program/picture.svg", Bytes::from_string(PICTURE));
    engine
}

fn walk_text(frame: &Frame, at: Point, call: &mut dyn FnMut(Point, &str)) {
    for (offset, item) in frame.items() {
        let at = at + *offset;
        match item {
            FrameItem::Group(group) => walk_text(&group.frame, at, call),
            FrameItem::Text(text) => call(at, &text.text),
            _ => {}
        }
    }
}

/// The lines of each page from the top down: where they stand, and what they say.
fn lines(document: &PagedDocument) -> Vec<Vec<(Abs, String)>> {
    let of_page = |frame: &Frame| {
        let mut runs: Vec<(Abs, Abs, String)> = Vec::new();
        walk_text(frame, Point::zero(), &mut |at, words| runs.push((at.y, at.x, words.to_owned())));
        runs.sort_by(|a, b| (a.0, a.1).partial_cmp(&(b.0, b.1)).unwrap());
        let mut lines: Vec<(Abs, String)> = Vec::new();
        for (y, _, words) in runs {
            match lines.last_mut() {
                Some((line, said)) if (*line - y).abs() < Abs::pt(0.5) => said.push_str(&words),
                _ => lines.push((y, words)),
            }
        }
        lines
    };
    document.pages().iter().map(|page| of_page(&page.frame)).collect()
}

/// On which pages a line says this.
fn pages_with(pages: &[Vec<(Abs, String)>], words: &str) -> Vec<usize> {
    let says = |page: &Vec<(Abs, String)>| page.iter().any(|(_, said)| said.contains(words));
    (0..pages.len()).filter(|&page| says(&pages[page])).collect()
}

/// How far down the page each trial begins: every line of a page is a place to break at.
fn every_start() -> impl Iterator<Item = (usize, &'static str)> {
    (0..640).step_by(9).flat_map(|down| [(down, "letter"), (down, "a4")])
}

#[test]
fn a_heading_is_kept_with_at_least_two_lines() {
    let engine = engine();
    let said = "They fold the spare rope and walk on at the shoulder of the animal. ".repeat(5);
    let heading = |level: usize| json!({"kind": "heading", "level": level, "inlines": text("Heading here")});
    for (down, paper) in every_start() {
        for level in [2, 3] {
            let document = lay_out(&engine, down, paper, &[heading(level), paragraph(&said)]);
            let pages = lines(&document);
            let page = &pages[pages_with(&pages, "Heading here")[0]];
            let at = page.iter().position(|(_, said)| said.contains("Heading here")).unwrap();
            assert!(page.len() - at > 2, "{down} pt down on {paper}, level {level}: {page:?}");
        }
    }
}

#[test]
fn a_table_that_breaks_repeats_its_head_and_splits_no_row() {
    let engine = engine();
    let cell = |n: usize| text(&format!("first{n}. {} last{n}.", "Walk on at the shoulder. ".repeat(6)));
    let rows: Vec<Value> = (0..24).map(|n| json!([cell(n), text("yes")])).collect();
    let table = json!({
        "kind": "table", "align": ["start", "end"], "head": [text("Head of it"), text("Good")], "rows": rows,
    });
    for (down, paper) in every_start().step_by(7) {
        let pages = lines(&lay_out(&engine, down, paper, std::slice::from_ref(&table)));
        for n in 0..24 {
            let (first, last) =
                (pages_with(&pages, &format!("first{n}.")), pages_with(&pages, &format!("last{n}.")));
            assert_eq!(first, last, "row {n}, {down} pt down on {paper}");
            assert!(pages_with(&pages, "Head of it").contains(&first[0]), "row {n} has no head above it");
        }
        assert!(pages.len() > 1);
    }
}

#[test]
fn no_item_of_a_checklist_is_split() {
    let engine = engine();
    let item = |n: usize| {
        let words = format!("first{n}. {} last{n}.", "Hitch opens when the tail is pulled. ".repeat(6));
        json!({"task": false, "blocks": [paragraph(&words)]})
    };
    let items: Vec<Value> = (0..12).map(item).collect();
    let list = json!({"kind": "list", "start": null, "items": items});
    for (down, paper) in every_start().step_by(3) {
        let pages = lines(&lay_out(&engine, down, paper, std::slice::from_ref(&list)));
        for n in 0..12 {
            let (first, last) =
                (pages_with(&pages, &format!("first{n}.")), pages_with(&pages, &format!("last{n}.")));
            assert_eq!(first, last, "item {n}, {down} pt down on {paper}");
        }
    }
}

#[test]
fn a_picture_stands_on_the_page_of_its_caption() {
    fn has_picture(frame: &Frame) -> bool {
        frame.items().any(|(_, item)| match item {
            FrameItem::Group(group) => has_picture(&group.frame),
            FrameItem::Image(..) => true,
            _ => false,
        })
    }
    let engine = engine();
    let picture =
        json!({"kind": "picture", "file": "picture.svg", "alt": "A post", "caption": "Caption here"});
    for (down, paper) in every_start() {
        let document = lay_out(&engine, down, paper, std::slice::from_ref(&picture));
        let shown: Vec<usize> =
            (0..document.pages().len()).filter(|&page| has_picture(&document.pages()[page].frame)).collect();
        assert_eq!(shown.len(), 1);
        assert_eq!(shown, pages_with(&lines(&document), "Caption here"), "{down} pt down on {paper}");
    }
}

/// The sheets of a piece of the demo.
fn demo(piece: Piece, paper: Paper) -> Vec<(String, PagedDocument)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let program = program::open(&folder).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let understood = Understood::new(&program);
    let selection = Selection { pieces: vec![piece], paper: Some(paper), ..Selection::default() };
    let engine = engine();
    let sheets = pieces::plan(&understood, &Scores::of(&understood), &selection).into_iter().filter_map(
        |job| match job.make {
            Make::Sheet(sheet) => Some((job.path, sheet)),
            _ => None,
        },
    );
    sheets
        .map(|(path, sheet)| {
            engine.place_piece(Root::Common, &sheet.data);
            for (name, part) in &sheet.parts {
                let part = Bytes::new(serde_json::to_vec(part).unwrap());
                engine.place(Root::Common, &format!("data/{name}.json"), part);
            }
            for fit in &sheet.fits {
                let unknown = Bytes::from_string("null");
                engine.place(Root::Common, &format!("data/fits/{}.json", fit.key), unknown);
            }
            for name in &sheet.pictures {
                let picture = Bytes::new(std::fs::read(folder.join(name)).unwrap());
                engine.place(Root::Common, &format!("program/{name}"), picture);
            }
            let document = engine.lay_out(Root::Common, &format!("sheets/{}", sheet.template)).unwrap();
            (path, document)
        })
        .collect()
}

/// How far down a page anything stands above its foot, as a share of the page.
fn filled(document: &PagedDocument, page: usize, lines: &[(Abs, String)]) -> f64 {
    let height = document.pages()[page].frame.size().y;
    let lowest = lines.iter().map(|(y, _)| *y).filter(|y| *y < height - Abs::inches(0.8)).max();
    lowest.map_or(0.0, |lowest| lowest / height)
}

#[test]
fn no_lesson_of_the_demo_ends_on_a_page_that_is_nearly_empty() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let program = program::open(&folder).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let titles: Vec<String> =
        program.content.lessons.iter().map(|lesson| plain_text(&lesson.title)).collect();
    for paper in [Paper::Letter, Paper::A4] {
        let (_, document) = demo(Piece::Handbook, paper).swap_remove(0);
        let pages = lines(&document);
        // The title of a lesson stands at the head of the page that it opens, below the running head.
        let opens = |page: &Vec<(Abs, String)>| {
            page.iter().any(|(y, said)| {
                *y > Abs::inches(0.8)
                    && *y < Abs::inches(1.6)
                    && titles.iter().any(|title| said.ends_with(title))
            })
        };
        let chapters: Vec<usize> = (2..pages.len()).filter(|&page| opens(&pages[page])).collect();
        assert_eq!(chapters.len(), titles.len(), "{chapters:?}");
        for last in chapters.iter().skip(1).map(|next| next - 1) {
            let filled = filled(&document, last, &pages[last]);
            assert!(filled > 0.4, "page {} of {paper:?} is filled to {filled:.2}", last + 1);
        }
    }
}

#[test]
fn blank_rows_of_a_sign_in_sheet_fill_its_last_page_and_begin_no_other() {
    for paper in [Paper::Letter, Paper::A4] {
        for (path, document) in demo(Piece::SignInSheet, paper) {
            // Where the roster leaves half of the wanted rows on its page, there is no other.
            let most = if path.contains("evening-online") { 1 } else { 2 };
            assert!(document.pages().len() <= most, "{path} on {paper:?}: {}", document.pages().len());
        }
    }
}

#[test]
fn sheets_of_tables_do_not_run_over_by_a_few_rows() {
    for (piece, most) in
        [(Piece::Attendance, 2), (Piece::Tally, 1), (Piece::PackingList, 2), (Piece::KitSheets, 1)]
    {
        for paper in [Paper::Letter, Paper::A4] {
            for (path, document) in demo(piece, paper) {
                assert_eq!(document.pages().len(), most, "{path} on {paper:?}");
            }
        }
    }
}

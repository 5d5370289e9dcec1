//! Handbook, deck, handouts, wall chart, presenter's copy and drawings: the data that their plans hand
//! to the templates, and that the theme lays all of it out, on a small program whose lessons show
//! every form.

use crate::flow;
use crate::folders::{copy, open};
use packstring::imposition::Paper;
use packstring::job::{Job, Make, Piece};
use packstring::people::scope::Scope;
use packstring::pieces::drawings::Form;
use packstring::pieces::{Ink, Selection};
use packstring::press::{Press, Theme};
use packstring::program::Program;
use packstring::understand::Understood;
use serde_json::{Map, Value, json};
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/lessons")
}

fn small() -> Program {
    open(folder())
}

fn jobs(program: &Program, selection: &Selection) -> Vec<Job> {
    let understood = Understood::new(program);
    assert_eq!(understood.findings, []);
    let laid_out = |job: &Job| matches!(job.make, Make::Sheet(_) | Make::Drawing(_));
    flow::plan(&understood, selection).into_iter().filter(laid_out).collect()
}

fn only(piece: Piece) -> Selection {
    Selection { pieces: vec![piece], ..Selection::default() }
}

/// The jobs of a piece without what all pieces share.
fn snapshot(piece: Piece) -> Value {
    let program = small();
    let job_data = |job: &Job| {
        let (Make::Sheet(sheet) | Make::Drawing(sheet)) = &job.make else { unreachable!() };
        let mut data = sheet.data.clone();
        for shared in ["program", "paper", "ink"] {
            data.as_object_mut().unwrap().remove(shared).expect("the common head has it");
        }
        json!({
            "shelf": format!("{:?}", job.shelf),
            "path": job.path,
            "template": sheet.template,
            "data": data,
            "parts": Map::from_iter(sheet.parts.clone()),
            "pictures": sheet.pictures,
            "places": sheet.places.iter().map(|(name, _)| name).collect::<Vec<_>>(),
        })
    };
    jobs(&program, &only(piece)).iter().map(job_data).collect()
}

#[test]
fn handbook() {
    insta::assert_json_snapshot!(snapshot(Piece::Handbook));
}

#[test]
fn deck() {
    insta::assert_json_snapshot!(snapshot(Piece::Deck));
}

#[test]
fn handouts() {
    insta::assert_json_snapshot!(snapshot(Piece::Handout));
}

#[test]
fn wall_chart() {
    insta::assert_json_snapshot!(snapshot(Piece::WallChart));
}

#[test]
fn presenters_copy() {
    insta::assert_json_snapshot!(snapshot(Piece::PresentersCopy));
}

#[test]
fn a_series_has_one_drawing_of_each_form_however_often_it_is_shown() {
    let program = small();
    let jobs = jobs(&program, &only(Piece::Site));
    let drawings: Vec<&str> = jobs.iter().map(|job| job.path.as_str()).collect();
    assert_eq!(drawings.len(), 2 * Form::ALL.len(), "{drawings:?}");
}

/// Every block of data that is a series shown as a chart.
fn charts(data: &Value, into: &mut Vec<Value>) {
    match data {
        Value::Object(node) => {
            if node.get("kind") == Some(&json!("series")) && node["as"] == "chart" {
                into.push(data.clone());
            }
            node.values().for_each(|value| charts(value, into));
        }
        Value::Array(values) => values.iter().for_each(|value| charts(value, into)),
        _ => {}
    }
}

fn charts_of(jobs: &[Job]) -> Vec<Value> {
    let mut found = Vec::new();
    for job in jobs {
        let (Make::Sheet(sheet) | Make::Drawing(sheet)) = &job.make else { unreachable!() };
        charts(&sheet.data, &mut found);
        sheet.parts.iter().for_each(|(_, part)| charts(part, &mut found));
    }
    found
}

#[test]
fn a_chart_on_a_page_has_the_data_and_the_template_of_the_one_in_print() {
    let program = small();
    let drawings = jobs(&program, &only(Piece::Site));
    let on_pages = charts_of(&drawings);
    for piece in [Piece::Handbook, Piece::Deck] {
        let printed = charts_of(&jobs(&program, &only(piece)));
        assert!(!printed.is_empty());
        // A chart may be titled anew where it is shown again; what it draws is the same.
        let is_drawn = |chart: &Value| {
            let same = |other: &&Value| {
                ["fact", "draw", "columns", "rows"].iter().all(|key| chart[key] == other[key])
            };
            on_pages.iter().filter(same).count() == Form::ALL.len()
        };
        assert!(printed.iter().all(is_drawn), "{printed:#?}");
    }
    // Whatever draws a chart draws it by this one function.
    let told = b"#import \"look.typ\": *\n#let column-words(column) = column.name\n#let hatch(..any) = none\n#let strokes(..any) = ()\n#let chart-drawing(..any) = panic(\"drawn here\")\n";
    let press = Press::open(Theme::plain().with_file("sheets/lib/chart.typ", told), &folder());
    let printed =
        jobs(&program, &Selection { pieces: vec![Piece::Handbook, Piece::Deck], ..Selection::default() });
    let with_charts = printed.iter().filter(|job| !charts_of(std::slice::from_ref(job)).is_empty());
    for job in drawings.iter().chain(with_charts) {
        let error = press.make(&press.plan(job), &|_| true, &mut |_| Ok(())).expect_err("nothing draws it");
        assert!(format!("{error:?}").contains("drawn here"), "{}: {error:?}", job.path);
    }
}

#[test]
fn an_event_chooses_the_lessons_of_its_deck() {
    let program = small();
    let selection = Selection { scope: Scope::of_event("talk"), ..only(Piece::Deck) };
    let jobs = jobs(&program, &selection);
    let Make::Sheet(deck) = &jobs[0].make else { panic!("a deck is a sheet") };
    let ids: Vec<&Value> = deck.parts.iter().map(|(_, lesson)| &lesson["id"]).collect();
    assert_eq!(ids, ["paragraphs-only", "every-form"]);
    assert_eq!(jobs[0].path, "decks/talk.pdf");
}

/// Every form, in both inks and on both papers, is laid out without a finding, as a PDF that the
/// typesetter's check for PDF/UA-1 lets through.
#[test]
fn every_form_is_laid_out() {
    let program = small();
    let press = Press::open(Theme::plain(), &folder());
    for (ink, paper) in [(Ink::Color, Paper::Letter), (Ink::Black, Paper::A4)] {
        let pieces = vec![
            Piece::Handbook,
            Piece::Deck,
            Piece::Handout,
            Piece::WallChart,
            Piece::PresentersCopy,
            Piece::Site,
        ];
        let selection = Selection { pieces, ink, paper: Some(paper), ..Selection::default() };
        for job in jobs(&program, &selection) {
            let mut bytes = Vec::new();
            let findings = press
                .make(&press.plan(&job), &|_| true, &mut |made| {
                    bytes = made.bytes.to_vec();
                    Ok(())
                })
                .unwrap_or_else(|error| panic!("{}: {error:?}", job.path));
            assert!(!bytes.is_empty(), "{}", job.path);
            // Its one crowded section shows three drawings and a table: too much for a slide.
            let told: Vec<&str> = findings.iter().map(|told| told.finding.rule.name).collect();
            let expected: &[&str] = if job.piece == Piece::Deck { &["slide-overfull"] } else { &[] };
            assert_eq!(told, expected, "{}", job.path);
        }
    }
}

/// What a lesson prints whose open links are in these words.
fn printed(ropes: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    copy(&PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
    let lesson = format!("# Ropes\n\n{ropes}\n\n![Asphalt by air temperature](fact:ground-heat)\n");
    std::fs::write(folder.path().join("lessons/ropes.md"), lesson).unwrap();
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let passage = understood.passages.iter().find(|passage| passage.backed.len() == 1);
    let passage = passage.expect("the lesson has one link");
    assert_eq!(understood.words_of(passage.backed[0].1), passage.text[passage.backed[0].0.clone()]);
    passage.text.clone()
}

#[test]
fn an_open_link_says_which_way_its_fact_binds_once() {
    for (written, prints) in [
        ("Keep […](fact:lead-length) of rope.", "Keep at most 6 ft of rope."),
        ("Keep at most […](fact:lead-length) of rope.", "Keep at most 6 ft of rope."),
        ("Keep no more than […](fact:lead-length) of rope.", "Keep no more than 6 ft of rope."),
        ("Camp […](fact:camp-distance) away.", "Camp at least 200 feet away."),
        ("Camp […](fact:camp-distance) or more away.", "Camp 200 feet or more away."),
        ("Camp […](fact:camp-distance?unit=m) away.", "Camp at least 61 m away."),
        ("Camp at least […](fact:camp-distance?unit=m) away.", "Camp at least 61 m away."),
        ("A horse drinks […](fact:water-daily).", "A horse drinks 15 gallons a day."),
    ] {
        assert_eq!(printed(written), prints);
    }
}

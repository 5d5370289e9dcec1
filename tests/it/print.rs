//! Printed by the sheet: booklets, leaflets and tiles, held against tables from outside
//! (`tests/reference/print/`, with its README).

use crate::flow;
use crate::folders::open;
use lopdf::{Document, ObjectId, Stream};
use num_bigint::BigInt;
use num_traits::Zero;
use packstring::imposition::saddle::{self, Face, Side};
use packstring::imposition::{Paper, Reading, panels, tiles};
use packstring::job::{Imposed, Job, Make, Onto, Piece, Sheet, Shelf};
use packstring::pieces::Selection;
use packstring::press::{Made, Press, Theme};
use packstring::quantity::Exact;
use packstring::understand::Understood;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;

type Row = BTreeMap<String, String>;

fn table(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/print").join(name);
    let rows: Vec<Row> =
        csv::Reader::from_path(path).unwrap().into_deserialize().collect::<Result<_, _>>().unwrap();
    assert!(!rows.is_empty(), "{name} has no rows");
    rows
}

fn count(text: &str) -> usize {
    text.parse().unwrap_or_else(|_| panic!("{text:?} is no count"))
}

/// A decimal, exactly.
fn exact(text: &str) -> Exact {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits: BigInt = format!("{whole}{part}").parse().unwrap();
    Exact::new(digits, BigInt::from(10).pow(part.len() as u32))
}

fn page(text: &str) -> Option<usize> {
    (text != "blank" && text != "-").then(|| count(text))
}

#[test]
fn pages_of_a_booklet_lie_where_the_table_has_them() {
    for row in table("booklet.csv") {
        let faces = saddle::faces(count(&row["content_pages"]), Reading::LeftToRight);
        assert_eq!(faces.len() * 2, count(&row["booklet_pages"]), "{}", row["id"]);
        let side = if row["side"] == "front" { Side::Front } else { Side::Back };
        let sheet = count(&row["sheet"]);
        let expected = Face { sheet, side, left: page(&row["left"]), right: page(&row["right"]) };
        assert!(faces.contains(&expected), "{}: {expected:?}", row["id"]);
    }
}

#[test]
fn booklets_are_printed_in_the_order_of_the_table_from_either_side() {
    for row in table("booklet_sequence.csv") {
        for (reading, column) in
            [(Reading::LeftToRight, "two_up_sequence"), (Reading::RightToLeft, "right_to_left_sequence")]
        {
            let faces = saddle::faces(count(&row["content_pages"]), reading);
            let order: Vec<Option<usize>> = faces.iter().flat_map(|face| [face.left, face.right]).collect();
            let expected: Vec<Option<usize>> = row[column].split_whitespace().map(page).collect();
            assert_eq!(order, expected, "{} {column}", row["id"]);
        }
    }
}

#[test]
fn inner_sheets_creep_by_one_more_thickness_each() {
    for row in table("creep.csv") {
        let thickness = exact(&row["paper_thickness_mm"]);
        let shift = saddle::creep(count(&row["sheet"]), &thickness);
        assert_eq!(shift, exact(&row["shift_of_this_sheet_mm"]), "{}", row["id"]);
        let last = saddle::creep(count(&row["sheets"]), &thickness);
        assert_eq!(last, exact(&row["total_creep_mm"]), "{}", row["id"]);
    }
}

#[test]
fn a_chart_takes_as_many_tiles_as_the_table_says() {
    for row in table("tiles.csv") {
        let length = |key: &str| exact(&row[key]);
        let cuts = |chart: &str, sheet: &str| {
            tiles::cuts(&length(chart), &length(sheet), &length("margin"), &length("overlap")).unwrap()
        };
        let (across, down) = (cuts("chart_width", "sheet_width"), cuts("chart_height", "sheet_height"));
        assert_eq!(
            (across.count, down.count),
            (count(&row["columns"]), count(&row["rows"])),
            "{}",
            row["id"]
        );
        assert_eq!(across.count * down.count, count(&row["sheets"]), "{}", row["id"]);
        // The last tile reaches the edge, and the one before does not.
        let reach = across.begin(across.count - 1) + &across.shown;
        assert!(reach >= length("chart_width") && &reach - &across.stride < length("chart_width"));
    }
}

#[test]
fn sheets_too_small_for_their_overlap_make_no_tiles() {
    assert_eq!(tiles::cuts(&exact("24"), &exact("8.5"), &exact("4"), &exact("0.5")), None);
}

#[test]
fn the_panel_folded_in_is_narrower_and_all_three_make_the_sheet() {
    let rule = table("rules.csv").into_iter().find(|row| row["id"] == "fold-inner").unwrap();
    let millimeter = Exact::new(720.into(), 254.into());
    assert_eq!(panels::narrower(), exact(&rule["value"]) * &millimeter);
    for width in [exact("792"), exact("297") * &millimeter] {
        for reading in [Reading::LeftToRight, Reading::RightToLeft] {
            let panels = panels::panels(&width, &panels::narrower(), reading);
            // Seen from behind, the sheet is the same from right to left.
            assert!(panels.outside.iter().eq(panels.inside.iter().rev()));
            assert_eq!(panels.inside.iter().fold(Exact::zero(), |sum, panel| sum + panel), width);
            let last = if reading == Reading::LeftToRight { 2 } else { 0 };
            assert_eq!(&panels.inside[1] - &panels.inside[last], panels::narrower());
            assert_eq!(panels.inside[1], panels.inside[2 - last]);
        }
    }
}

/// What lies on each sheet side, from the left: how far from the edge in points, and its text.
fn laid(bytes: &[u8]) -> Vec<Vec<(i64, String)>> {
    let mut document = Document::load_mem(bytes).unwrap();
    let pages: Vec<(u32, ObjectId)> = document.get_pages().into_iter().collect();
    let mut sides = Vec::new();
    for (number, id) in pages {
        let resources = document.get_object(id).unwrap().as_dict().unwrap().get(b"Resources").unwrap();
        let dictionary = |object| document.dereference(object).unwrap().1.as_dict().unwrap();
        let forms = dictionary(resources)
            .get(b"XObject")
            .map_or_else(|_| lopdf::Dictionary::new(), |forms| dictionary(forms).clone());
        let mut moved = 0.0;
        let mut found = Vec::new();
        for operation in document.get_and_decode_page_content(id).unwrap().operations {
            match operation.operator.as_str() {
                "q" => moved = 0.0,
                "cm" => moved = operation.operands[4].as_float().unwrap(),
                "Do" => found.push((moved, operation.operands[0].as_name().unwrap().to_owned())),
                _ => {}
            }
        }
        let mut side = Vec::new();
        for (moved, name) in found {
            let form = forms.get(&name).unwrap().as_reference().unwrap();
            let stream = document.get_object(form).unwrap().as_stream().unwrap().clone();
            // The form takes the place of all that stands on the page, to be read like one.
            let content = Stream::new(lopdf::Dictionary::new(), stream.decompressed_content().unwrap());
            let content = document.add_object(content);
            let page = document.get_object_mut(id).unwrap().as_dict_mut().unwrap();
            page.set("Contents", content);
            page.set("Resources", stream.dict.get(b"Resources").unwrap().clone());
            side.push((moved.round() as i64, document.extract_text(&[number]).unwrap().trim().to_owned()));
        }
        side.sort();
        sides.push(side);
    }
    sides
}

/// Five pages that say their number, on half a letter sheet.
const PAGES: &str = r#"
#let piece = json("/data/piece.json")
#set page(width: 5.5in, height: 8.5in)
#for n in range(1, 6) { if n > 1 { pagebreak() }; [leaf #n] }
"#;

fn booklet(reading: Reading, thickness: Exact) -> Vec<u8> {
    let pages = Sheet { template: "trial.typ".into(), data: json!({"title": "Leaves"}), ..Sheet::default() };
    let onto = Onto::Booklet { sheet: Paper::Letter, reading, thickness, staples: true };
    let press =
        Press::open(Theme::plain().with_file("sheets/trial.typ", PAGES.as_bytes()), Path::new("content"));
    bytes(&press, &job("leaves-booklet.pdf", Make::Imposed(Imposed { pages, onto })))
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Handbook, shelf: Shelf::Open, path: path.into(), make }
}

fn bytes(press: &Press, job: &Job) -> Vec<u8> {
    let mut files = Vec::new();
    let mut put = |made: Made| {
        files.push(made.bytes.to_vec());
        Ok(())
    };
    let findings =
        press.make(&press.plan(job), &|_| true, &mut put).unwrap_or_else(|error| panic!("{error}"));
    assert!(findings.is_empty(), "{findings:#?}");
    files.pop().expect("a file is made")
}

#[test]
fn a_booklet_has_its_pages_where_they_lie_after_folding() {
    for (reading, column) in
        [(Reading::LeftToRight, "two_up_sequence"), (Reading::RightToLeft, "right_to_left_sequence")]
    {
        // Paper of one point, so that the shift of the second sheet is seen in whole points.
        let sides = laid(&booklet(reading, exact("1")));
        let row = table("booklet_sequence.csv").into_iter().find(|row| row["id"] == "s-5").unwrap();
        let order: Vec<Option<usize>> = row[column].split_whitespace().map(page).collect();
        assert_eq!(sides.len(), 4);
        for (at, (side, expected)) in sides.iter().zip(order.chunks(2)).enumerate() {
            let creep = if at < 2 { 0 } else { 1 };
            let places = [creep, 396 - creep];
            let expected: Vec<(i64, String)> = std::iter::zip(places, expected)
                .filter_map(|(place, page)| Some((place, format!("leaf {}", (*page)?))))
                .collect();
            assert_eq!(*side, expected, "side {at}");
        }
    }
}

#[test]
fn the_same_booklet_has_the_same_bytes() {
    let make = || booklet(Reading::LeftToRight, exact("0.3"));
    assert!(make() == make());
}

/// A page of 24 by 36 inches.
const CHART: &str = r#"
#let piece = json("/data/piece.json")
#set page(width: 24in, height: 36in)
#text(size: 90pt)[Water first]
"#;

#[test]
fn a_chart_is_cut_into_the_fewest_tiles_each_with_its_number() {
    let row = table("tiles.csv").into_iter().find(|row| row["id"] == "tile-2").unwrap();
    let inches = |key: &str| exact(&row[key]) * exact("72");
    let data = json!({
        "title": "Chart", "ink": "color", "paper": "letter",
        "program": {"name": "Stewards", "agency": "Basin", "season": "2026", "language": "en", "contacts": []},
    });
    let pages = Sheet { template: "trial.typ".into(), data, ..Sheet::default() };
    let onto = Onto::Tiles { sheet: Paper::Letter, margin: inches("margin"), overlap: inches("overlap") };
    let press =
        Press::open(Theme::plain().with_file("sheets/trial.typ", CHART.as_bytes()), Path::new("content"));
    let made = bytes(&press, &job("chart-tiled.pdf", Make::Imposed(Imposed { pages, onto })));

    let document = Document::load_mem(&made).unwrap();
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    // Lying sheets take 15 tiles and standing ones 16; a plan comes before them.
    let tiles = count(&row["sheets"]);
    assert_eq!(pages.len(), 1 + tiles);
    let columns = count(&row["columns"]);
    for (at, page) in pages[1..].iter().enumerate() {
        let text = document.extract_text(&[*page]).unwrap();
        let label = format!("{} of {tiles}: row {}, column {}", at + 1, at / columns + 1, at % columns + 1);
        assert!(text.contains(&label), "{text:?} has no {label:?}");
        // What is seen of the chart begins at the margins, to a fiftieth of a millimeter.
        let margin = num_traits::ToPrimitive::to_f64(&inches("margin")).unwrap();
        let near = |one: f64| (one - margin).abs() < 0.06;
        let paths = crate::mail::painted(&made, *page as usize).paths;
        assert!(
            paths.iter().any(|[left, top, ..]| near(*left) && near(*top)),
            "{label}: {margin}, {paths:?}"
        );
    }
}

/// A small program whose chart has so many habits, each with a text of so many words.
fn many_habits(habits: usize, words: usize) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut settings = String::from(
        "[program]\nname = \"Trail Rider Stewards\"\nagency = \"Juniper Basin Open Lands\"\nseason = \"2026\"\n\n\
         [[syllabus]]\nlesson = \"ropes\"\nminutes = 5\n",
    );
    for _ in 0..habits {
        settings +=
            &format!("\n[[habits]]\nwords = \"Keep to the trail\"\ntext = \"{}\"\n", "trail ".repeat(words));
    }
    std::fs::create_dir(folder.path().join("lessons")).unwrap();
    std::fs::write(folder.path().join("program.toml"), settings).unwrap();
    std::fs::write(folder.path().join("facts.toml"), "").unwrap();
    std::fs::write(folder.path().join("lessons/ropes.md"), "# Ropes\n\nA line.\n").unwrap();
    folder
}

/// The rules of what laying out the piece tells.
fn told(folder: &Path, piece: Piece) -> Vec<&'static str> {
    let program = open(folder);
    let understood = Understood::new(&program);
    let press = Press::open(Theme::plain(), folder);
    let jobs = flow::plan(&understood, &Selection { pieces: vec![piece], ..Selection::default() });
    assert!(!jobs.is_empty());
    jobs.iter().flat_map(|job| press.measure(job).unwrap()).map(|finding| finding.rule.name).collect()
}

#[test]
fn habits_that_cannot_be_read_from_two_meters_are_told() {
    assert_eq!(told(many_habits(6, 9).path(), Piece::WallChart), Vec::<&str>::new());
    assert_eq!(told(many_habits(16, 12).path(), Piece::WallChart), ["sheet-crowded"]);
    // Far too many: they take a second page as well.
    assert_eq!(told(many_habits(90, 12).path(), Piece::WallChart), ["sheet-overfull", "sheet-crowded"]);
}

/// A small program whose one lesson shows a drawing, 640 units wide, with letters of this size.
fn lettered(size: u32) -> tempfile::TempDir {
    let folder = many_habits(0, 0);
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 380\" width=\"640\" height=\"380\">\
         <rect width=\"640\" height=\"380\" fill=\"#eee\"/><text x=\"20\" y=\"200\" font-size=\"60\">Rail</text>\
         <g transform=\"scale(0.5)\"><text x=\"20\" y=\"100\" font-size=\"{}\">loop</text></g></svg>",
        2 * size
    );
    std::fs::create_dir(folder.path().join("pictures")).unwrap();
    std::fs::write(folder.path().join("pictures/knot.svg"), svg).unwrap();
    let lesson = "# Ropes\n\n## Tie up\n\n![A knot](../pictures/knot.svg)\n\n- Tie high\n";
    std::fs::write(folder.path().join("lessons/ropes.md"), lesson).unwrap();
    folder
}

#[test]
fn letters_of_a_drawing_that_come_out_too_small_are_told_where_it_is_placed() {
    for piece in [Piece::Handbook, Piece::Deck] {
        assert_eq!(told(lettered(4).path(), piece).first(), Some(&"letters-too-small"), "{piece:?}");
        assert!(!told(lettered(50).path(), piece).contains(&"letters-too-small"), "{piece:?}");
    }
    // What can be read in the hand cannot be read from the last row.
    let folder = lettered(26);
    assert!(!told(folder.path(), Piece::Handbook).contains(&"letters-too-small"));
    assert!(told(folder.path(), Piece::Deck).contains(&"letters-too-small"));

    let program = open(folder.path());
    let understood = Understood::new(&program);
    let press = Press::open(Theme::plain(), folder.path());
    let jobs = flow::plan(&understood, &Selection { pieces: vec![Piece::Deck], ..Selection::default() });
    let mut findings = jobs.iter().flat_map(|job| press.measure(job).unwrap());
    let finding = findings.find(|finding| finding.rule.name == "letters-too-small").unwrap();
    assert_eq!(finding.place.file.to_string(), "lessons/ropes.md");
    let said = &finding.message;
    assert!(said.contains("pictures/knot.svg come out ") && said.contains("they need 20 points"), "{said}");
    assert!(finding.mend.as_ref().unwrap().contains("times as large"), "{:?}", finding.mend);
}

#[test]
fn a_leaflet_that_its_panels_do_not_hold_is_told() {
    assert_eq!(told(many_habits(6, 9).path(), Piece::Leaflet), Vec::<&str>::new());
    assert_eq!(told(many_habits(30, 40).path(), Piece::Leaflet), ["sheet-overfull"]);
}

/// The pages of a booklet come in fours, and the last of them is its back cover.
#[test]
fn whom_to_call_is_the_back_cover_of_a_booklet() {
    let program = open(crate::proof::root().join("content"));
    let understood = Understood::new(&program);
    let press = Press::open(Theme::plain(), Path::new("content"));
    let jobs = flow::plan(&understood, &Selection { pieces: vec![Piece::Handbook], ..Selection::default() });
    let booklet = jobs.iter().find(|job| job.path == "handbook-booklet.pdf").unwrap();
    let sides = laid(&bytes(&press, booklet));
    let (_, back) = &sides[0][0];
    assert!(back.contains("Sagebrush Large Animal Clinic") && !back.contains("What is inside"), "{back}");
}

/// A lesson with so many dangers, each of so many words.
fn dangerous(dangers: usize, words: usize) -> tempfile::TempDir {
    let folder = many_habits(3, 9);
    let danger =
        |n| format!("\n## Part {n}\n\n- A line.\n\n> Danger: Peril{n} {}\n", "far ".repeat(words).trim());
    let lesson: String = (1..=dangers).map(danger).collect();
    std::fs::write(folder.path().join("lessons/ropes.md"), format!("# Ropes\n\nA line.\n{lesson}")).unwrap();
    folder
}

#[test]
fn a_leaflet_shows_every_danger_or_tells_that_it_does_not() {
    let folder = dangerous(11, 16);
    assert_eq!(told(folder.path(), Piece::Leaflet), Vec::<&str>::new());
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let press = Press::open(Theme::plain(), folder.path());
    let jobs = flow::plan(&understood, &Selection { pieces: vec![Piece::Leaflet], ..Selection::default() });
    let said = crate::press::letters(&crate::press::text(&bytes(&press, &jobs[0])).concat());
    for n in 1..=11 {
        assert!(said.contains(&format!("Peril{n}far")), "danger {n} is missing: {said}");
    }
    assert_eq!(told(dangerous(30, 30).path(), Piece::Leaflet), ["sheet-overfull"]);
}

#[test]
fn a_handout_of_more_than_one_sheet_is_told_at_its_lesson() {
    let folder = many_habits(1, 5);
    let section = "\n## A part\n\n### A small heading\n\n- one\n- two\n- three\n";
    let lesson = |sections| format!("# Ropes\n\nA line.\n{}", section.repeat(sections));
    let write = |sections| std::fs::write(folder.path().join("lessons/ropes.md"), lesson(sections)).unwrap();
    write(12);
    assert_eq!(told(folder.path(), Piece::Handout), Vec::<&str>::new());
    write(60);
    assert_eq!(told(folder.path(), Piece::Handout), ["sheet-overfull"]);
}

#[test]
fn a_kit_stays_on_one_sheet_as_long_as_it_can_and_is_told_where_it_does_not() {
    let folder = many_habits(1, 5);
    let write = |things: usize| {
        let thing = "\n[[kits.items]]\nitem = \"Tree strap\"\nweight = \"6 oz\"\nnote = \"At least two inches wide.\"\n";
        let kit = |id: &str, adds: &str, things: usize| {
            format!("\n[[kits]]\nid = \"{id}\"\nname = \"Kit {id}\"\n{adds}{}", thing.repeat(things))
        };
        let kits = kit("day", "", things / 2) + &kit("night", "adds-to = \"day\"\n", things - things / 2);
        std::fs::write(folder.path().join("kits.toml"), kits).unwrap();
    };
    write(36);
    assert_eq!(told(folder.path(), Piece::KitSheets), Vec::<&str>::new());
    write(120);
    // The bigger kit by itself; side by side the things have one row, for they are called alike.
    assert_eq!(told(folder.path(), Piece::KitSheets), ["sheet-overfull", "sheet-overfull"]);
}

#[test]
fn a_title_slide_that_does_not_fit_is_told_where_the_program_is_named() {
    let folder = many_habits(1, 5);
    let path = folder.path().join("program.toml");
    let named = std::fs::read_to_string(&path).unwrap();
    let name = "Trail Rider Stewards of the Basin ".repeat(30);
    std::fs::write(&path, named.replace("Trail Rider Stewards", name.trim())).unwrap();
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let jobs = flow::plan(&understood, &Selection { pieces: vec![Piece::Deck], ..Selection::default() });
    let findings = Press::open(Theme::plain(), folder.path()).measure(&jobs[0]).unwrap();
    assert_eq!(findings.iter().map(|finding| finding.rule.name).collect::<Vec<_>>(), ["slide-overfull"]);
    assert_eq!(program.sources.words(&findings[0].place), name.trim());
}

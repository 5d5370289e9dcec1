//! Addresses, against blocks from outside (`tests/reference/addresses`), and where labels stand in the
//! finished PDF (`tests/reference/print`).

use crate::flow;
use num_rational::BigRational;
use num_traits::ToPrimitive;
use packstring::addresses::{self, Address, Block, Country, Style, Unmailable};
use packstring::imposition::label_grid::LabelGrid;
use packstring::job::Piece;
use packstring::pieces::Selection;
use packstring::press::{Press, Theme};
use packstring::understand::Understood;

fn style(capitals: bool) -> Style {
    Style { home: Country::united_states(), capitals }
}

fn rows(table: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect()
}

fn us_pairs() -> Vec<csv::StringRecord> {
    rows(include_str!("../reference/addresses/us_pairs.csv"))
}

/// The name, and the rest in the street's cell, as a form with one field for the address gives it.
fn in_one_cell(written: &str) -> Result<Block, Unmailable> {
    let written = written.replace("\\n", "\n");
    let (name, street) = match written.split_once('\n') {
        Some(parts) => parts,
        None => written.split_once(',').unwrap(),
    };
    let address = Address { street: street.to_owned(), ..Address::default() };
    addresses::block(name.trim(), &address, &style(true))
}

/// Each part in its own cell.
fn in_cells(written: &str) -> Option<Result<Block, Unmailable>> {
    let lines: Vec<&str> = written.split("\\n").collect();
    let ([name, street @ .., last], true) = (&lines[..], lines.len() > 2) else { return None };
    let last = last.trim().replace(',', " ");
    let mut words: Vec<&str> = last.split_whitespace().collect();
    let postcode = words.pop_if(|word| word.starts_with(|first: char| first.is_ascii_digit()));
    let state = words.pop()?;
    let address = Address {
        street: street.join("\n"),
        town: words.join(" "),
        state: state.into(),
        postcode: postcode.unwrap_or("").into(),
        country: "USA".into(),
    };
    Some(addresses::block(name.trim(), &address, &style(true)))
}

#[test]
fn blocks_are_those_of_publication_28() {
    let mut checked = (0, 0);
    for row in us_pairs() {
        let (id, written, expected) = (&row[0], &row[1], &row[2]);
        let mut blocks = vec![in_one_cell(written)];
        blocks.extend(in_cells(written));
        for block in blocks {
            match expected {
                "FINDING" => {
                    assert!(block.is_err(), "{id}: {block:?}");
                    checked.1 += 1;
                }
                expected => {
                    let block = block.unwrap_or_else(|why| panic!("{id}: {why:?}"));
                    assert_eq!(block.lines.join("|"), expected, "{id}");
                    assert_eq!(block.doubts.is_empty(), id != "lost-zero", "{id}");
                    checked.0 += 1;
                }
            }
        }
    }
    assert!(checked.0 > 60 && checked.1 > 6, "{checked:?}");
}

#[test]
fn blocks_abroad_are_those_of_the_reference() {
    let table = rows(include_str!("../reference/addresses/international.csv"));
    assert_eq!(table.len(), 9);
    for row in table {
        let (id, country, expected) = (&row[0], &row[1], &row[3]);
        let parts: Vec<&str> = row[2].split(" / ").collect();
        let (name, street, town, state, postcode) = match parts[..] {
            [name, street, town, postcode] => (name, street, town, "", postcode),
            [name, street, town, state, postcode] => (name, street, town, state, postcode),
            _ => panic!("{id}"),
        };
        let address = Address {
            street: street.into(),
            town: town.into(),
            state: state.into(),
            postcode: postcode.into(),
            country: country.into(),
        };
        let block = addresses::block(name, &address, &style(true)).unwrap();
        assert_eq!(block.lines.join("|"), expected, "{id}");
        // Mail that stays in its country has no line for it.
        let home = Style { home: Country::find(country).unwrap(), capitals: true };
        let block = addresses::block(name, &address, &home).unwrap();
        assert_eq!(block.lines.join("|"), expected.rsplit_once('|').unwrap().0, "{id}");
    }
}

#[test]
fn a_name_is_printed_exactly_as_given_unless_capitals_are_asked_for() {
    let address = Address {
        street: "8 St. Clair's Court, Apartment 4".into(),
        town: "Pine Hollow".into(),
        state: "Washington".into(),
        postcode: "98000".into(),
        ..Address::default()
    };
    for name in ["Nuala O’Dea", "Zoë Ångström-Peña", "देविका राजपुरोहित", "Fenwick \"Buck\" Tarrant, Jr."]
    {
        let block = addresses::block(name, &address, &style(false)).unwrap();
        assert_eq!(block.lines, [name, "8 St Clair's Ct Apt 4", "Pine Hollow WA  98000"]);
        assert_eq!(block.narrow.unwrap()[1..3], ["Apt 4", "8 St Clair's Ct"]);
    }
}

#[test]
fn what_cannot_be_mailed_names_its_column_and_nothing_of_the_address() {
    let whole = || Address {
        street: "12 Mill Road".into(),
        town: "Hollow Ford".into(),
        state: "OR".into(),
        postcode: "97000".into(),
        country: String::new(),
    };
    let cases: [(&str, Address); 9] = [
        ("street", Address { street: String::new(), ..whole() }),
        ("town", Address { town: String::new(), ..whole() }),
        ("town", Address { town: "APO".into(), ..whole() }),
        ("state", Address { state: String::new(), ..whole() }),
        ("state", Address { state: "Orgon".into(), ..whole() }),
        ("postcode", Address { postcode: String::new(), ..whole() }),
        ("postcode", Address { postcode: "9700".into(), ..whole() }),
        ("postcode", Address { postcode: "04000".into(), ..whole() }),
        ("country", Address { country: "Germny".into(), ..whole() }),
    ];
    for (column, address) in cases {
        let why = addresses::block("Kit Dale", &address, &style(false)).unwrap_err();
        assert_eq!(why.column(), column, "{why:?}");
        for told in [why.message(), why.mend()] {
            let repeats = ["Mill", "Hollow", "Kit"].iter().any(|word| told.contains(word));
            assert!(!repeats && told.ends_with(['.', '?']), "{told}");
        }
    }
}

#[test]
fn an_address_is_posted_home_from_abroad() {
    let address = Address {
        street: "12 Mill Road".into(),
        town: "Hollow Ford".into(),
        state: "OR".into(),
        postcode: "97000".into(),
        country: "United States".into(),
    };
    let from_canada = Style { home: Country::find("CA").unwrap(), capitals: false };
    let lines = addresses::block("Kit Dale", &address, &from_canada).unwrap().lines;
    assert_eq!(lines[2..], ["Hollow Ford OR  97000", "UNITED STATES OF AMERICA"]);
}

// ---- where things stand in the finished PDF ----

/// What a page of a PDF paints, in points from its upper left corner.
#[derive(Default)]
pub(crate) struct Painted {
    /// Corners of each closed path: left, top, right, bottom.
    pub paths: Vec<[f64; 4]>,
    /// Where each run of text begins, on its line.
    pub texts: Vec<(f64, f64)>,
}

type Matrix = [f64; 6];

fn times([a, b, c, d, e, f]: Matrix, [g, h, i, j, k, l]: Matrix) -> Matrix {
    [a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l]
}

/// Reads the content of a page by the operators of ISO 32000-1, 8.3 to 9.4.
pub(crate) fn painted(bytes: &[u8], page: usize) -> Painted {
    let document = lopdf::Document::load_mem(bytes).unwrap();
    let id = document.get_pages()[&(page as u32)];
    let media = document.get_object(id).unwrap().as_dict().unwrap().get(b"MediaBox").unwrap();
    let height = f64::from(media.as_array().unwrap()[3].as_float().unwrap());
    let content = document.get_and_decode_page_content(id).unwrap();
    let mut found = Painted::default();
    let (mut now, mut kept, mut path): (Matrix, Vec<Matrix>, Vec<(f64, f64)>) =
        ([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], Vec::new(), Vec::new());
    for operation in &content.operations {
        let number: Vec<f64> =
            operation.operands.iter().filter_map(|it| it.as_float().ok()).map(f64::from).collect();
        let at = |matrix: Matrix, x: f64, y: f64| {
            let [.., e, f] = times([1.0, 0.0, 0.0, 1.0, x, y], matrix);
            (e, height - f)
        };
        match operation.operator.as_str() {
            "q" => kept.push(now),
            "Q" => now = kept.pop().unwrap(),
            "cm" => now = times(number.try_into().unwrap(), now),
            "m" | "l" => path.push(at(now, number[0], number[1])),
            "re" => {
                path.push(at(now, number[0], number[1]));
                path.push(at(now, number[0] + number[2], number[1] + number[3]));
            }
            "S" | "s" | "f" | "f*" | "B" | "n" | "W" => {
                let points = std::mem::take(&mut path);
                let least = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).fold(f64::MAX, f64::min);
                let most = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).fold(f64::MIN, f64::max);
                if points.len() > 1 {
                    found.paths.push([least(|it| it.0), least(|it| it.1), most(|it| it.0), most(|it| it.1)]);
                }
            }
            "Tm" => found.texts.push(at(times(number.try_into().unwrap(), now), 0.0, 0.0)),
            _ => {}
        }
    }
    found
}

/// The demo program with this sheet of labels, and what it makes of a piece.
fn make(piece: Piece, grid: &LabelGrid, nudge: (i32, i32), start_label: Option<u32>) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let mut program = packstring::program::open(&folder).unwrap();
    let mailing = program.content.settings.mailing.as_mut().unwrap();
    mailing.labels = grid.clone();
    mailing.nudge_right = BigRational::new(nudge.0.into(), 10.into());
    mailing.nudge_down = BigRational::new(nudge.1.into(), 10.into());
    let understood = Understood::new(&program);
    let jobs =
        flow::plan(&understood, &Selection { pieces: vec![piece], start_label, ..Selection::default() });
    let press = Press::open(Theme::plain(), &folder);
    let mut bytes = Vec::new();
    let told = press.make(&press.plan(&jobs[0]), &|_| true, &mut |made| {
        bytes = made.bytes.to_vec();
        Ok(())
    });
    assert_eq!(told.unwrap(), []);
    bytes
}

/// The grids of the reference as they are built in, with their rows of `label_positions.csv`.
fn grids_with_positions() -> Vec<(csv::StringRecord, &'static LabelGrid, Vec<csv::StringRecord>)> {
    let positions = rows(include_str!("../reference/print/label_positions.csv"));
    let grids = rows(include_str!("../reference/print/label_grids.csv"));
    let built_in = LabelGrid::built_in();
    assert_eq!(grids.len(), built_in.len());
    let with = grids.into_iter().zip(built_in).map(|(row, grid)| {
        let of_grid = positions.iter().filter(|position| position[1] == row[0]).cloned().collect();
        (row, grid, of_grid)
    });
    with.collect()
}

fn in_points(written: &str, unit: &str) -> f64 {
    written.parse::<f64>().unwrap() * if unit == "mm" { 72.0 / 25.4 } else { 72.0 }
}

#[test]
fn outlines_stand_in_the_pdf_where_the_reference_has_the_labels() {
    let nudge = (15, -8);
    let (right, down) = (in_points("1.5", "mm"), in_points("-0.8", "mm"));
    for (row, grid, positions) in grids_with_positions() {
        let page = painted(&make(Piece::CalibrationSheet, grid, nudge, None), 2);
        let (wide, high) = (in_points(&row[5], &row[2]), in_points(&row[6], &row[2]));
        let near = |one: f64, other: f64| (one - other).abs() < 0.05;
        assert!(!positions.is_empty());
        for position in positions {
            let (x, y) = (in_points(&position[5], &row[2]) + right, in_points(&position[6], &row[2]) + down);
            let is_there = page.paths.iter().any(|[left, top, end, bottom]| {
                near(*left, x) && near(*top, y) && near(end - left, wide) && near(bottom - top, high)
            });
            assert!(is_there, "{}: nothing at {x}, {y}", &position[0]);
        }
    }
}

#[test]
fn addresses_stand_on_their_labels_in_the_pdf() {
    let mut tried = 0;
    for (row, grid, _) in grids_with_positions() {
        // Too small for whole addresses, or cards: tried on their outlines.
        if grid.height < BigRational::from_integer(70.into()) {
            continue;
        }
        let start = 2;
        let page = painted(&make(Piece::Labels, grid, (0, 0), Some(start)), 1);
        let places = grid.on_sheet().min(start as usize + 39);
        let (wide, high) = (in_points(&row[5], &row[2]), in_points(&row[6], &row[2]));
        let mut filled = vec![0; places];
        for (x, y) in &page.texts {
            let on = (0..places).find(|place| {
                let (left, top) = grid.corner(*place);
                let (left, top) = (left.to_f64().unwrap(), top.to_f64().unwrap());
                *x > left + 3.0 && *x < left + wide && *y > top + 3.0 && *y < top + high - 1.0
            });
            filled[on.unwrap_or_else(|| panic!("{}: a text beside all labels at {x}, {y}", &row[0]))] += 1;
        }
        assert_eq!(filled[0], 0, "{}: the label that is used up stays empty", &row[0]);
        assert!(filled[1..].iter().all(|lines| *lines >= 3), "{}: {filled:?}", &row[0]);
        tried += 1;
    }
    assert!(tried > 2, "only {tried} grids are large enough");
}

/// Proofreading asks without setting the lines: it must be told the same.
#[test]
fn what_is_doubted_of_an_address_is_what_its_block_doubts() {
    let hold = |address: &Address| {
        let style = style(false);
        let block = addresses::block("Ada Vell", address, &style).map(|block| block.doubts);
        assert_eq!(addresses::doubts(address, &style), block, "{address:?}");
    };
    let mut held = 0;
    for row in us_pairs() {
        let written = row[1].replace("\\n", "\n");
        let street = written.split_once('\n').map_or(&*written, |(_, street)| street);
        hold(&Address { street: street.to_owned(), ..Address::default() });
        held += 1;
    }
    assert!(held > 20);
    let words = [
        "12",
        "3rd",
        "Floor",
        "Apt",
        "Mill",
        "Box",
        "PO",
        "Road",
        "B",
        "#",
        "RR",
        "",
        "PSC",
        "General Delivery",
    ];
    for first in words {
        for second in words {
            for third in words {
                for (town, state, postcode) in
                    [("Dry Fork", "NV", "89914"), ("APO", "AE", "09001"), ("Dry Fork", "MA", "1234")]
                {
                    hold(&Address {
                        street: format!("{first} {second} {third}"),
                        town: town.into(),
                        state: state.into(),
                        postcode: postcode.into(),
                        country: String::new(),
                    });
                }
            }
        }
    }
}

/// Where a plan lays labels, held against the positions of the reference themselves: a row and a column more or less of
/// a millimeter is no longer on the label by the tenth row.
#[test]
fn labels_are_planned_where_the_reference_has_them() {
    for (row, grid, positions) in grids_with_positions() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
        let mut program = packstring::program::open(&folder).unwrap();
        program.content.settings.mailing.as_mut().unwrap().labels = grid.clone();
        let understood = Understood::new(&program);
        let jobs =
            flow::plan(&understood, &Selection { pieces: vec![Piece::Labels], ..Selection::default() });
        let packstring::job::Make::Sheet(sheet) = &jobs[0].make else { panic!("labels are a sheet") };
        let known: Vec<(f64, f64)> = positions
            .iter()
            .map(|position| (in_points(&position[5], &row[2]), in_points(&position[6], &row[2])))
            .collect();
        let planned: Vec<(f64, f64)> = sheet.data["sheets"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|sheet| sheet.as_array().unwrap())
            .map(|label| (label["x"].as_f64().unwrap(), label["y"].as_f64().unwrap()))
            .collect();
        assert!(!planned.is_empty());
        let near = |one: &(f64, f64), other: &(f64, f64)| {
            (one.0 - other.0).abs() < 0.05 && (one.1 - other.1).abs() < 0.05
        };
        // The reference has the labels at the corners of some sheets, and all of others.
        let is_first = |label: &(f64, f64)| known.iter().any(|known| near(known, label));
        assert!(is_first(&planned[0]), "{}: the first label lies at {:?}", &row[0], planned[0]);
        if known.len() == grid.on_sheet() {
            planned.iter().for_each(|label| assert!(is_first(label), "{}: {label:?}", &row[0]));
        }
    }
}

#[test]
fn all_of_a_sheet_is_moved_by_the_nudge_to_the_right_and_down() {
    let (_, grid, _) = grids_with_positions().into_iter().next().unwrap();
    for piece in [Piece::Labels, Piece::CalibrationSheet] {
        let page = if piece == Piece::Labels { 1 } else { 2 };
        let (still, moved) = (
            painted(&make(piece, grid, (0, 0), None), page),
            painted(&make(piece, grid, (15, 8), None), page),
        );
        let (right, down) = (in_points("1.5", "mm"), in_points("0.8", "mm"));
        let by = |(x, y): &(f64, f64), (to_x, to_y): &(f64, f64)| {
            (to_x - x - right).abs() < 0.05 && (to_y - y - down).abs() < 0.05
        };
        assert_eq!(still.texts.len(), moved.texts.len());
        let count = still.texts.iter().zip(&moved.texts).filter(|(from, to)| by(from, to)).count();
        assert!(
            count > 3 && count * 2 > still.texts.len(),
            "{piece:?}: {count} of {} texts",
            still.texts.len()
        );
    }
}

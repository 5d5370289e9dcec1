//! Finished pieces looked into, as somebody would who means to find what should not be there: workbooks unpacked, PDFs
//! with all that they say of themselves, pages with their policy, certificates with their code.

use crate::whole::{files, make_demo, repository};
use lopdf::content::Content;
use lopdf::{Document, Object};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The demo, made once for all tests of this file.
fn demo() -> &'static BTreeMap<String, PathBuf> {
    static MADE: OnceLock<(tempfile::TempDir, BTreeMap<String, PathBuf>)> = OnceLock::new();
    let (_, made) = MADE.get_or_init(|| {
        let out = tempfile::tempdir().unwrap();
        make_demo(out.path(), &[]);
        let made = files(out.path());
        (out, made)
    });
    made
}

/// The letters of a text without any space between them, as a search finds them that knows no layout.
fn closed_up(text: &str) -> String {
    let text =
        text.replace("&amp;", "&").replace("&quot;", "\"").replace("&#39;", "'").replace("&#x27;", "'");
    text.chars()
        .filter(|letter| !letter.is_whitespace() && !"\u{ad}\u{200b}\u{2060}".contains(*letter))
        .collect()
}

/// What stands between the tags of a text that has tags.
fn between_tags(text: &str) -> String {
    let mut inside = false;
    let mut words = String::new();
    for letter in text.chars() {
        match letter {
            '<' => inside = true,
            '>' => inside = false,
            letter if !inside => words.push(letter),
            _ => {}
        }
    }
    words
}

/// Everything that a file says anywhere, closed up: what is shown, and what stands in titles, notes and alternative
/// text.
fn says(name: &str, bytes: &[u8]) -> String {
    let mut said = if bytes.starts_with(b"%PDF") {
        said_in_pdf(bytes)
    } else if bytes.starts_with(b"PK") {
        said_in_workbook(bytes)
    } else {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let shown = between_tags(&text);
        text + "\n" + &shown
    };
    said.push_str(name);
    closed_up(&said)
}

fn said_in_workbook(bytes: &[u8]) -> String {
    let mut workbook = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a workbook is a zip file");
    let mut said = String::new();
    for at in 0..workbook.len() {
        let mut part = workbook.by_index(at).unwrap();
        said.push_str(&part.name().unwrap());
        let mut text = Vec::new();
        part.read_to_end(&mut text).unwrap();
        let text = String::from_utf8_lossy(&text);
        said.push_str(&text);
        said.push_str(&between_tags(&text));
    }
    said
}

fn said_in_pdf(bytes: &[u8]) -> String {
    let document = Document::load_mem(bytes).expect("a PDF that can be read");
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    let mut said = document.extract_text(&pages).expect("text that can be read");
    // Titles, outlines, alternative text, notes, and what the file says of itself.
    for object in
        document.objects.values().chain(std::iter::once(&Object::Dictionary(document.trailer.clone())))
    {
        strings_of(object, &mut said);
        if let Object::Stream(stream) = object
            && stream.dict.get(b"Type").and_then(Object::as_name).is_ok_and(|kind| kind == b"Metadata")
        {
            let xmp = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
            let xmp = String::from_utf8_lossy(&xmp).into_owned();
            said.push_str(&between_tags(&xmp));
            said.push_str(&xmp);
        }
    }
    said
}

fn strings_of(object: &Object, said: &mut String) {
    match object {
        Object::String(bytes, _) => {
            said.push('\n');
            said.push_str(
                &lopdf::decode_text_string(object).unwrap_or_else(|_| String::from_utf8_lossy(bytes).into()),
            );
        }
        Object::Array(inner) => inner.iter().for_each(|object| strings_of(object, said)),
        Object::Dictionary(inner) => inner.iter().for_each(|(_, object)| strings_of(object, said)),
        Object::Stream(stream) => stream.dict.iter().for_each(|(_, object)| strings_of(object, said)),
        _ => {}
    }
}

/// The names and the e-mail addresses of the demo's roster.
fn roster() -> (BTreeSet<String>, BTreeSet<String>) {
    let roster = fs::read_to_string(repository().join("content/people/roster.csv")).unwrap();
    let mut rows = csv::Reader::from_reader(roster.as_bytes());
    let headings = rows.headers().unwrap().clone();
    let column = |name: &str| headings.iter().position(|heading| heading == name).unwrap();
    let (name, email) = (column("name"), column("email"));
    let (mut names, mut emails) = (BTreeSet::new(), BTreeSet::new());
    for row in rows.records() {
        let row = row.unwrap();
        names.insert(closed_up(&row[name]));
        emails.insert(closed_up(&row[email]));
    }
    let long = |words: &String| words.chars().count() > 3;
    (names.into_iter().filter(long).collect(), emails.into_iter().filter(long).collect())
}

#[test]
fn no_name_of_the_roster_stands_outside_the_private_shelf() {
    let (names, emails) = roster();
    assert!(names.len() > 40 && emails.len() > 8, "{} names, {} addresses", names.len(), emails.len());
    let mut found = BTreeMap::<&str, BTreeSet<&str>>::new();
    let mut looked_at = BTreeMap::<&str, usize>::new();
    for (file, path) in demo() {
        let said = says(file, &fs::read(path).unwrap());
        let form = file.rsplit('.').next().unwrap();
        let here = names.iter().chain(&emails).filter(|words| said.contains(words.as_str()));
        if file.starts_with("private/") {
            found.entry(form).or_default().extend(here.map(String::as_str));
            continue;
        }
        *looked_at.entry(form).or_default() += said.len();
        let here: Vec<&String> = here.collect();
        assert!(here.is_empty(), "{file} holds {here:?}");
    }
    // That a name would be found is shown where it stands by right: each, and in each form of file.
    for (form, least) in [("pdf", names.len()), ("xlsx", 1), ("csv", 1), ("json", 1)] {
        let count = found
            .get(form)
            .map_or(0, |found| found.intersection(&names.iter().map(String::as_str).collect()).count());
        assert!(count >= least, "{count} of {} names were found in private files .{form}", names.len());
    }
    let everywhere: BTreeSet<&str> = found.values().flatten().copied().collect();
    let lost: Vec<&String> = names.iter().filter(|name| !everywhere.contains(name.as_str())).collect();
    assert!(lost.is_empty(), "not found on the private shelf either: {lost:?}");
    assert!(looked_at["pdf"] > 100_000 && looked_at["html"] > 100_000, "{looked_at:?}");
}

/// The search finds what a page does not show.
#[test]
fn what_a_file_says_of_itself_is_read() {
    let handbook = says("", &fs::read(&demo()["open/handbook.pdf"]).unwrap());
    let document = Document::load(&demo()["open/handbook.pdf"]).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    let shown = closed_up(&document.extract_text(&pages).unwrap());
    let info = document.trailer.get(b"Info").and_then(Object::as_reference).unwrap();
    let title = document.get_dictionary(info).unwrap().get(b"Title").unwrap();
    let title = closed_up(&lopdf::decode_text_string(title).unwrap());
    assert!(handbook.matches(&title).count() > shown.matches(&title).count(), "{title}");
    let mut workbook = rust_xlsxwriter::Workbook::new();
    workbook.set_properties(&rust_xlsxwriter::DocProperties::new().set_title("Inés  Maro"));
    workbook.add_worksheet().write(0, 0, "Ada & Vell").unwrap();
    let said = says("book.xlsx", &workbook.save_to_buffer().unwrap());
    assert!(said.contains("InésMaro") && said.contains("Ada&Vell"), "{said}");
}

/// Every certificate shows its number, and so does the file of all of an event's.
#[test]
fn every_certificate_shows_its_number() {
    let mut seen = 0;
    let mut numbers = BTreeMap::<String, Vec<String>>::new();
    for (file, path) in demo().iter().filter(|(file, _)| file.starts_with("private/certificates/")) {
        let (Some(stem), bytes) = (file.strip_suffix(".json"), fs::read(path).unwrap()) else { continue };
        let record: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        let text = record.to_string();
        let Some(pdf) = demo().get(&format!("{stem}.pdf")) else { continue };
        let document = Document::load(pdf).unwrap();
        let shown = closed_up(&document.extract_text(&[1]).unwrap());
        let number = number_in(&text).unwrap_or_else(|| panic!("{file} names no number: {text}"));
        assert!(shown.contains(&number), "{file} shows no {number}: {shown}");
        seen += 1;
        let event = Path::new(file).parent().unwrap().to_string_lossy().into_owned();
        numbers.entry(event).or_default().push(number);
    }
    assert!(seen > 20, "only {seen} certificates were looked at");
    for (event, numbers) in numbers {
        let run = format!("{event}.pdf");
        let said = says("", &fs::read(&demo()[&run]).unwrap());
        assert!(numbers.iter().all(|number| said.contains(number)), "{run}");
    }
}

/// A number as it is printed: four letters or digits, a hyphen, four more.
fn number_in(text: &str) -> Option<String> {
    let pattern = regex::Regex::new(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b").unwrap();
    pattern.find(text).map(|found| found.as_str().to_owned())
}

/// A box on a page, in points.
#[derive(Clone, Copy, Debug)]
struct Box {
    left: f32,
    bottom: f32,
    right: f32,
    top: f32,
}

/// Six numbers that turn, stretch and move (ISO 32000-1, 8.3.3; from memory).
type Matrix = [f32; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

fn around(points: &[(f32, f32)], matrix: Matrix) -> Box {
    let mut found = Box { left: f32::MAX, bottom: f32::MAX, right: f32::MIN, top: f32::MIN };
    for (x, y) in points {
        let (x, y) = (x * matrix[0] + y * matrix[2] + matrix[4], x * matrix[1] + y * matrix[3] + matrix[5]);
        found.left = found.left.min(x);
        found.right = found.right.max(x);
        found.bottom = found.bottom.min(y);
        found.top = found.top.max(y);
    }
    found
}

/// The pictures of a first page with how many dots they are wide, and the boxes that it fills, in the order in which
/// they are drawn.
fn drawn(document: &Document) -> (Vec<(Box, i64)>, Vec<Box>) {
    let page = document.get_pages()[&1];
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let pictures = page_pictures(document, page);
    let numbers =
        |operands: &[Object]| -> Vec<f32> { operands.iter().filter_map(|it| it.as_float().ok()).collect() };
    let mut matrix: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut kept, mut path) = (Vec::new(), Vec::new());
    let (mut images, mut filled) = (Vec::new(), Vec::new());
    for operation in content.operations {
        let at = numbers(&operation.operands);
        match operation.operator.as_str() {
            "q" => kept.push(matrix),
            "Q" => matrix = kept.pop().unwrap(),
            "cm" => matrix = times(at.try_into().unwrap(), matrix),
            "m" | "l" => path.push((at[0], at[1])),
            "c" => path.push((at[4], at[5])),
            "re" => path.extend([(at[0], at[1]), (at[0] + at[2], at[1] + at[3])]),
            "f" | "f*" => {
                filled.push(around(&path, matrix));
                path.clear();
            }
            "n" | "S" | "s" | "B" => path.clear(),
            "Do" => {
                if let Some(width) = operation.operands[0].as_name().ok().and_then(|name| pictures.get(name))
                {
                    images.push((around(&[(0.0, 0.0), (1.0, 1.0)], matrix), *width));
                }
            }
            _ => {}
        }
    }
    (images, filled)
}

fn page_pictures(document: &Document, page: lopdf::ObjectId) -> BTreeMap<Vec<u8>, i64> {
    let (own, inherited) = document.get_page_resources(page).unwrap();
    let resources = own
        .cloned()
        .into_iter()
        .chain(inherited.iter().map(|id| document.get_dictionary(*id).unwrap().clone()));
    let mut pictures = BTreeMap::new();
    for resources in resources {
        let Ok(objects) = resources.get_deref(b"XObject", document).and_then(Object::as_dict) else {
            continue;
        };
        for (name, object) in objects {
            let Ok(stream) = document.dereference(object).and_then(|(_, object)| object.as_stream()) else {
                continue;
            };
            if let Ok(width) = stream.dict.get(b"Width").and_then(Object::as_i64) {
                pictures.insert(name.clone(), width);
            }
        }
    }
    pictures
}

/// A reader needs four modules of plain ground around a code (ISO/IEC 18004, quiet zone; from memory).
#[test]
fn a_code_stands_in_a_quiet_zone_of_four_modules() {
    let mut seen = 0;
    for (file, path) in demo().iter().filter(|(file, _)| file.starts_with("private/certificates/")) {
        if !file.ends_with(".pdf") {
            continue;
        }
        let document = Document::load(path).unwrap();
        let (images, filled) = drawn(&document);
        let square = |(place, _): &&(Box, i64)| {
            let (wide, high) = (place.right - place.left, place.top - place.bottom);
            (wide - high).abs() < 0.01 && wide > 20.0
        };
        for (place, modules) in images.iter().filter(square) {
            // Sizes of codes: 21 modules and four more for each version (ISO/IEC 18004; from memory).
            if *modules < 21 || (modules - 21) % 4 != 0 || *modules > 177 {
                continue;
            }
            let module = (place.right - place.left) / *modules as f32;
            let ground = filled.iter().rev().find(|ground| {
                ground.left <= place.left
                    && ground.right >= place.right
                    && ground.bottom <= place.bottom
                    && ground.top >= place.top
            });
            let ground = ground.unwrap_or_else(|| panic!("{file}: the code has no ground of its own"));
            let least = [
                place.left - ground.left,
                ground.right - place.right,
                place.bottom - ground.bottom,
                ground.top - place.top,
            ];
            let quiet = least.into_iter().fold(f32::MAX, f32::min) / module;
            assert!(
                (4.0..12.0).contains(&quiet),
                "{file}: {quiet} modules are quiet: {place:?} on {ground:?}"
            );
            seen += 1;
        }
    }
    assert!(seen > 20, "only {seen} codes were measured");
}

/// What a page may load and run: nothing but its own files, and nothing from anywhere else (Content Security Policy
/// Level 3, W3C; from memory).
#[test]
fn every_page_forbids_what_it_does_not_need() {
    const NEEDED: [(&str, &[&str]); 6] = [
        ("default-src", &["'none'"]),
        ("style-src", &["'self'", "file:"]),
        ("script-src", &["'self'", "file:"]),
        ("img-src", &["'self'", "file:", "data:"]),
        ("base-uri", &["'none'"]),
        ("form-action", &["'none'"]),
    ];
    const FONTS: (&str, &[&str]) = ("font-src", &["'self'", "file:"]);
    let pattern =
        regex::Regex::new(r#"<meta http-equiv="Content-Security-Policy" content="([^"]*)">"#).unwrap();
    let mut seen = 0;
    for (file, path) in demo().iter().filter(|(file, _)| file.ends_with(".html")) {
        let page = fs::read_to_string(path).unwrap();
        let policies: Vec<&str> =
            pattern.captures_iter(&page).map(|found| found.get(1).unwrap().as_str()).collect();
        let [policy] = policies.as_slice() else { panic!("{file} has {} policies", policies.len()) };
        let before = page.split("Content-Security-Policy").next().unwrap();
        for loads in ["<script", "<link", "<style", "<img"] {
            assert!(!before.contains(loads), "{file} has {loads} before its policy");
        }
        let stated: BTreeMap<&str, Vec<&str>> = policy
            .split(';')
            .map(|rule| {
                let mut words = rule.split_whitespace();
                (words.next().unwrap(), words.collect())
            })
            .collect();
        // The site brings its own type; a deck is one file.
        let type_of_its_own = page.contains("site.css").then_some(FONTS);
        let needed: Vec<_> = NEEDED.into_iter().chain(type_of_its_own).collect();
        assert_eq!(stated.len(), needed.len(), "{file}: {policy}");
        for (rule, sources) in needed {
            assert_eq!(stated.get(rule).map(Vec::as_slice), Some(sources), "{file}: {policy}");
        }
        seen += 1;
    }
    assert!(seen > 10, "only {seen} pages were looked at");
}

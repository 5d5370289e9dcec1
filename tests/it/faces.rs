//! The type of pages: files beside them, cut from the theme's fonts, that have every letter which pages need.

use crate::flow;
use crate::site::{demo, pages, site};
use packstring::job::{Make, Original, Piece};
use packstring::pieces::Selection;
use packstring::press::{Press, Theme};
use packstring::understand::Understood;
use std::collections::BTreeSet;
use std::io::Read;
use std::path::Path;
use ttf_parser::cmap;

/// Each face, and the font that it is cut from.
const FACES: [(&str, &str); 7] = [
    ("plain-page-serif-regular", "Vollkorn-Regular"),
    ("plain-page-serif-italic", "Vollkorn-Italic"),
    ("plain-page-serif-semibold", "Vollkorn-SemiBold"),
    ("plain-page-serif-bold", "Vollkorn-Bold"),
    ("plain-page-sans-regular", "Andika-Regular"),
    ("plain-page-sans-italic", "Andika-Italic"),
    ("plain-page-sans-bold", "Andika-Bold"),
];

/// Numbers of the tables that a WOFF2 file may name in short, after its specification (section 5.1).
const CMAP: u8 = 0;
const NAME: u8 = 5;
const GLYF: u8 = 10;
const LOCA: u8 = 11;
const UNNAMED: u8 = 63;

/// A table of a WOFF2 file that is kept as it is.
fn table(file: &[u8], wanted: u8) -> Vec<u8> {
    let number = |at: usize| u16::from_be_bytes([file[at], file[at + 1]]);
    assert_eq!(&file[..4], b"wOF2");
    let mut at = 48;
    let mut place = None;
    let mut passed = 0;
    for _ in 0..number(12) {
        let flags = file[at];
        at += 1;
        let tag = flags & 63;
        if tag == UNNAMED {
            at += 4;
        }
        let length = base_128(file, &mut at);
        let is_changed = (flags >> 6 == 0) == matches!(tag, GLYF | LOCA);
        let length = if is_changed { base_128(file, &mut at) } else { length };
        if tag == wanted {
            place = Some(passed..passed + length);
        }
        passed += length;
    }
    let mut tables = Vec::new();
    brotli_decompressor::Decompressor::new(&file[at..], 4096).read_to_end(&mut tables).unwrap();
    tables[place.expect("the table is there")].to_vec()
}

/// A number in as many bytes as it needs, seven bits in each (section 4.1).
fn base_128(file: &[u8], at: &mut usize) -> usize {
    let mut number = 0;
    loop {
        let byte = file[*at];
        *at += 1;
        number = number << 7 | usize::from(byte & 127);
        if byte < 128 {
            return number;
        }
    }
}

fn has(table: &[u8], letter: char) -> bool {
    let table = cmap::Table::parse(table).expect("a table of letters");
    let mut maps = table.subtables.into_iter().filter(|map| map.is_unicode());
    maps.any(|map| map.glyph_index(letter.into()).is_some_and(|glyph| glyph.0 != 0))
}

#[test]
fn every_face_has_the_letters_of_the_demo_and_of_the_themes_words() {
    let theme = Theme::plain();
    let program = demo();
    let mut letters: BTreeSet<char> =
        pages(&Understood::new(&program)).values().flat_map(|page| page.chars()).collect();
    for (_, words) in theme.folder("words") {
        letters.extend(std::str::from_utf8(words).unwrap().chars());
    }
    letters.retain(|letter| !letter.is_control());
    assert!(['ñ', 'ç', '°', '’', '×'].iter().all(|letter| letters.contains(letter)));
    for (face, font) in FACES {
        let cut = table(theme.file(&format!("pages/faces/{face}.woff2")).expect(face), CMAP);
        let whole = theme.file(&format!("type/{font}.ttf")).expect(font);
        let whole = ttf_parser::Face::parse(whole, 0).unwrap();
        let lacks = |letter: &&char| whole.glyph_index(**letter).is_some() && !has(&cut, **letter);
        let missing: String = letters.iter().filter(lacks).collect();
        assert_eq!(missing, "", "{face}: add these letters to release/faces.py");
        // It was cut, and what pages never need is gone.
        assert!(has(&cut, 'A') && !has(&cut, 'Ω'), "{face}");
    }
}

#[test]
fn faces_bear_names_of_their_own_as_their_license_asks() {
    let theme = Theme::plain();
    for (face, font) in FACES {
        let name = table(theme.file(&format!("pages/faces/{face}.woff2")).unwrap(), NAME);
        let names = ttf_parser::name::Table::parse(&name).unwrap().names;
        let reserved = font.split('-').next().unwrap();
        for named in [1, 3, 4, 6, 16, 18, 21] {
            let all =
                names.into_iter().filter(|name| name.name_id == named).filter_map(|name| name.to_string());
            for words in all {
                assert!(
                    words.starts_with("Plain") && !words.contains(reserved),
                    "{face}: {named} is {words}"
                );
            }
        }
    }
    let license = std::str::from_utf8(theme.file("pages/faces/OFL.txt").unwrap()).unwrap();
    assert!(license.contains("SIL OPEN FONT LICENSE Version 1.1") && license.contains("Plain Page Sans"));
}

#[test]
fn a_site_has_the_faces_that_its_style_names_and_their_license() {
    let program = demo();
    let understood = Understood::new(&program);
    let faces = Press::open(Theme::plain(), Path::new(".")).faces();
    let selection = Selection { pieces: vec![Piece::Site], faces, ..Selection::default() };
    let jobs = flow::plan(&understood, &selection);
    let original = |path: &str| {
        jobs.iter().find(|job| job.path == path).map(|job| match &job.make {
            Make::Copy { of } => of.clone(),
            other => panic!("{path} is made: {other:?}"),
        })
    };
    let style = &pages(&understood)["site/site.css"];
    let named: Vec<&str> = style.split("url(").skip(1).map(|rest| rest.split(')').next().unwrap()).collect();
    assert_eq!(named.len(), FACES.len());
    for folder in ["site", "es-us/site"] {
        for face in named.iter().chain(&["faces/OFL.txt"]) {
            let found = original(&format!("{folder}/{face}"));
            assert_eq!(found, Some(Original::Theme(format!("pages/{face}"))), "{folder}/{face}");
        }
    }
}

#[test]
fn a_theme_without_faces_has_a_whole_site() {
    let program = demo();
    let understood = Understood::new(&program);
    assert!(site(&understood).iter().all(|job| !job.path.contains("/faces/")));
    let theme = Theme::plain().with_file("pages/faces.css", b"");
    let press = Press::open(theme, &understood.root.folder);
    let jobs = site(&understood);
    let style = jobs.iter().find(|job| job.path == "site/site.css").unwrap();
    let mut css = Vec::new();
    let mut keep = |made: packstring::press::Made| {
        css = made.bytes.to_vec();
        Ok(())
    };
    let findings = press.make(&press.plan(style), &|_| true, &mut keep).unwrap();
    assert!(findings.is_empty());
    let css = String::from_utf8(css).unwrap();
    assert!(!css.contains("url(") && css.contains("--serif:"), "{css}");
}

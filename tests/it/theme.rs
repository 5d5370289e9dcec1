//! Themes of a program's own: single files take the place of built-in ones, and what is wrong with them is
//! told with file, line and column.

use crate::flow;
use crate::folders::{copy, open, write};
use crate::proof::{TODAY, root};
use packstring::commands::report::As;
use packstring::commands::{CommandError, proofread};
use packstring::job::{Make, Piece};
use packstring::pieces::Selection;
use packstring::press::{Press, PressError, Theme};
use packstring::session::Environment;
use packstring::understand::Understood;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// The sound program with an empty theme folder of its own.
fn sound() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let settings = fs::read_to_string(folder.path().join("program.toml")).unwrap();
    let settings = settings.replace("[program]\n", "[program]\ntheme = \"themes/ours\"\n");
    fs::write(folder.path().join("program.toml"), settings).unwrap();
    fs::create_dir_all(folder.path().join("themes/ours")).unwrap();
    folder
}

fn put(folder: &Path, name: &str, bytes: &[u8]) {
    write(folder, &format!("themes/ours/{name}"), bytes);
}

/// A built-in file with something before it.
fn put_before(folder: &Path, name: &str, before: &str) {
    let plain = Theme::plain();
    put(folder, name, &[before.as_bytes(), plain.file(name).unwrap()].concat());
}

fn replaced(name: &str, from: &str, to: &str) -> Vec<u8> {
    let plain = Theme::plain();
    let text = std::str::from_utf8(plain.file(name).unwrap()).unwrap().to_owned();
    assert!(text.contains(from), "{name} has no {from}");
    text.replace(from, to).into_bytes()
}

/// The files of a piece, by their paths.
fn make(folder: &Path, piece: Piece) -> Result<Vec<(String, Vec<u8>)>, PressError> {
    let program = open(folder);
    let understood = Understood::new(&program);
    let theme = Theme::with_folder(folder, "themes/ours")?;
    theme.words()?;
    let press = Press::open(theme, folder);
    let selection = Selection { pieces: vec![piece], ..Selection::default() };
    let mut files = Vec::new();
    for job in flow::plan(&understood, &selection) {
        // Drawings come first, and would tell of what all sheets share.
        if piece == Piece::Site && !matches!(job.make, Make::Page { .. }) {
            continue;
        }
        press.make(&press.plan(&job), &|_| true, &mut |made| {
            files.push((made.output.path.clone(), made.bytes.to_vec()));
            Ok(())
        })?;
    }
    Ok(files)
}

fn file<'f>(files: &'f [(String, Vec<u8>)], path: &str) -> &'f [u8] {
    &files.iter().find(|(name, _)| name == path).unwrap_or_else(|| panic!("no {path}")).1
}

#[test]
fn a_mistake_in_any_file_of_a_folder_theme_is_told_with_file_line_and_column() {
    for (name, before, piece, told) in [
        // Sheets: broken form, wrong kinds, a key that the data has not, in a template and in its library.
        (
            "sheets/handbook.typ",
            "#let x = (\n",
            Piece::Handbook,
            "themes/ours/sheets/handbook.typ:1:10: unclosed delimiter",
        ),
        (
            "sheets/handbook.typ",
            "\n#let x = 1 + \"a\"\n",
            Piece::Handbook,
            "themes/ours/sheets/handbook.typ:2:10: cannot add integer and string",
        ),
        (
            "sheets/handbook.typ",
            "½ #json(\"/data/piece.json\").lesons\n",
            Piece::Handbook,
            "themes/ours/sheets/handbook.typ:1:29: dictionary does not contain key \"lesons\"",
        ),
        (
            "sheets/handbook.typ",
            "#import \"lib/nothing.typ\": *\n",
            Piece::Handbook,
            "themes/ours/sheets/handbook.typ:1:9: file not found",
        ),
        // The typesetter's own advice would be an option of another program.
        (
            "sheets/handbook.typ",
            "#read(\"../../facts.toml\")\n",
            Piece::Handbook,
            "themes/ours/sheets/handbook.typ:1:7: the path `\"../../facts.toml\"` leads out of what a sheet sees (write it",
        ),
        (
            "sheets/lib/walk.typ",
            "#let wide = 3cm + 1\n",
            Piece::Handbook,
            "themes/ours/sheets/lib/walk.typ:1:13: cannot add length and integer",
        ),
        (
            "sheets/question-sheet.typ",
            "#let x = y\n",
            Piece::QuestionSheet,
            "themes/ours/sheets/question-sheet.typ:1:10: unknown variable: y",
        ),
        // Tables, which sheets and pages read in ways of their own.
        ("inks.toml", "[color\n", Piece::Handbook, "themes/ours/inks.toml:1:7: "),
        ("inks.toml", "[color\n", Piece::Site, "themes/ours/inks.toml:1:7: "),
        ("words/en.toml", "[site]\nhome = Home\n", Piece::Handbook, "themes/ours/words/en.toml:2:8: "),
        ("words/en.toml", "[site]\nhome = Home\n", Piece::Site, "themes/ours/words/en.toml:2:8: "),
        // Pages.
        (
            "pages/base.html",
            "\n{{ nothing }}",
            Piece::Site,
            "themes/ours/pages/base.html:2:4: Variable `nothing` is not defined",
        ),
        ("pages/base.html", "{% iff %}", Piece::Site, "themes/ours/pages/base.html:1:4: Unknown tag"),
        (
            "pages/base.html",
            "{{ title | louder }}",
            Piece::Site,
            "themes/ours/pages/base.html:1:12: Unknown filter `louder`",
        ),
        (
            "pages/base.html",
            "{{ 1 + \"a\" }}",
            Piece::Site,
            "themes/ours/pages/base.html:1:4: `+` requires both operands to be numbers",
        ),
        ("pages/site.css", "/* ½ */ {{ }", Piece::Site, "themes/ours/pages/site.css:1:"),
    ] {
        let folder = sound();
        put_before(folder.path(), name, before);
        let error = make(folder.path(), piece).map(|_| ()).expect_err(name).to_string();
        assert!(error.contains(told), "{name} after {before:?}: {error}");
        assert!(!error.contains(&*folder.path().to_string_lossy()), "a path of this machine: {error}");
        assert!(error.lines().count() <= 5 && !error.contains("--"), "{error}");
    }
}

#[test]
fn a_mistake_that_shows_in_a_built_in_file_names_the_file_of_the_folder_that_led_there() {
    let folder = sound();
    // The library asks for an ink that the folder's inks have no more.
    put(folder.path(), "inks.toml", b"[color]\nink = \"#000000\"\n[black]\nink = \"#000000\"\n");
    put_before(folder.path(), "sheets/handbook.typ", "\n");
    let error = make(folder.path(), Piece::Handbook).map(|_| ()).unwrap_err().to_string();
    assert!(error.contains("themes/ours/sheets/handbook.typ:"), "{error}");
}

#[test]
fn a_template_that_is_no_utf_8_is_told_where() {
    for name in ["sheets/handbook.typ", "pages/lesson.html", "words/en.toml"] {
        let folder = sound();
        put(folder.path(), name, b"one\ntwo \xff");
        let error = make(folder.path(), Piece::Handbook).map(|_| ()).unwrap_err().to_string();
        assert!(error.starts_with(&format!("themes/ours/{name}:2:5: this is not UTF-8 text")), "{error}");
    }
}

#[test]
fn proofreading_tells_it_in_the_same_words() {
    let folder = sound();
    put_before(folder.path(), "sheets/deck.typ", "#let x = (\n");
    let desk = Environment { today: TODAY, folder: folder.path().to_owned(), terminal: false, keys: None };
    let trouble = proofread::run(
        None,
        proofread::ProofreadOptions { form: As::Text, for_press: false, no_layout: false },
        &desk,
        &mut Vec::new(),
    );
    let Err(CommandError::Said(why)) = trouble else { panic!("{trouble:?}") };
    assert!(why.contains("themes/ours/sheets/deck.typ:1:10: unclosed delimiter"), "{why}");
}

#[test]
fn a_file_that_nothing_asks_for_is_a_note_of_proofreading() {
    let folder = sound();
    put(folder.path(), "sheets/hanbook.typ", b"");
    let desk = Environment { today: TODAY, folder: folder.path().to_owned(), terminal: false, keys: None };
    let mut out = Vec::new();
    proofread::run(
        None,
        proofread::ProofreadOptions { form: As::Text, for_press: true, no_layout: false },
        &desk,
        &mut out,
    )
    .unwrap();
    let told = String::from_utf8(out).unwrap();
    for words in ["themes/ours/sheets/hanbook.typ", "Call it sheets/handbook.typ", "theme-file-unused"] {
        assert!(told.contains(words), "{told}");
    }
}

#[test]
fn single_files_take_the_place_of_built_in_ones() {
    let folder = sound();
    let plain = make(folder.path(), Piece::Site).unwrap();
    // Words and a page.
    put(folder.path(), "words/en.toml", b"[ours]\nmade-up = \"Trail words\"\n");
    put(folder.path(), "pages/site.css", b"/* {{ words.ours[\"made-up\"] }} {{ inks.color.ink }} */");
    let ours = make(folder.path(), Piece::Site).unwrap();
    let css = |files: &[(String, Vec<u8>)]| {
        let file = files.iter().find(|(name, _)| name.ends_with("site.css")).expect("a style sheet");
        String::from_utf8(file.1.clone()).unwrap()
    };
    assert!(css(&ours).starts_with("/* Trail words #"), "{}", css(&ours));
    // All else is as it was; scripts are given all words.
    let other = |files: &[(String, Vec<u8>)]| {
        files.iter().filter(|(name, _)| name.starts_with("site/lessons/")).cloned().collect::<Vec<_>>()
    };
    assert!(other(&plain) == other(&ours) && !other(&ours).is_empty());

    // A sheet, with inks and type of the folder.
    put(folder.path(), "inks.toml", &replaced("inks.toml", "[color]\n", "[color]\nmade-up = \"#123456\"\n"));
    let font = Theme::plain().file("type/Andika-Regular.ttf").unwrap().to_vec();
    put(folder.path(), "type/Ours.ttf", &renamed(font));
    put(
        folder.path(),
        "sheets/question-sheet.typ",
        b"#set document(title: \"x\")\n#set text(font: \"Andiko\", fill: rgb(toml(\"/inks.toml\").color.made-up))\n#json(\"/data/words.json\").ours.made-up",
    );
    let files = make(folder.path(), Piece::QuestionSheet).unwrap();
    let document = lopdf::Document::load_mem(file(&files, "question-sheet.pdf")).unwrap();
    assert!(document.extract_text(&[1]).unwrap().contains("Trail words"));
    let fonts: Vec<String> = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok()?.get(b"BaseFont").ok()?.as_name().ok())
        .map(|name| String::from_utf8_lossy(name).into_owned())
        .collect();
    assert!(fonts.iter().all(|name| name.contains("Andiko")) && !fonts.is_empty(), "{fonts:?}");
}

/// A font under another name of the same length, in both encodings that name tables use.
fn renamed(mut font: Vec<u8>) -> Vec<u8> {
    let utf16 = |name: &str| name.encode_utf16().flat_map(u16::to_be_bytes).collect::<Vec<u8>>();
    let pairs = [(b"Andika".to_vec(), b"Andiko".to_vec()), (utf16("Andika"), utf16("Andiko"))];
    for (from, to) in pairs {
        for at in 0..font.len() - from.len() {
            if font[at..].starts_with(&from) {
                font[at..at + to.len()].copy_from_slice(&to);
            }
        }
    }
    font
}

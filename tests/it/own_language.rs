//! A program in Spanish alone: what packstring writes for spreadsheets is in its language, and is read back in it.
//!
//! The starter in Spanish is made with the binary, as a ranger does it. Which words are English is asked of the theme's
//! English words; the Spanish is ours.

use crate::folders::{self, open, write};
use calamine::{Data, Reader, Xlsx};
use packstring::words::Words;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

fn run(folder: &Path, arguments: &[&str]) -> String {
    let (said, code) = folders::run(folder, arguments.iter().copied());
    assert_eq!(code, 0, "{arguments:?}: {said}");
    said
}

/// The starter in Spanish, with answers, letters and certificates that end.
fn laid_out() -> (tempfile::TempDir, PathBuf) {
    let place = tempfile::tempdir().unwrap();
    run(place.path(), &["begin", "ours", "--language", "es-MX"]);
    let folder = place.path().join("ours");
    let settings = fs::read_to_string(folder.join("program.toml")).unwrap();
    let settings = settings.replace("# valid-for = \"2 years\"", "valid-for = \"2 years\"");
    write(&folder, "program.toml", settings + "\n[letters]\nsubject = \"{title}\"\n");
    write(
        &folder,
        "people/answers.csv",
        "evento,nombre,guia-largo,avisar,vuelta-tiempo,revisar-animal,su-plan\n\
         campamento-norte,Ana Ruiz,10 pies,\"La ruta, Quién va con usted\",3 horas,\"cascos, lomo\",Avisar\n\
         campamento-norte,Søren O'Malley,20 pies,La ruta,9 días,los ojos y la cola,\n\
         campamento-norte,Mei Tanaka,A,,5 flurbos,\"nada\",Nada\n",
    );
    (place, folder)
}

/// The name of a sheet, and its rows.
type NamedSheet = (String, Vec<Vec<String>>);

/// Every table below `out`, by its path: sheet by sheet its name and rows.
fn tables(out: &Path) -> BTreeMap<String, Vec<NamedSheet>> {
    let files = walkdir::WalkDir::new(out).into_iter().map(Result::unwrap);
    let mut found = BTreeMap::new();
    for entry in files.filter(|entry| entry.file_type().is_file()) {
        let name = entry.path().strip_prefix(out).unwrap().to_str().unwrap().to_owned();
        let bytes = fs::read(entry.path()).unwrap();
        if name.ends_with(".csv") {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap();
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
            let rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect());
            found.insert(name, vec![(String::new(), rows.collect())]);
        } else if name.ends_with(".xlsx") {
            let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
            let cell = |cell: &Data| if let Data::String(text) = cell { text.clone() } else { String::new() };
            let sheets = book.worksheets().into_iter();
            let sheets = sheets.map(|(name, sheet)| {
                (name, sheet.rows().map(|row| row.iter().map(cell).collect()).collect())
            });
            found.insert(name, sheets.collect());
        }
    }
    found
}

/// The words of a table of the theme's, without those in braces.
fn words(of: &Value) -> BTreeSet<String> {
    let Value::Object(table) = of else { return BTreeSet::new() };
    let text =
        |word: &Value| word.as_str().map(|word| word.split('{').next().unwrap_or_default().trim().to_owned());
    table.values().filter_map(text).filter(|word| !word.is_empty()).collect()
}

/// Words that the English theme has for tables and the Spanish one has not.
fn english() -> BTreeSet<String> {
    let all = |language: &str| {
        let theme = Words::default().of(language);
        let groups = ["sheets", "headings", "mail", "cells"].map(|group| words(&theme["tables"][group]));
        let mut all: BTreeSet<String> = groups.into_iter().flatten().collect();
        all.extend(words(&theme["scoring-sheet"]["reasons"]));
        all.extend(
            ["decision", "mark", "answer", "reason", "verdict"]
                .map(str::to_owned)
                .into_iter()
                .filter(|_| language == "en"),
        );
        all
    };
    all("en").difference(&all("es")).cloned().collect()
}

#[test]
fn all_tables_are_in_the_language_of_the_program_and_are_read_back() {
    let (_place, folder) = laid_out();
    run(&folder, &["proofread", "--no-layout"]);
    run(&folder, &["make"]);
    let out = folder.join("out");
    let tables = tables(&out);
    for part in [
        "attendance.csv",
        "attendance.xlsx",
        "tally.csv",
        "tally.xlsx",
        "orders.csv",
        "orders.xlsx",
        "welcome-list.csv",
        "mail/packing-list.csv",
        "scores.csv",
        "renewals.csv",
        "renewals.xlsx",
        "letters/campamento-norte.csv",
        "season-report.xlsx",
    ] {
        assert!(tables.contains_key(&format!("private/{part}")), "{part}: {:?}", tables.keys());
    }
    assert!(tables.contains_key("open/season-summary.xlsx"), "{:?}", tables.keys());
    let english = english();
    assert!(english.len() > 100 && english.contains("Companion") && english.contains("yes"));
    for (file, sheets) in &tables {
        for (name, rows) in sheets {
            assert!(!english.contains(name), "{file}: the sheet {name}");
            for cell in rows.iter().flatten() {
                let is_english = english.contains(cell)
                    || english.iter().any(|it| it.len() > 14 && cell.starts_with(it.as_str()));
                assert!(!is_english, "{file}, {name}: {cell}");
            }
        }
    }
    // The decision is written in the program's words, under the heading that stands there.
    let scores = &tables["private/scores.csv"][0].1;
    assert_eq!(scores[0][..3], ["evento", "nombre", "correo electrónico"]);
    let decision = scores[0].iter().position(|heading| heading == "decisión").unwrap();
    let reasons = scores[0].iter().position(|heading| heading == "razón").unwrap();
    let reason = scores.iter().find(|row| row[4] == "5 flurbos").map(|row| row[reasons].as_str()).unwrap();
    assert_eq!(reason, "packstring no conoce la unidad “flurbo”. El dato es unas tres horas.");
    let mut rows = scores.clone();
    rows.iter_mut()
        .filter(|row| row[3] == "su-plan" && row[1] == "Mei Tanaka")
        .for_each(|row| row[decision] = "incorrecta".into());
    rows.iter_mut()
        .filter(|row| row[3] == "su-plan" && row[1] == "Ana Ruiz")
        .for_each(|row| row[decision] = "Correcto.".into());
    let mut writer = csv::Writer::from_path(out.join("private/scores.csv")).unwrap();
    rows.iter().for_each(|row| writer.write_record(row).unwrap());
    writer.flush().unwrap();
    drop(writer);
    let told = run(&folder, &["make", "--pieces", "scores"]);
    assert!(!told.contains("neither"), "{told}");
    let text = fs::read_to_string(out.join("private/scores.csv")).unwrap();
    assert!(text.contains(",incorrecta,") && text.contains(",Correcto.,"), "{text}");
    // A list that packstring has written may be the roster of another run.
    let attendance = fs::read(out.join("private/attendance.csv")).unwrap();
    write(&folder, "people/roster.csv", attendance);
    let people = open(&folder).people.roster.rows.clone();
    assert_eq!(people.len(), 4);
    assert_eq!(people[0].companion.as_deref(), Some("Galleta"));
    assert_eq!(people.iter().filter(|row| row.attended).count(), 3);
    assert_eq!(people.iter().filter(|row| row.passed == Some(true)).count(), 2);
}

/// A value may be in English, as its source has it: what is printed is in the language of the program.
#[test]
fn a_spanish_program_prints_no_english_of_its_facts() {
    let (_place, folder) = laid_out();
    let facts = fs::read_to_string(folder.join("facts.toml")).unwrap();
    let own = "[agua]\nvalue = \"15 gallons a day\"\nlimit = \"como mínimo\"\ncalled = [\"agua al sol\"]\n\
               source = \"Norma 2.2\"\nread = \"según lo cita la ciudad de Enebro\"\n\
               as-of = 2026-03-01\nreview-by = 2027-03-01\n\n[agua-de-tres-horas]\n\
               worked-from = \"3 * 1 hour\"\n\n[margen-de-luz]";
    write(&folder, "facts.toml", facts.replace("[margen-de-luz]", own));
    let lesson = fs::read_to_string(folder.join("lessons/antes-de-salir.md")).unwrap();
    let more = "\n\nAl sol bebe […](fact:agua).\n\nAl sol bebe como mínimo […](fact:agua).\n\nCada […](fact:agua-de-tres-horas).\n";
    write(&folder, "lessons/antes-de-salir.md", lesson + more);
    run(&folder, &["proofread", "--no-layout"]);
    run(&folder, &["make", "--pieces", "site"]);
    let page = |name: &str| {
        let page = fs::read_to_string(folder.join("out/open/site").join(name)).unwrap();
        page.replace('\u{a0}', " ")
    };
    let (lesson, facts) = (page("lessons/antes-de-salir.html"), page("facts.html"));
    assert!(
        lesson.contains(">como mínimo 15 galones al día<") && lesson.contains(">15 galones al día<"),
        "{lesson}"
    );
    assert!(facts.contains("según lo cita la ciudad de Enebro"), "{facts}");
    for english in ["gallon", "hours", "3 hour", "a day", "about", "at least", "quoted", "como mínimo como"]
    {
        assert!(!lesson.contains(english) && !facts.contains(english), "{english}");
    }
}

/// Words that people write in the cells of a Spanish list. Common usage, no source.
#[test]
fn a_spanish_roster_is_read_as_it_is_written() {
    let (_place, folder) = laid_out();
    let settings = fs::read_to_string(folder.join("program.toml")).unwrap();
    write(&folder, "program.toml", settings.replace("es-MX", "es-US"));
    for (came, passed, is_credited) in [
        ("asistió", "aprobado", true),
        ("Presente", "Apta", true),
        ("vino", "Aprobó", true),
        ("sí", "reprobada", false),
        ("sí", "No apto", false),
        ("faltó", "no aprobó", false),
    ] {
        let roster =
            format!("evento,nombre,asistió,aprobó,talla\ncampamento-norte,Ana Ruiz,{came},{passed},G\n");
        write(&folder, "people/roster.csv", roster);
        let (said, code) = folders::run(&folder, ["proofread", "--no-layout"]);
        assert!(!said.contains("value-unfit") && code == 0, "{came}, {passed}: {said}");
        let (said, _) = folders::run(&folder, ["tally", "--as", "json"]);
        assert_eq!(said.contains("\"G\""), is_credited, "{came}, {passed}: {said}");
        assert!(!said.contains("\"L\""), "{said}");
    }
}

#[test]
fn a_word_for_a_limit_that_is_nearly_right_is_offered_in_its_language() {
    let (_place, folder) = laid_out();
    let facts = fs::read_to_string(folder.join("facts.toml")).unwrap();
    write(&folder, "facts.toml", facts.replace("limit = \"como mínimo\"", "limit = \"mínimo\""));
    let (said, code) = folders::run(&folder, ["proofread", "--no-layout"]);
    assert!(code != 0 && said.contains("Did you mean “como mínimo”?"), "{said}");
}

//! What changed since an earlier making, held against its promises: every changed sentence is told and nothing else,
//! the season's name and pages that moved make nothing stale, and what cannot be compared is told in words.
//!
//! No source outside: these are packstring's own promises.

use crate::folders::{self, copy, write};
use crate::proof::root;
use crate::schema::assert_follows_published;
use packstring::job::{Make, Piece, Shelf};
use packstring::people::scoring::Scores;
use packstring::pieces::{self, Selection};
use packstring::session::{Environment, Session, open_press};
use packstring::understand::Understood;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

struct Copy {
    folder: tempfile::TempDir,
}

impl Copy {
    fn of(program: &str) -> Self {
        let here = Self { folder: tempfile::tempdir().unwrap() };
        copy(&root().join(program), here.path());
        here
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn run(&self, arguments: &str) -> (String, i32) {
        folders::run(self.path(), arguments.split(' '))
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path().join(file)).unwrap();
        assert!(text.contains(from), "{file} has {from}");
        write(self.path(), file, text.replacen(from, to, 1));
    }

    fn since(&self, old: &str) -> Value {
        let (told, _) = self.run(&format!("since {old} --as json"));
        let told = serde_json::from_str(&told).unwrap_or_else(|_| panic!("{told}"));
        assert_follows_published("since.schema.json", &told);
        told
    }
}

/// Made, and kept under a name.
fn kept() -> Copy {
    let here = Copy::of("tests/proof/sound");
    let (told, code) = here.run("make --keep-record first");
    assert!(code == 0 && told.contains("Kept what is printed in"), "{told}");
    here
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

/// What some pieces of a program say on their pages, by path.
fn pages(folder: &Path, pieces: &[Piece]) -> BTreeMap<String, Vec<String>> {
    let program = folders::open(folder);
    let press = open_press(&program).unwrap();
    let selection =
        Selection { pieces: pieces.to_vec(), words: press.words().clone(), ..Selection::default() };
    let jobs = pieces::plan(&Understood::new(&program), &Scores::default(), &selection);
    let mut pages = BTreeMap::new();
    for job in jobs.iter().filter(|job| matches!(job.make, Make::Sheet(_)) && job.shelf == Shelf::Open) {
        let made = press.make(&press.plan(job), &|_| true, &mut |made| {
            pages.insert(job.path.clone(), made.words.to_vec());
            Ok(())
        });
        made.unwrap();
    }
    pages
}

/// Letters alone, so that it does not matter where lines break.
fn letters(words: &str) -> String {
    words.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The cells of a row, or a sentence by itself. A count is printed without its name, a day in words.
fn cells(words: &str) -> Vec<&str> {
    let is_day = |cell: &&str| cell.parse::<jiff::civil::Date>().is_ok();
    let plain = |cell: &'_ str| -> usize {
        let number = cell.rsplit_once(' ').filter(|(name, _)| ["count", "minutes"].contains(name));
        number.filter(|(_, number)| number.parse::<u32>().is_ok()).map_or(0, |(name, _)| name.len() + 1)
    };
    words.split(" | ").filter(|cell| !is_day(cell)).map(|cell| &cell[plain(cell)..]).collect()
}

/// Letters of pages without some sentences, and without digits by then: those of pages move.
fn without(page: &str, sentences: &[&str]) -> String {
    let mut cells: Vec<String> = sentences.iter().flat_map(|it| cells(it)).map(letters).collect();
    cells.retain(|cell| !cell.is_empty());
    cells.sort_by_key(|cell| std::cmp::Reverse(cell.len()));
    let left = cells.iter().fold(page.to_owned(), |page, cell| page.replace(cell.as_str(), ""));
    left.chars().filter(|letter| !letter.is_ascii_digit()).collect()
}

/// On a copy of the demo five facts, two lessons and an event are changed. What is told is held against the pages of
/// both, which are laid out for it.
#[test]
fn every_changed_sentence_of_the_demo_is_told_and_nothing_else() {
    const PIECES: [Piece; 3] = [Piece::Handout, Piece::Leaflet, Piece::KitSheets];
    let here = Copy::of("content");
    let (told, _) = here.run("make --pieces handouts,leaflet,kit-sheets");
    assert!(told.contains("Handouts 22"), "{told}");
    let before = pages(here.path(), &PIECES);
    fs::rename(here.path().join("out"), here.path().join("old")).unwrap();

    here.change("facts.toml", "value = \"12 animals\"", "value = \"10 animals\"");
    here.change("facts.toml", "value = \"3 hours\"", "value = \"5 hours\"");
    here.change("facts.toml", "value = \"10 miles\"", "value = \"12 miles\"");
    here.change("facts.toml", "[lead-length]\nvalue = \"6 ft\"", "[lead-length]\nvalue = \"5 ft\"");
    here.change("facts.toml", "[[77, 125], [86, 135]", "[[77, 125], [86, 136]");
    here.change("lessons/wildlife.md", "you are near enough.", "you are near enough, and you stop there.");
    here.change(
        "lessons/giving-back.md",
        "A ranger leads each day and",
        "A ranger or a crew boss leads each day and",
    );
    here.change("program.toml", "place = \"Old Tannery barn\"", "place = \"Old Tannery stable\"");
    here.run("restate --save");

    let told = here.since("old");
    let after = pages(here.path(), &PIECES);
    assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
    let mut stale = 0;
    for (path, old) in &before {
        let (old, new) = (letters(&old.join("\n")), letters(&after[path].join("\n")));
        let is_here =
            |change: &&Value| list(&change["stands"]).iter().any(|stands| text(&stands["path"]) == path);
        let changes: Vec<&Value> = list(&told["changes"]).iter().filter(is_here).collect();
        let verdict = list(&told["pieces"])
            .iter()
            .find(|piece| text(&piece["path"]) == path)
            .map(|it| text(&it["verdict"]));
        if without(&old, &[]) == without(&new, &[]) {
            // What is told all the same differs in digits alone: a value of a table.
            let is_of_digits = |change: &&&Value| {
                without(&letters(text(&change["was"])), &[]) == without(&letters(text(&change["now"])), &[])
            };
            assert_eq!(changes.iter().filter(is_of_digits).count(), changes.len(), "{path}: {changes:#?}");
            assert_eq!(verdict == Some("good"), changes.is_empty(), "{path}: {changes:#?}");
            continue;
        }
        stale += 1;
        assert_ne!(verdict, Some("good"), "{path} is another");
        // What stood there is gone, and what is told for it has come.
        for change in &changes {
            for cell in cells(text(&change["was"])) {
                assert!(old.contains(&letters(cell)), "{path} said {cell}");
            }
            for cell in cells(text(&change["now"])) {
                assert!(new.contains(&letters(cell)), "{path} says {cell}");
            }
        }
        // Without what is told both say the same.
        let told = |key: &str| -> Vec<&str> { changes.iter().map(|change| text(&change[key])).collect() };
        assert_eq!(without(&old, &told("was")), without(&new, &told("now")), "{path}: {changes:#?}");
    }
    assert!(stale >= 8, "{stale} files are stale");

    let asked: Vec<&str> = list(&told["facts"])
        .iter()
        .filter(|fact| fact["asked"] == true)
        .map(|fact| text(&fact["name"]))
        .collect();
    assert_eq!(
        asked,
        ["ground-heat", "lead-length", "overdue-wait", "group-size", "rim-loop"],
        "none was re-dated"
    );
    let levels = |level: &str| list(&told["changes"]).iter().filter(|it| it["level"] == level).count();
    assert!(levels("safety") > 0 && levels("figure") > 0 && levels("words") > 0, "{told:#}");
    let first = text(&list(&told["pieces"])[0]["verdict"]);
    assert_eq!(first, "reprint-safety", "the dangerous first");
    let again: Vec<&str> = list(&told["translate_again"]).iter().map(|it| text(&it["text"])).collect();
    assert_eq!(again, ["lessons/giving-back", "lessons/wildlife"]);

    // Nothing personal is in the record.
    let record = fs::read_to_string(here.path().join("old/printed.json")).unwrap();
    let roster = fs::read_to_string(root().join("content/people/roster.csv")).unwrap();
    let rows = roster.lines().skip(1).filter_map(|row| row.split(',').find(|cell| cell.contains('@')));
    let mut people = 0;
    for email in rows {
        people += 1;
        assert!(!record.contains(email), "{email}");
    }
    assert!(people > 5, "the roster has addresses");
    assert!(record.len() < 900_000, "{} bytes", record.len());
}

#[test]
fn a_new_seasons_name_alone_leaves_all_good() {
    let here = kept();
    here.change("program.toml", "season = \"2026\"", "season = \"2027\"");
    let (told, code) = here.run("since first");
    assert!(told.contains("All printed pieces are still good."), "{told}");
    assert!(told.contains("The season was 2026 and is 2027:") && code == 0, "{code}: {told}");
    let told = here.since("first");
    assert!(told["only_season"].as_u64() > Some(0) && list(&told["changes"]).is_empty(), "{told:#}");
}

#[test]
fn a_record_is_the_same_each_time_and_follows_its_schema() {
    let here = kept();
    let record = fs::read(here.path().join("records/editions/first.json")).unwrap();
    assert_eq!(record, fs::read(here.path().join("out/printed.json")).unwrap());
    assert_follows_published("print-record.schema.json", &serde_json::from_slice(&record).unwrap());
    assert_eq!(here.run("since first").1, 0);
    assert_eq!(here.run("since out").1, 0, "an out folder is compared with as well");
    assert_eq!(here.run("since out/made.json").1, 0);
    fs::remove_dir_all(here.path().join("out")).unwrap();
    here.run("make --keep-record second");
    assert_eq!(record, fs::read(here.path().join("records/editions/second.json")).unwrap());
    // Where the record was lost, the next making writes it again.
    fs::remove_file(here.path().join("out/printed.json")).unwrap();
    here.run("make");
    assert_eq!(record, fs::read(here.path().join("out/printed.json")).unwrap());
    // A making of some pieces leaves what is recorded of the others.
    here.run("make --pieces handouts");
    let after: Value =
        serde_json::from_slice(&fs::read(here.path().join("out/printed.json")).unwrap()).unwrap();
    let before: Value = serde_json::from_slice(&record).unwrap();
    let count = |record: &Value| list(&record["editions"][0]["pieces"]).len();
    assert_eq!(count(&after), count(&before));
    assert_eq!(here.run("since out").1, 0);
}

#[test]
fn pages_that_only_moved_make_nothing_stale() {
    let here = kept();
    // The same words on other paper.
    let program = fs::read_to_string(here.path().join("program.toml")).unwrap();
    let paper = if program.contains("paper = \"letter\"") {
        ("\"letter\"", "\"a4\"")
    } else {
        ("season =", "paper = \"a4\"\nseason =")
    };
    here.change("program.toml", paper.0, paper.1);
    here.run("make");
    let told = here.since("first");
    assert!(list(&told["changes"]).is_empty(), "{told:#}");
    assert!(list(&told["pieces"]).iter().all(|piece| piece["verdict"] == "good"), "{told:#}");
}

#[test]
fn a_changed_fact_that_nobody_restated_is_told() {
    let here = kept();
    here.change("facts.toml", "value = \"6 ft\"", "value = \"4 ft\"");
    let (told, code) = here.run("since first");
    for words in [
        "Reprint, safety: a safety fact changed",
        "Says still     Tie with at most six feet of lead rope.",
        "lead-length: was at most 6 ft, now at most 4 ft",
        "`packstring restate --save` writes the new figure",
        "Is this right? The value changed, but its source",
    ] {
        assert!(told.contains(words), "{words} in {told}");
    }
    assert_eq!(code, 1);
}

#[test]
fn old_question_sheets_are_held_against_the_new_key() {
    let here = kept();
    here.change("questions.toml", "choices = [\"6 feet\", \"10 feet\"", "choices = [\"10 feet\", \"6 feet\"");
    let (told, code) = here.run("since first");
    assert!(told.contains("Answer keys: old question sheets no longer fit the new key"), "{told}");
    assert!(told.contains("the choices changed") && code == 1, "{told}");
    let changes: Vec<String> =
        list(&here.since("first")["answers"]).iter().map(|it| text(&it["change"]).to_owned()).collect();
    assert_eq!(changes, ["choices"]);
}

#[test]
fn the_office_gets_a_workbook_and_a_list_to_print() {
    let here = kept();
    here.change("lessons/ropes.md", "never wrapped", "never wrapped around a hand");
    let (told, code) = here.run("since first --to list.xlsx --to list.pdf");
    assert!(told.contains("Written to list.pdf.") && code == 1, "{told}");
    let begins = |file: &str, with: &[u8]| fs::read(here.path().join(file)).unwrap().starts_with(with);
    assert!(begins("list.xlsx", b"PK") && begins("list.pdf", b"%PDF-"));
    let (told, code) = here.run("since first --to list.txt");
    assert!(told.contains("ends in .xlsx, for a spreadsheet, or in .pdf, to print") && code == 2, "{told}");
}

/// What errata of a program say on their pages, by path.
fn errata(folder: &Path, since: &str) -> BTreeMap<String, Vec<String>> {
    let environment = Environment {
        today: jiff::civil::date(2026, 6, 1),
        folder: folder.to_owned(),
        terminal: false,
        keys: None,
    };
    let mut session = Session::open(Some(folder), None, &environment).unwrap();
    let press = open_press(session.program()).unwrap();
    let words = press.words().clone();
    let asked = Selection { pieces: vec![Piece::Errata], words, ..Selection::default() };
    let selection = session.with_since(asked, since).unwrap();
    let jobs = pieces::plan(&Understood::new(session.program()), &Scores::default(), &selection);
    let mut pages = BTreeMap::new();
    for job in &jobs {
        assert_eq!((job.piece, job.shelf), (Piece::Errata, Shelf::Open));
        let made = press.make(&press.plan(job), &|_| true, &mut |made| {
            pages.insert(job.path.clone(), made.words.to_vec());
            Ok(())
        });
        assert!(made.unwrap().is_empty(), "{}", job.path);
    }
    pages
}

#[test]
fn printed_pieces_are_put_right_with_slips_and_stickers() {
    let here = kept();
    let (told, code) = here.run("make --pieces errata");
    assert!(told.contains("Say which earlier making with --since") && code == 2, "{told}");
    let (told, code) = here.run("make --pieces handbook --since first");
    assert!(told.contains("write --pieces errata too") && code == 2, "{told}");
    let (told, code) = here.run("make --pieces errata --since first");
    assert!(told.contains("Errata: none made. Nothing on the open shelf") && code == 0, "{told}");

    here.change("facts.toml", "value = \"6 ft\"", "value = \"4 ft\"");
    here.change("facts.toml", "as-of = 2026-03-01", "as-of = 2026-05-02");
    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    here.change("questions.toml", "choices = [\"6 feet\"", "choices = [\"4 feet\"");
    // Words alone mislead nobody.
    here.change("lessons/ropes.md", "never wrapped", "never wrapped around a hand");
    let (told, code) = here.run("make --pieces errata --since first");
    assert!(told.contains("sentences say still what the facts no longer say") && code == 2, "{told}");
    assert!(!here.path().join("out/open/errata").exists(), "{told}");

    let (told, _) = here.run("restate --save");
    let (made, code) = here.run("make --pieces errata --since first");
    assert!(made.contains("Errata ") && code == 0, "{told} {made}");
    let pages = errata(here.path(), "first");
    let names: Vec<&str> = pages.keys().map(String::as_str).collect();
    for name in &names {
        assert!(here.path().join("out/open").join(name).is_file(), "{name}: {made}");
    }
    assert!(
        names.contains(&"errata/handbook-slips.pdf") && names.contains(&"errata/handbook-stickers.pdf"),
        "{names:?}"
    );
    assert!(names.iter().all(|name| !name.contains("deck") && !name.contains("answer")), "{names:?}");
    let slips = pages["errata/handbook-slips.pdf"].concat();
    let in_order = [
        "atmostsixfeetofleadrope",
        "atmostfourfeetofleadrope",
        "districtrule42",
        "atleast200feet",
        "atleast300feet",
    ];
    let mut from = 0;
    for words in in_order {
        let slips = letters(&slips);
        let at = slips[from..].find(words).unwrap_or_else(|| panic!("{words} in its place in {slips}"));
        from += at + words.len();
    }
    assert!(slips.contains("2026") && !letters(&slips).contains("aroundahand"), "{slips}");
    assert!(letters(&slips).matches("atmostfourfeetofleadrope").count() > 1, "several on a sheet: {slips}");
    let stickers = letters(&pages["errata/handbook-stickers.pdf"].concat());
    assert!(stickers.contains("atmostfourfeetofleadrope") && !stickers.contains("atmostsix"), "{stickers}");

    // They stay until they are made again, and are no print to compare with.
    here.run("make");
    assert!(here.path().join("out/open/errata/handbook-slips.pdf").is_file());
    let told = here.since("first");
    assert!(list(&told["pieces"]).iter().all(|piece| !text(&piece["path"]).contains("errata")), "{told:#}");
    here.change("lessons/ropes.md", "never wrapped around a hand", "never wrapped");
    here.run("make --pieces errata --since out");
    assert!(
        !here.path().join("out/open/errata/handbook-slips.pdf").exists(),
        "nothing is to be put right since then"
    );
}

#[test]
fn what_cannot_be_compared_with_is_told_in_words() {
    let here = kept();
    let other = Copy::of("tests/proof/sound");
    other.change("program.toml", "name = \"Lake Riders\"", "name = \"Shore Walkers\"");
    other.run("make --pieces handouts");
    let elsewhere = other.path().join("out").to_str().unwrap().to_owned();
    fs::create_dir(here.path().join("empty")).unwrap();
    fs::create_dir(here.path().join("older")).unwrap();
    write(here.path(), "older/made.json", "{\"format\": 1}");
    write(here.path(), "notes.json", "{\"format\": 1}");
    write(here.path(), "newer.json", "{\"format\": 9, \"season\": \"2030\", \"editions\": []}");
    for (old, words) in [
        ("second", "is no folder, no file, and no record in"),
        ("second", "Kept are: first."),
        ("empty", "is no out folder: there is no made.json in it"),
        ("older/made.json", "an older packstring made them, which did not note what it printed"),
        ("notes.json", "is no record of what was printed, or it is damaged"),
        ("newer.json", "was written by a newer packstring (form 9)"),
        (
            &*elsewhere,
            "This is a record of another program: “Shore Walkers”, and this program is “Lake Riders”",
        ),
    ] {
        let (told, code) = here.run(&format!("since {old}"));
        assert!(told.contains(words) && code == 2, "{old}: {told}");
    }
    let (told, code) = here.run("make --keep-record first");
    assert!(told.contains("is already there and says something else") && code == 2, "{told}");
    let (told, code) = here.run("make --keep-record ../first");
    assert!(told.contains("cannot be the name of a record") && code == 2, "{told}");
}

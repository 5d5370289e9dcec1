//! Rosters as they come: each is read right, or told before anybody is credited. Common practice of forms and
//! spreadsheets, no source; all names are invented.

use crate::folders::copy;
use packstring::program::register;
use std::collections::BTreeSet;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

/// A program with such people files, and nothing else about people.
struct Trial {
    folder: tempfile::TempDir,
}

impl Trial {
    fn new(settings: &str, files: &[(&str, &[u8])]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
        fs::remove_file(folder.path().join("people/roster.csv")).unwrap();
        for (file, bytes) in files {
            let path = folder.path().join("people").join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
        let mut program =
            fs::OpenOptions::new().append(true).open(folder.path().join("program.toml")).unwrap();
        write!(program, "{settings}").unwrap();
        Self { folder }
    }

    fn run(&self, arguments: &[&str]) -> (Option<i32>, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
        command.current_dir(self.folder.path()).env("PACKSTRING_KEYS", self.folder.path().join("keys"));
        let output = command.args(arguments).output().unwrap();
        let said =
            format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        (output.status.code(), said)
    }

    /// Who would be credited, and the rules that proofreading tells of.
    fn credit(&self) -> (String, BTreeSet<String>) {
        let (_, said) = self.run(&["make", "--dry-run", "--pieces", "certificates"]);
        assert!(!self.folder.path().join(register::FILE).exists());
        let line = said.lines().find(|line| line.starts_with("Would credit")).unwrap_or_default();
        let names = line.split_once(": ").map_or("", |(_, names)| names.strip_suffix('.').unwrap_or(names));
        let (_, told) = self.run(&["proofread", "--no-layout"]);
        let rules = told.lines().filter_map(|line| line.trim().strip_prefix("Rule "));
        (names.to_owned(), rules.map(|rule| rule.split_whitespace().next().unwrap().to_owned()).collect())
    }
}

fn of_roster(settings: &str, roster: &str) -> (String, BTreeSet<String>) {
    Trial::new(settings, &[("roster.csv", roster.as_bytes())]).credit()
}

#[test]
fn each_odd_heading_is_read_right_or_told_before_anybody_is_credited() {
    for (settings, roster, credited, rule) in [
        // Two columns for one field.
        ("", "event,name,Attended,Attended?,passed\nspring,Ann Lee,yes,no,yes\n", "", "heading-rival"),
        ("", "event,name,attended,attended,passed\nspring,Ann Lee,yes,no,yes\n", "", "heading-rival"),
        ("", "event,name,attended,Checked in,passed\nspring,Ann Lee,,yes,yes\n", "", "heading-rival"),
        ("", "event,name,Attended,Attended?,passed\nspring,Ann Lee,yes,yes,yes\n", "Ann Lee", ""),
        // Another name of the person.
        (
            "",
            "event,Name,First name,Last name,attended,passed\nspring,Mary Lee,Ann,Lee,yes,yes\n",
            "",
            "heading-rival",
        ),
        (
            "",
            "event,name,Name on certificate,attended,passed\nspring,Ann Lee,Ann M. Lee,yes,yes\n",
            "",
            "heading-rival",
        ),
        (
            "",
            "event,name,Preferred name,attended,passed\nspring,Ann Lee,Annie Lee,yes,yes\n",
            "",
            "heading-rival",
        ),
        (
            "",
            "event,name,Child's name,attended,passed\nspring,Mary Lee,Ann Lee,yes,yes\n",
            "",
            "heading-rival",
        ),
        (
            "",
            "event,First name,Middle name,Last name,attended,passed\nspring,Ann,May,Lee,yes,yes\n",
            "",
            "heading-rival",
        ),
        ("", "event,First name,MI,Last name,attended,passed\nspring,Ann,,Lee,yes,yes\n", "Ann Lee", ""),
        (
            "",
            "event,Title,First name,Last name,attended,passed\nspring,Dr.,Ann,Lee,yes,yes\n",
            "Ann Lee",
            "heading-rival",
        ),
        (
            "[roster.headings]\nname = [\"First name\", \"Middle name\", \"Last name\"]\n",
            "event,First name,Middle name,Last name,attended,passed\nspring,Ann,May,Lee,yes,yes\n",
            "Ann May Lee",
            "",
        ),
        (
            "",
            "event,First name,Last name,Suffix,attended,passed\nspring,Ann,Lee,Jr.,yes,yes\n",
            "Ann Lee Jr.",
            "",
        ),
        // Names of others are nobody's own.
        (
            "",
            "event,name,Parent name,Emergency contact name,attended,passed\nspring,Ann Lee,Mary Lee,Bo Lee,yes,yes\n",
            "Ann Lee",
            "",
        ),
        // Several people in a row.
        ("", "event,name,Participant 2,attended,passed\nspring,Ann Lee,Bo Ray,yes,yes\n", "", "name-several"),
        (
            "",
            "event,name,Participant 2 First Name,Participant 2 Last Name,attended,passed\nspring,Ann Lee,Bo,Ray,yes,yes\n",
            "",
            "name-several",
        ),
        (
            "",
            "event,name,Guest names,attended,passed\nspring,Ann Lee,\"Bo Ray, Cy Poe\",yes,yes\n",
            "",
            "name-several",
        ),
        ("", "event,name,Guest names,attended,passed\nspring,Ann Lee,none,yes,yes\n", "Ann Lee", ""),
        (
            "",
            "event,name,Number of guests,attended,passed\nspring,Ann Lee,2,yes,yes\n",
            "Ann Lee",
            "name-several",
        ),
        (
            "",
            "event,name,companion,Companion 2,attended,passed\nspring,Ann Lee,Bess,Rex,yes,yes\n",
            "",
            "name-several",
        ),
        // Headings that are near one of ours and mean something else.
        (
            "",
            "event,name,attended,passed,Status,Stage,Sizes\nspring,Ann Lee,yes,yes,ok,1,M\n",
            "Ann Lee",
            "heading-unknown",
        ),
    ] {
        let (names, rules) = of_roster(settings, roster);
        assert_eq!(names, credited, "{roster}");
        assert!(
            rule.is_empty() && !rules.contains("heading-rival") || rules.contains(rule),
            "{rules:?}\n{roster}"
        );
    }
}

#[test]
fn a_rival_is_told_with_both_lines_that_settle_it() {
    let roster = "event,Name,First name,Last name,attended,passed\nspring,Mary Lee,Ann,Lee,yes,yes\n";
    let (_, said) = Trial::new("", &[("roster.csv", roster.as_bytes())]).run(&["proofread", "--no-layout"]);
    assert!(said.contains("name = \"Name\", or name = [\"First name\", \"Last name\"]"), "{said}");
    let settled = of_roster("[roster.headings]\nname = [\"First name\", \"Last name\"]\n", roster);
    assert_eq!(settled.0, "Ann Lee");
}

#[test]
fn each_cell_that_is_no_name_of_one_person_holds_its_row() {
    for (name, rule) in [
        ("Total", "name-none"),
        ("N/A", "name-none"),
        ("-", "name-none"),
        ("12345", "name-none"),
        ("Count: 12", "name-none"),
        ("x", "name-none"),
        ("#REF!", "name-none"),
        ("Ann and Bo Lee", "name-several"),
        ("Ann Lee; Bo Ray", "name-several"),
        ("Ann Lee +1", "name-several"),
        ("Ann Lee (2)", "name-several"),
        ("The Lee family", "name-several"),
        ("La familia Lee", "name-several"),
        ("Lee family of 4", "name-several"),
        ("Ann Lee con Bo Ray", "name-several"),
        ("Total general", "name-none"),
        ("Participantes: 12", "name-none"),
        ("Nombre", "name-none"),
        ("Anónimo", "name-none"),
        ("Invitado", "name-none"),
        ("Somme", "name-none"),
        ("por confirmar", "name-none"),
        ("NO SHOW", "name-none"),
        ("Ann Lee (cancelled)", "name-miswritten"),
        ("Ann Lee NO SHOW", "name-miswritten"),
        ("1. Ann Lee", "name-miswritten"),
        ("<b>Ann</b>", "name-miswritten"),
        ("\"Lee, Ann\"", "name-miswritten"),
        ("Jos? Lee", "letters-garbled"),
        ("\"Ann Lee\nBo Ray\"", "name-several"),
        ("\"Ann\nBo\"", "name-miswritten"),
    ] {
        let roster = format!("event,name,attended,passed\nspring,Cy Poe,yes,yes\nspring,{name},yes,yes\n");
        let (names, rules) = of_roster("", &roster);
        assert_eq!((names.as_str(), rules.contains(rule)), ("Cy Poe", true), "{name}: {rules:?}");
    }
    let (names, rules) =
        of_roster("", "event,name,companion,attended,passed\nspring,Ann Lee,\"Bess\nRex\",yes,yes\n");
    assert_eq!((names.as_str(), rules.contains("name-miswritten")), ("", true), "{rules:?}");
}

#[test]
fn nothing_is_saved_over_lines_that_may_be_several_people() {
    let roster = "event,name,companion,attended,email\nspring,\"Ann\nBo\",\"Bess\nRex\",yes,\"a@b.example\nc@d.example\"\n";
    let trial = Trial::new("", &[("roster.csv", roster.as_bytes())]);
    trial.run(&["proofread", "--roster", "--save"]);
    assert_eq!(fs::read_to_string(trial.folder.path().join("people/roster.csv")).unwrap(), roster);
}

#[test]
fn a_file_that_nobody_reads_is_told() {
    let roster: &[u8] = b"event,name,attended,passed\nspring,Ann Lee,yes,yes\n";
    for (file, credited, rule) in [
        ("roster.csv", "Ann Lee", ""),
        ("Roster.CSV", "Ann Lee", ""),
        ("responses.csv", "", "people-file-unread"),
        ("roster (1).csv", "", "people-file-unread"),
        ("roster.numbers", "", "people-file-unread"),
        ("roster.xlsm", "", "people-file-unread"),
        ("roster", "", "people-file-unread"),
        ("Roster 2026.html", "", "people-file-unread"),
        ("2026/roster.csv", "", "people-file-unread"),
        ("notes.txt", "", ""),
        ("team.jpg", "", ""),
    ] {
        let (names, rules) = Trial::new("", &[(file, roster)]).credit();
        assert_eq!(
            (names.as_str(), rules.contains("people-file-unread")),
            (credited, !rule.is_empty()),
            "{file}"
        );
    }
    let both =
        Trial::new("", &[("roster.csv", roster), ("roster (1).csv", roster), ("2025/roster.csv", roster)]);
    let (names, rules) = both.credit();
    assert_eq!((names.as_str(), rules.contains("people-file-unread")), ("Ann Lee", true));
}

#[test]
fn where_nothing_says_who_passed_that_is_told() {
    let without = Trial::new("", &[("roster.csv", b"event,name,attended\nspring,Ann Lee,yes\n")]);
    assert!(without.credit().1.contains("passed-unsaid"));
    let empty = Trial::new("", &[("roster.csv", b"event,name,attended,passed\nspring,Ann Lee,yes,\n")]);
    assert!(empty.credit().1.contains("passed-unsaid"));
    fs::remove_file(without.folder.path().join("questions.toml")).unwrap();
    assert!(without.credit().1.contains("passed-unsaid"));
    let some = "event,name,attended,passed\nspring,Ann Lee,yes,\nspring,Bo Ray,yes,no\n";
    assert!(!of_roster("", some).1.contains("passed-unsaid"));
}

#[test]
fn yes_and_no_are_understood_as_people_write_them_and_else_asked() {
    // A row for each word: how many are credited, and which rules are told.
    let passed = |words: &[&str], settings: &str| {
        let mut roster = String::from("event,name,attended,passed\n");
        for (number, word) in words.iter().enumerate() {
            roster += &format!("spring,Rider Nr{number}x,{word},yes\n");
        }
        let (names, rules) = of_roster(settings, &roster);
        (names.split(", ").filter(|name| !name.is_empty()).count(), rules.contains("value-unfit"))
    };
    let yes = [
        "Yes",
        "yes.",
        "Y",
        "TRUE",
        "1",
        "1.0",
        "x",
        "✔\u{fe0f}",
        "✓",
        "present",
        "Sí",
        "verdadero",
        "ja",
        "oui",
        "да",
    ];
    assert_eq!(passed(&yes, ""), (yes.len(), false));
    let no =
        ["No", "No.", "FALSE", "0", "0.0", "-", "—", "absent", "no-show", "falso", "nein", "non", "нет", ""];
    assert_eq!(passed(&no, ""), (0, false));
    for word in ["maybe", "ok", "late", "vor Ort", "n/a", "2"] {
        assert_eq!(passed(&[word, "yes"], ""), (0, true), "{word}");
    }
    // A program's own words go before packstring's.
    let words = "[roster.words]\nyes = \"vor Ort\"\nno = [\"late\", \"x\"]\n";
    assert_eq!(passed(&["VOR ORT", "late", "x"], words), (1, false));
}

#[test]
fn utf_16_without_a_mark_is_read_in_any_script() {
    let names = ["José Núñez", "Иван Петров", "अनन्या जोशी", "محمد علي", "Zażółć Gęślą"];
    let roster: String = std::iter::once("event;name;attended;passed\r\n".to_owned())
        .chain(names.map(|name| format!("spring;{name};yes;yes\r\n")))
        .collect();
    let little: Vec<u8> = roster.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = roster.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for bytes in [little, big] {
        let (credited, rules) = Trial::new("", &[("roster.csv", &bytes)]).credit();
        assert_eq!(credited, names.join(", "));
        assert!(rules.contains("encoding-guessed"), "{rules:?}");
    }
}

// ---- workbooks ----

const HEADINGS: [&str; 5] = ["event", "name", "attended", "passed", "shoe"];

/// The parts of a workbook (ISO/IEC 29500), with these rows after its headings.
fn xlsx(rows: &str) -> Vec<u8> {
    let text = |words: &str| format!("<c t=\"inlineStr\"><is><t>{words}</t></is></c>");
    let headings: String = HEADINGS.iter().map(|heading| text(heading)).collect();
    packed(&[
        (
            "[Content_Types].xml",
            "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>",
        ),
        (
            "_rels/.rels",
            "<Relationships><Relationship Id=\"rId1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>",
        ),
        (
            "xl/workbook.xml",
            "<workbook xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\"><sheets><sheet name=\"Sheet1\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>",
        ),
        (
            "xl/_rels/workbook.xml.rels",
            "<Relationships><Relationship Id=\"rId1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>",
        ),
        (
            "xl/worksheets/sheet1.xml",
            &format!("<worksheet><sheetData><row r=\"1\">{headings}</row>{rows}</sheetData></worksheet>"),
        ),
    ])
}

/// The same as an open document (ISO/IEC 26300).
fn ods(rows: &str) -> Vec<u8> {
    let cell = |words: &str| {
        format!("<table:table-cell office:value-type=\"string\"><text:p>{words}</text:p></table:table-cell>")
    };
    let headings: String = HEADINGS.iter().map(|heading| cell(heading)).collect();
    packed(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("META-INF/manifest.xml", "<manifest:manifest/>"),
        (
            "content.xml",
            &format!(
                "<office:document-content><office:body><office:spreadsheet><table:table table:name=\"a\"><table:table-row>{headings}</table:table-row>{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
            ),
        ),
    ])
}

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

fn xlsx_row(attributes: &str, cells: &[&str]) -> String {
    let cell = |words: &&str| match words.strip_prefix('<') {
        Some(_) => (*words).to_owned(),
        None => format!("<c t=\"inlineStr\"><is><t>{words}</t></is></c>"),
    };
    format!("<row {attributes}>{}</row>", cells.iter().map(cell).collect::<String>())
}

fn ods_row(attributes: &str, cells: &[&str]) -> String {
    let cell = |words: &&str| match words.strip_prefix('<') {
        Some(_) => (*words).to_owned(),
        None => format!(
            "<table:table-cell office:value-type=\"string\"><text:p>{words}</text:p></table:table-cell>"
        ),
    };
    format!("<table:table-row {attributes}>{}</table:table-row>", cells.iter().map(cell).collect::<String>())
}

#[test]
fn a_formula_without_a_value_stops_what_needs_it_and_is_named() {
    let xlsx_formula = "<c><f>IF(B2=\"\",\"\",\"yes\")</f><v></v></c>";
    let ods_formula = "<table:table-cell table:formula=\"of:=1\"/>";
    let empty_text = "<c t=\"str\"><f>\"\"</f><v></v></c>";
    let in_xlsx = |cell: &str, column: usize| {
        let mut cells = ["spring", "Bo Ray", "yes", "yes", "9"];
        cells[column] = cell;
        xlsx(&(xlsx_row("r=\"2\"", &["spring", "Ann Lee", "yes", "yes"]) + &xlsx_row("r=\"3\"", &cells)))
    };
    for (column, shown) in [(1, "B3"), (2, "C3"), (3, "D3")] {
        let trial = Trial::new("", &[("roster.xlsx", &in_xlsx(xlsx_formula, column))]);
        let (names, rules) = trial.credit();
        assert_eq!((names.as_str(), rules.contains("formula-unworked")), ("", true), "{shown}: {rules:?}");
        assert!(
            trial
                .run(&["proofread", "--no-layout"])
                .1
                .contains(&format!("Cell {shown} has a formula but no value"))
        );
        // The deck needs no roster.
        let (_, said) = trial.run(&["make", "--dry-run", "--pieces", "deck"]);
        assert!(said.contains("Deck: would make"), "{said}");
    }
    // In a column that nobody reads it is a note, and a formula that gives an empty text has a value.
    let trial = Trial::new("", &[("roster.xlsx", &in_xlsx(xlsx_formula, 4))]);
    assert_eq!(trial.credit().0, "Ann Lee, Bo Ray");
    assert!(trial.run(&["proofread", "--no-layout"]).1.contains("formula-unworked (a note)"));
    let trial = Trial::new("", &[("roster.xlsx", &in_xlsx(empty_text, 2))]);
    assert_eq!(trial.credit(), ("Ann Lee".to_owned(), BTreeSet::new()));
    let rows = ods_row("", &["spring", "Ann Lee", "yes", "yes"])
        + &ods_row("", &["spring", "Bo Ray", ods_formula, "yes"]);
    for file in ["roster.ods", "ROSTER.ODS"] {
        let trial = Trial::new("", &[(file, &ods(&rows))]);
        assert!(trial.run(&["proofread", "--no-layout"]).1.contains("Cell C3 has a formula but no value"));
    }
}

#[test]
fn rows_that_a_filter_hides_are_read_told_and_not_credited() {
    let people = ["Ann Lee", "Bo Ray", "Cy Poe", "Di Roe"];
    let row = |write: fn(&str, &[&str]) -> String, hidden: &str, at: usize| {
        write(if at == 0 { "" } else { hidden }, &["spring", people[at], "yes", "yes"])
    };
    let all = |write: fn(&str, &[&str]) -> String, hidden: &str| -> String {
        (0..people.len()).map(|at| row(write, hidden, at)).collect()
    };
    for (file, bytes) in [
        ("roster.xlsx", xlsx(&all(xlsx_row, "hidden=\"1\""))),
        ("roster.ods", ods(&all(ods_row, "table:visibility=\"filter\""))),
        ("roster.ods", ods(&all(ods_row, "table:visibility=\"collapse\""))),
    ] {
        let trial = Trial::new("", &[(file, &bytes)]);
        let (names, rules) = trial.credit();
        assert_eq!((names.as_str(), rules.contains("rows-hidden")), ("Ann Lee", true), "{file}: {rules:?}");
        let (_, said) = trial.run(&["make", "--dry-run", "--pieces", "certificates"]);
        assert!(said.contains("3 rows are hidden, by a filter or by hand: 3 to 5."), "{said}");
        let (_, shown) = trial.run(&["proofread", "--roster"]);
        assert!(people.iter().all(|name| shown.contains(name)), "{shown}");
        let off = Trial::new("[proofread.rules]\nrows-hidden = \"off\"\n", &[(file, &bytes)]);
        assert_eq!(off.credit().0, people.join(", "));
    }
}

// ---- hours ----

fn tally(settings: &str, hours: &str) -> (Option<i32>, String) {
    let trial = Trial::new(
        settings,
        &[("roster.csv", b"event,name,attended,passed\n".as_slice()), ("hours.csv", hours.as_bytes())],
    );
    let (_, found) = trial.run(&["proofread", "--no-layout"]);
    let (code, said) = trial.run(&["tally"]);
    (code, said + &found)
}

#[test]
fn hours_are_read_exactly_or_asked_about() {
    for (written, hours) in [
        ("2h½", "2 h 30 min"),
        ("2h1/2", "2 h 30 min"),
        ("2 h 1/2", "2 h 30 min"),
        ("2h1/4", "2 h 15 min"),
        ("2 1/2", "2 h 30 min"),
        ("2.5", "2 h 30 min"),
        ("\"2,5\"", "2 h 30 min"),
        ("\"2,25\"", "2 h 15 min"),
        ("2.50", "2 h 30 min"),
        ("2:30", "2 h 30 min"),
    ] {
        let (_, said) = tally("", &format!("name,date,hours\nAnn Lee,2026-05-16,{written}\n"));
        assert!(said.contains(&format!("1 person logged {hours}")), "{written}: {said}");
    }
    for written in
        ["2.30", "\"2,30\"", "\"2,50\"", "\"2h,5\"", "2.15", "2.45", "2.30 h", "2-1/2", "9:00-11:30", "two"]
    {
        let (code, said) = tally("", &format!("name,date,hours\nAnn Lee,2026-05-16,{written}\n"));
        assert!(code == Some(2) && said.contains("value-unfit"), "{written}: {said}");
    }
}

#[test]
fn headings_of_the_hours_file_may_be_named_and_rivals_are_told() {
    let settings = "[hours.headings]\nname = [\"Nach\", \"Vor\"]\ndate = \"Tag\"\nhours = \"Stunden\"\n";
    let hours = "Einsätze,2026,x,,\nVor,Nach,Tag,Was,Stunden\nLee,Ann,2026-05-16,x,2\n";
    let (_, said) = tally(settings, hours);
    assert!(said.contains("1 person logged 2 h ") && said.contains("  Ann Lee "), "{said}");
    let (_, said) = tally("", "name,date,hours,Hours worked\nAnn Lee,2026-05-16,2,3\n");
    assert!(said.contains("heading-rival"), "{said}");
    let (_, said) = tally("", "name,date,hours,Hours worked\nAnn Lee,2026-05-16,2,2:00\n");
    assert!(!said.contains("heading-rival"), "{said}");
    let (code, said) =
        tally("[hours.headings]\nhuors = \"Stunden\"\n", "name,date,hours\nAnn Lee,2026-05-16,2\n");
    assert!(code == Some(2) && said.contains("Did you mean “hours”?"), "{said}");
}

#[test]
fn nobody_is_given_an_award_under_a_name_that_is_none() {
    let settings = "[[awards]]\nname = \"Trail Hand\"\nhours = 2\n";
    let hours = b"name,date,hours\nAnn Lee,2026-05-16,3\nTotal,2026-05-17,9\nBo and Cy Ray,2026-05-16,4\n";
    let trial = Trial::new(
        settings,
        &[("roster.csv", b"event,name,attended,passed\n".as_slice()), ("hours.csv", hours.as_slice())],
    );
    let (names, rules) = trial.credit();
    assert_eq!(names, "Ann Lee");
    assert!(rules.contains("name-none") && rules.contains("name-several"), "{rules:?}");
}

// ---- names in parts, and columns that say otherwise ----

#[test]
fn a_name_in_parts_is_joined_in_any_language_or_asked_about() {
    for (headings, cells, credited, rule) in [
        ("Nom,Prénom", "Vell,Ada", "Ada Vell", ""),
        ("Prénom,Nom", "Ada,Vell", "Ada Vell", ""),
        ("NOM,PRENOM", "Vell,Ada", "Ada Vell", ""),
        ("Name,Surname", "Ada,Vell", "Ada Vell", ""),
        ("Surname,Name", "Vell,Ada", "Ada Vell", ""),
        ("Nombre,Primer apellido", "Ada,Vell", "Ada Vell", ""),
        ("Nombre,Primer apellido,Segundo apellido", "Ada,Vell,Ray", "Ada Vell Ray", ""),
        ("Apellido materno,Apellido paterno,Nombres", "Ray,Vell,Ada Luz", "Ada Luz Vell Ray", ""),
        ("Name,Vorname", "Vell,Ada", "Ada Vell", ""),
        ("Nachname,Vorname", "Vell,Ada", "Ada Vell", ""),
        ("Nome,Cognome", "Ada,Vell", "Ada Vell", ""),
        ("Cognoms,Nom", "Vell,Ada", "Ada Vell", ""),
        ("Forenames,Surname", "Ada,Vell", "Ada Vell", ""),
        // What is the whole name stays it.
        ("Name,Surname", "Ada Vell,Vell", "Ada Vell", ""),
        ("Nom,Prénom", "Ada Vell,Ada", "Ada Vell", ""),
        ("Name,First name", "Ada Vell,Ada", "Ada Vell", ""),
        // What may be either is asked.
        ("Name,First name", "Vell,Ada", "", "heading-rival"),
        ("Name,Apellido", "Ada,Vell", "", "heading-rival"),
        ("Participant,Prénom", "Vell,Ada", "", "heading-rival"),
    ] {
        let (names, rules) =
            of_roster("", &format!("event,{headings},attended,passed\nspring,{cells},yes,yes\n"));
        assert_eq!(names, credited, "{headings}: {rules:?}");
        assert_eq!(rules.contains("heading-rival"), !rule.is_empty(), "{headings}: {rules:?}");
    }
}

/// Who would be credited for hours, and what is told.
fn awarded(hours: &str) -> (String, BTreeSet<String>) {
    let settings = "[[awards]]\nname = \"Trail Hand\"\nhours = 2\n";
    let roster = b"event,name,attended,passed\n".as_slice();
    Trial::new(settings, &[("roster.csv", roster), ("hours.csv", hours.as_bytes())]).credit()
}

#[test]
fn hours_are_credited_to_a_whole_name_and_as_they_count() {
    for (headings, cells, credited, rule) in [
        ("Prénom,Nom,date,hours", "Ada,Vell,2026-05-16,3", "Ada Vell", ""),
        ("Name,Surname,date,hours", "Ada,Vell,2026-05-16,3", "Ada Vell", ""),
        ("Nombre,Primer apellido,date,hours", "Ada,Vell,2026-05-16,3", "Ada Vell", ""),
        ("name,First name,date,hours", "Vell,Ada,2026-05-16,3", "", "heading-rival"),
        ("name,date,hours,Hours approved", "Ada Vell,2026-05-16,3,1", "", "heading-rival"),
        ("name,date,hours,Hours approved", "Ada Vell,2026-05-16,3,3:00", "Ada Vell", ""),
        ("name,date,Horas,Horas aprobadas", "Ada Vell,2026-05-16,3,0", "", "heading-rival"),
        ("name,date,hours,Approved?", "Ada Vell,2026-05-16,3,no", "", "heading-rival"),
        ("name,date,hours,Approved by", "Ada Vell,2026-05-16,3,Jo Ray", "Ada Vell", ""),
        ("name,date,hours,Hours worked", "Ada Vell,2026-05-16,3,1", "", "heading-rival"),
    ] {
        let (names, rules) = awarded(&format!("{headings}\n{cells}\n"));
        assert_eq!(names, credited, "{headings}: {rules:?}");
        assert_eq!(rules.contains("heading-rival"), !rule.is_empty(), "{headings}: {rules:?}");
    }
}

#[test]
fn a_column_that_says_otherwise_holds_its_row_and_one_that_agrees_is_silent() {
    let columns = [
        ("Attendance,Was present", ["yes,no", "yes,yes"]),
        ("Attendance,Attendance status", ["yes,absent", "yes,on time"]),
        ("attended,Actually came", ["yes,no", "yes,yes"]),
        ("attended,Signed in", ["yes,No", "yes,09:05"]),
        ("attended,Withdrawn", ["yes,yes", "yes,no"]),
        ("attended,Withdrawn", ["yes,2026-05-02", "yes,"]),
        ("attended,No-show", ["yes,x", "yes,-"]),
        ("attended,Anulado", ["yes,sí", "yes,no"]),
        ("attended,Annulé", ["yes,oui", "yes,non"]),
        ("attended,Abgesagt", ["yes,ja", "yes,nein"]),
        ("attended,Status", ["yes,Cancelled", "yes,ok"]),
        ("attended,May 16", ["yes,no", "yes,yes"]),
        ("attended,Jour 1,Jour 2", ["yes,oui,non", "yes,oui,oui"]),
        ("attended,Sesión 1,Sesión 2", ["yes,sí,no", "yes,sí,sí"]),
        ("attended,D1,D2", ["yes,x,0", "yes,x,x"]),
    ];
    for (headings, [against, agreeing]) in columns {
        let of = |cells: &str| {
            let roster = format!(
                "event,name,passed,{headings}\nspring,Ann Lee,yes,{cells}\nspring,Cy Poe,yes,{agreeing}\n"
            );
            let (names, rules) = of_roster("", &roster);
            (names, rules.contains("credit-contradicted"), rules)
        };
        let (names, is_told, rules) = of(against);
        assert_eq!((names.as_str(), is_told), ("Cy Poe", true), "{headings}: {against}: {rules:?}");
        let (names, is_told, rules) = of(agreeing);
        assert_eq!(
            (names.as_str(), is_told),
            ("Ann Lee, Cy Poe", false),
            "{headings}: {agreeing}: {rules:?}"
        );
    }
    // Of passing, and the same field by another heading.
    for (headings, against, agreeing) in [
        ("passed,Pass/Fail", "yes,Fail", "yes,Pass"),
        ("passed,Final result", "yes,failed", "yes,9/10"),
        ("passed,Resultado", "yes,no apto", "yes,apto"),
        ("passed,Certificate?", "yes,no", "yes,yes"),
    ] {
        let (names, rules) = of_roster(
            "",
            &format!(
                "event,name,attended,{headings}\nspring,Ann Lee,yes,{against}\nspring,Cy Poe,yes,{agreeing}\n"
            ),
        );
        assert_eq!(names, "Cy Poe", "{headings}: {rules:?}");
        assert!(rules.contains("credit-contradicted"), "{headings}: {rules:?}");
    }
    for (headings, cells) in [
        ("Asistió,¿Asistió?,passed", "sí,no,yes"),
        ("attended,Aprobó,¿Aprobó?", "yes,sí,no"),
        ("attended,passed,Nombre en el certificado", "yes,yes,Ana Lee"),
        ("attended,passed,Nom sur le certificat", "yes,yes,Ana Lee"),
        ("attended,passed,Correct name", "yes,yes,Anne Lee"),
    ] {
        let (names, rules) = of_roster("", &format!("event,name,{headings}\nspring,Ann Lee,{cells}\n"));
        assert_eq!((names.as_str(), rules.contains("heading-rival")), ("", true), "{headings}: {rules:?}");
    }
    // What is plainly something else.
    for (heading, cell) in [
        ("Attended before?", "no"),
        ("Certificate sent", "no"),
        ("Parent present", "no"),
        ("Payment status", "cancelled"),
        ("Status", "no"),
        ("Stage", "no"),
        ("Cancellation policy read", "yes"),
        ("Correct name?", "yes"),
        ("Photo release", "no"),
        ("Allergies", "none"),
        ("Waiver signed", "no"),
    ] {
        let roster = format!("event,name,attended,passed,{heading}\nspring,Ann Lee,yes,yes,{cell}\n");
        let (names, rules) = of_roster("", &roster);
        assert_eq!(names, "Ann Lee", "{heading}: {rules:?}");
        assert!(!rules.contains("credit-contradicted"), "{heading}: {rules:?}");
    }
    // What may be something else is remarked on.
    let roster = "event,name,attended,passed,Attended barn tour\nspring,Ann Lee,yes,yes,no\n";
    let (names, rules) = of_roster("", roster);
    assert_eq!((names.as_str(), rules.contains("credit-contradicted")), ("Ann Lee", true), "{rules:?}");
    // Days on which people can come are often asked for by the weekday: remarked on once, and never holding anybody.
    for (headings, cells) in [
        ("attended,passed,Saturday,Sunday", ["yes,yes,no,yes", "yes,yes,yes,no"]),
        ("attended,passed,sábado,domingo", ["yes,yes,no,sí", "yes,yes,sí,no"]),
        ("attended,passed,Sat,Sun,Mon", ["yes,yes,no,no,no", "yes,yes,no,no,no"]),
    ] {
        let roster =
            format!("event,name,{headings}\nspring,Ann Lee,{}\nspring,Cy Poe,{}\n", cells[0], cells[1]);
        let (names, rules) = of_roster("", &roster);
        assert_eq!(
            (names.as_str(), rules.contains("credit-contradicted")),
            ("Ann Lee, Cy Poe", true),
            "{rules:?}"
        );
        // What is kept is said to be something else.
        let keep = headings.split(',').skip(2).map(|heading| format!("\"{heading}\" = \"{heading}\"\n"));
        let settings = format!("[roster.keep]\n{}", keep.collect::<String>());
        let (names, rules) = of_roster(&settings, &roster);
        assert_eq!(
            (names.as_str(), rules.contains("credit-contradicted")),
            ("Ann Lee, Cy Poe", false),
            "{rules:?}"
        );
    }
    // Who came to neither is nobody's question.
    let roster = "event,name,attended,passed,No-show\nspring,Ann Lee,no,,yes\n";
    assert!(!of_roster("", roster).1.contains("credit-contradicted"));
}

#[test]
fn a_companion_that_is_none_is_left_out_and_one_that_is_unclear_holds_its_row() {
    let credit = |companion: &str| {
        of_roster("", &format!("event,name,companion,attended,passed\nspring,Ann Lee,{companion},yes,yes\n"))
    };
    for none in ["n/a", "N/A", "none", "-", "no", "No.", "ninguno", "aucun", "keine", "nobody", ""] {
        let (names, rules) = credit(none);
        assert_eq!((names.as_str(), rules.len()), ("Ann Lee", 0), "{none}: {rules:?}");
    }
    for unclear in ["TBD", "2", "yes", "?", "por confirmar", "horse"] {
        let (names, rules) = credit(unclear);
        assert_eq!((names.as_str(), rules.contains("name-none")), ("", true), "{unclear}: {rules:?}");
    }
    for several in ["Bess and Juno", "\"Bess, Juno\"", "Bess; Juno", "Bess y Juno", "Bess/Juno"] {
        let (names, rules) = credit(several);
        assert_eq!((names.as_str(), rules.contains("name-several")), ("", true), "{several}: {rules:?}");
    }
    // It is often one name, and the certificate says what stands there.
    let (names, rules) = credit("Salt & Pepper");
    assert_eq!((names.as_str(), rules.contains("name-several")), ("Ann Lee", true), "{rules:?}");
    for one in ["Bess", "Ditto", "No. 7", "Mr. Ed", "Lady Godiva the Second"] {
        let (names, rules) = credit(one);
        assert_eq!((names.as_str(), rules.len()), ("Ann Lee", 0), "{one}: {rules:?}");
    }
}

#[test]
fn no_companion_is_printed_that_a_cell_denies() {
    let roster = "event,name,companion,attended,passed\nspring,Ann Lee,none,yes,yes\n";
    let trial = Trial::new("", &[("roster.csv", roster.as_bytes())]);
    trial.run(&["make", "--pieces", "certificates"]);
    let register = fs::read_to_string(trial.folder.path().join(register::FILE)).unwrap();
    assert!(register.contains("Ann Lee") && !register.contains("companion"), "{register}");
}

#[test]
fn columns_of_people_who_came_along_are_told() {
    for (heading, cell) in [
        ("Plus one", "Bo Ray"),
        ("Partner", "Bo Ray"),
        ("Family members", "Bo and Cy"),
        ("Invités", "Bo Ray"),
        ("Accompagnants", "Bo Ray"),
        ("Horses", "Bess and Juno"),
        ("Children", "Bo; Cy"),
    ] {
        let roster = format!("event,name,attended,passed,{heading}\nspring,Ann Lee,yes,yes,{cell}\n");
        let (names, rules) = of_roster("", &roster);
        assert_eq!((names.as_str(), rules.contains("name-several")), ("", true), "{heading}: {rules:?}");
        let roster = format!("event,name,attended,passed,{heading}\nspring,Ann Lee,yes,yes,none\n");
        assert_eq!(of_roster("", &roster), ("Ann Lee".to_owned(), BTreeSet::new()), "{heading}");
        let roster = format!("event,name,attended,passed,{heading}\nspring,Ann Lee,yes,yes,2\n");
        let (names, rules) = of_roster("", &roster);
        assert_eq!(
            (names.as_str(), rules.contains("name-several")),
            ("Ann Lee", true),
            "{heading}: {rules:?}"
        );
    }
}

#[test]
fn what_is_told_says_what_it_is() {
    let told = |roster: &str| {
        Trial::new("", &[("roster.csv", roster.as_bytes())]).run(&["proofread", "--no-layout"]).1
    };
    // Two companions of one person are allowed.
    let roster =
        "event,name,companion,attended,passed\nspring,Ann Lee,Bess,yes,yes\nspring,Ann Lee,Rex,yes,yes\n";
    let said = told(roster);
    assert!(said.contains("participant-doubled") && said.contains("companions = \"together\""), "{said}");
    assert!(!said.contains("Take one row out"), "{said}");
    // A line below the table.
    let said = told("event,name,attended,passed\nspring,Ann Lee,yes,yes\nInstructor: Jo Ray,,,\n");
    assert!(
        said.contains("Only one cell of this line") && !said.contains("is not in program.toml"),
        "{said}"
    );
    // An address that only some servers take.
    let said = told("event,name,attended,passed,email\nspring,Ann Lee,yes,yes,añn@lee.example\n");
    assert!(said.contains("email-unfit") && said.contains("RFC 6531"), "{said}");
}

#[test]
fn people_on_a_second_sheet_are_told() {
    let row = |people: &[&str]| ods_row("", people);
    let headings = row(&HEADINGS);
    let other = |rows: String| {
        let first = row(&["spring", "Ann Lee", "yes", "yes"]);
        let second = format!("</table:table><table:table table:name=\"b\">{rows}");
        Trial::new("", &[("roster.ods", &ods(&(first + &second)))])
    };
    let trial = other(headings.clone() + &row(&["spring", "Bo Ray", "yes", "yes"]));
    let (names, rules) = trial.credit();
    assert_eq!((names.as_str(), rules.contains("sheet-unread")), ("Ann Lee", true), "{rules:?}");
    let (_, said) = trial.run(&["make", "--dry-run", "--pieces", "certificates"]);
    assert!(said.contains("people on more than one sheet"), "{said}");
    // Notes, and headings with nobody below them.
    for rows in [row(&["Bring the ropes", "and tea"]), headings] {
        let (names, rules) = other(rows).credit();
        assert_eq!((names.as_str(), rules.contains("sheet-unread")), ("Ann Lee", false), "{rules:?}");
    }
}

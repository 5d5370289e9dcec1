//! Events over several days, certificates that need several events, and those that end: run as a ranger runs it.

use crate::folders::copy;
use packstring::program::register::Register;
use std::fs;
use std::path::Path;
use std::process::Command;

const EVENTS: &str = "
[[events]]
id = \"ropes\"
name = \"Ropes\"
date = 2026-03-07
start = 09:00
minutes = 60
place = \"Barn\"
form = \"in person\"
certificate = \"none\"

[[events]]
id = \"field\"
name = \"Field Days\"
days = [2026-05-09, 2026-05-02]
start = 09:00
minutes = 60
place = \"Barn\"
form = \"in person\"
needs = \"ropes\"
";

struct Trial {
    folder: tempfile::TempDir,
    /// A key is never kept in the program folder.
    keys: tempfile::TempDir,
}

impl Trial {
    /// The sound program with these settings added, and this roster.
    fn new(settings: &str, roster: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
        let file = folder.path().join("program.toml");
        let text = fs::read_to_string(&file).unwrap() + settings;
        fs::write(file, text).unwrap();
        let trial = Self { folder, keys: tempfile::tempdir().unwrap() };
        trial.roster(roster);
        trial
    }

    fn roster(&self, text: &str) {
        fs::write(self.folder.path().join("people/roster.csv"), text).unwrap();
    }

    fn run(&self, arguments: &[&str]) -> String {
        let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
        command.current_dir(self.folder.path()).env("PACKSTRING_KEYS", self.keys.path());
        let output = command.args(arguments).output().unwrap();
        format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
    }

    fn make(&self) -> String {
        self.run(&["make", "--pieces", "certificates"])
    }

    fn register(&self) -> Register {
        let program = packstring::program::open(self.folder.path());
        (*program.unwrap_or_else(|it| panic!("{:#?}", it.mistakes)).people.register).clone()
    }

    /// Each name with the day that its certificate says, in the order in which they were given.
    fn given(&self) -> Vec<String> {
        self.register().all_given().map(|given| format!("{} {}", given.name, given.occasion.date())).collect()
    }
}

#[test]
fn a_certificate_waits_for_all_days_and_all_that_it_needs() {
    let rows = |ann: &str, bo: &str| {
        format!(
            "event,name,attended,passed\nropes,Ann Lee,yes,\nfield,Ann Lee,\"{ann}\",yes\nfield,Bo Ray,yes,yes\n{bo}"
        )
    };
    let trial = Trial::new(EVENTS, &rows("day 1", ""));
    let told = trial.make();
    assert!(trial.register().all_given().next().is_none(), "{told}");
    assert!(told.contains("day 2 (2026-05-09)"), "{told}");
    assert!(told.contains("“ropes”, to which the person did not come"), "{told}");
    assert!(trial.run(&["proofread", "--no-layout"]).contains("needs-lacking (a note)"));
    // The roster says by and by that all is done; Bo comes to the ropes of another name's row only.
    trial.roster(&rows("1, 2", "ropes,Bo Rey,yes,\n"));
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-09"]);
    trial.roster(&rows("1, 2", "ropes,bo  ray,yes,\n"));
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-09", "Bo Ray 2026-05-09"]);
    assert!(!trial.make().contains("Newly"));
    let found = trial.run(&["proofread", "--no-layout"]);
    assert!(!found.contains("event-changed") && !found.contains("credit-unborne"), "{found}");
    // What is taken back later is told.
    trial.roster(&rows("day 1", "ropes,Bo Ray,yes,no\n"));
    let found = trial.run(&["proofread", "--no-layout"]);
    assert_eq!(found.matches("credit-unborne").count(), 2, "{found}");
}

#[test]
fn the_day_of_a_certificate_is_that_of_the_last_need() {
    let settings = EVENTS.replace("2026-03-07", "2026-05-20");
    let trial =
        Trial::new(&settings, "event,name,attended,passed\nropes,Ann Lee,yes,\nfield,Ann Lee,yes,yes\n");
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-20"]);
    assert!(!trial.run(&["proofread", "--no-layout"]).contains("event-changed"));
}

#[test]
fn days_may_have_columns_of_their_own() {
    let trial = Trial::new(
        EVENTS,
        "event,name,Day 1,Day 2,passed\nropes,Ann Lee,x,,\nropes,Bo Ray,x,,\nfield,Ann Lee,x,x,yes\nfield,Bo Ray,x,,yes\n",
    );
    let told = trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-09"], "{told}");
    let trial = Trial::new(
        EVENTS,
        "event,name,2026-05-02,2026-05-09,attended,passed\nropes,Ann Lee,,,yes,\nfield,Ann Lee,yes,yes,,yes\n",
    );
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-09"]);
    // One that contradicts another, and a 1 that may be a day or a yes, are asked about.
    for row in ["field,Ann Lee,yes,yes,no,yes", "field,Ann Lee,,,1,yes"] {
        let trial = Trial::new(EVENTS, &format!("event,name,2026-05-02,2026-05-09,attended,passed\n{row}\n"));
        assert!(trial.run(&["proofread", "--no-layout"]).contains("value-unfit"), "{row}");
    }
    // Where no event has several days, such a heading is none of ours.
    let trial = Trial::new("", "event,name,attended,passed,Day 2\nspring,Ann Lee,yes,yes,maybe\n");
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-16"]);
}

#[test]
fn days_are_known_in_other_words_and_a_day_that_no_event_has_is_asked_about() {
    // The field days are Saturdays, 2 and 9 May.
    for (headings, missed) in [
        ("attended,May 2,May 9", "yes,yes,no"),
        ("attended,2 de mayo,9 de mayo", "yes,sí,no"),
        ("attended,Jour 1,Jour 2", "yes,oui,non"),
        ("attended,Sesión 1,Sesión 2", "yes,sí,no"),
        ("attended,D1,D2", "yes,x,"),
        ("attended,Day 1,Day 2,Day 3", "yes,yes,yes,no"),
        ("attended,May 2,May 9,May 16", "yes,yes,yes,yes"),
    ] {
        let is_all = headings.ends_with("May 16");
        let trial = Trial::new(
            EVENTS,
            &format!("event,name,passed,{headings}\nropes,Ann Lee,,yes\nfield,Ann Lee,yes,{missed}\n"),
        );
        let told = trial.make();
        assert_eq!(trial.given().is_empty(), !is_all, "{headings}: {told}");
    }
    // Day 2 is the field days', and says nothing of an event of one day.
    let trial = Trial::new(EVENTS, "event,name,attended,passed,Day 2\nspring,Ann Lee,yes,yes,no\n");
    trial.make();
    assert_eq!(trial.given(), ["Ann Lee 2026-05-16"]);
}

#[test]
fn attendance_says_on_which_days_somebody_came() {
    let trial = Trial::new(
        EVENTS,
        "event,name,attended,passed\nspring,Bo Ray,yes,\nfield,Ann Lee,day 2,\nfield,Cy Poe,yes,\nfield,Di Roe,no,\n",
    );
    trial.run(&["make", "--pieces", "attendance"]);
    let private = trial.folder.path().join("out/private");
    let csv = fs::read_to_string(private.join("attendance.csv")).unwrap();
    let came = |name: &str| {
        let row = csv.lines().find(|line| line.contains(name)).unwrap();
        row.split(',').nth(5).unwrap().to_owned()
    };
    assert_eq!(came("Ann Lee"), "day 2 of 2", "{csv}");
    assert_eq!((came("Cy Poe"), came("Di Roe"), came("Bo Ray")), ("yes".into(), "no".into(), "yes".into()));
    let said = crate::whole::text_of(&private.join("attendance.pdf"));
    assert!(said.split_whitespace().collect::<Vec<_>>().join(" ").contains("day 2 of 2"), "{said}");
    // In the program's own words, which are read where the list comes back as a roster.
    for (language, said) in [("es", "día 2 de 2"), ("fr", "jour 2 sur 2")] {
        let file = trial.folder.path().join("program.toml");
        let text = fs::read_to_string(&file).unwrap();
        let own = format!("[program]\nlanguage = \"{language}\"\n");
        let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with("language = ")).collect();
        let text = lines.join("\n").replacen("[program]\n", &own, 1);
        fs::write(&file, text).unwrap();
        trial.run(&["make", "--pieces", "attendance"]);
        let csv = fs::read_to_string(private.join("attendance.csv")).unwrap();
        assert!(csv.contains(&format!(",{said},")) && !csv.contains("day 2"), "{csv}");
        let back = Trial::new(EVENTS, &format!("event,name,attended,passed\nfield,Ann Lee,{said},\n"));
        back.run(&["make", "--pieces", "attendance"]);
        let again = fs::read_to_string(back.folder.path().join("out/private/attendance.csv")).unwrap();
        assert!(again.contains("day 2 of 2"), "{again}");
    }
}

#[test]
fn each_day_has_a_sheet_to_sign() {
    let trial = Trial::new(EVENTS, "event,name,attended,passed\nfield,Ann Lee,,\n");
    trial.run(&["make", "--pieces", "sign-in-sheets"]);
    for path in ["spring.pdf", "ropes.pdf", "field/2026-05-02.pdf", "field/2026-05-09.pdf"] {
        assert!(trial.folder.path().join("out/private/sign-in-sheets").join(path).exists(), "{path}");
    }
}

#[test]
fn what_is_printed_of_an_event_names_all_its_days() {
    let settings = format!("{EVENTS}\n[[habits]]\nwords = \"Close every gate\"\n");
    let trial = Trial::new(&settings, "event,name,attended,passed\nfield,Ann Lee,,\n");
    let told = trial.run(&["make"]);
    let out = trial.folder.path().join("out");
    let said = |path: &str| -> String {
        let path = out.join(path);
        match path.extension().is_some_and(|ending| ending == "pdf") {
            true if !path.exists() => panic!("{path:?}: {told}"),
            true => crate::whole::text_of(&path),
            false => fs::read_to_string(&path).unwrap(),
        }
    };
    for path in [
        "open/leaflet.pdf",
        "open/site/answers.html",
        "staff/run-sheets/field.pdf",
        "staff/bring-lists/field.pdf",
        "staff/presenters-copy/field.pdf",
        "private/attendance.pdf",
    ] {
        let said = said(path).split_whitespace().collect::<Vec<_>>().join(" ");
        let of_events = said.find("May 2, 2026;").unwrap_or_else(|| panic!("{path}: {said}"));
        assert!(said[of_events..].contains("May 9, 2026"), "{path}: {said}");
    }
    assert!(said("private/sign-in-sheets/field/2026-05-09.pdf").contains("May 9, 2026"));
    assert!(!said("private/sign-in-sheets/field/2026-05-09.pdf").contains("May 2, 2026"));
}

#[test]
fn what_is_needed_must_be_another_event_and_days_must_be_days() {
    for (settings, told) in [
        (EVENTS.replace("needs = \"ropes\"", "needs = \"field\""), "no other event “field”"),
        (EVENTS.replace("needs = \"ropes\"", "needs = [\"rope\"]"), "Did you mean “ropes”?"),
        (EVENTS.replace("days = [2026-05-09, 2026-05-02]", "days = []"), "“days” names no day"),
        (EVENTS.replace("days = ", "date = 2026-05-02\ndays = "), "“date” does nothing here"),
        (EVENTS.replace("needs = \"ropes\"", "was = \"ropes\""), "the event “ropes” is still here"),
    ] {
        let said = Trial::new(&settings, "event,name,attended\n").run(&["proofread", "--no-layout"]);
        assert!(said.contains(told), "{said}");
    }
}

#[test]
fn a_certificate_that_was_taken_back_meets_no_need() {
    let rows = "event,name,attended,passed\nropes,Ann Lee,yes,yes\n";
    let settings = EVENTS.replace("certificate = \"none\"\n", "");
    let trial = Trial::new(&settings, rows);
    trial.make();
    let number = trial.register().all_given().next().unwrap().number.to_string();
    trial.run(&["certificates", "withdraw", &number, "--because", "did not finish"]);
    trial.roster(&format!("{rows}field,Ann Lee,yes,yes\n"));
    let told = trial.make();
    assert_eq!(trial.register().all_given().count(), 1, "{told}");
    assert!(told.contains("whose certificate was withdrawn"), "{told}");
}

#[test]
fn what_only_the_record_says_is_compared_too() {
    let rows = "event,name,attended,passed\nspring,Ann Lee,yes,yes\n";
    let trial = Trial::new("\n[certificate]\ntitle = \"Certificate of Training\"\n", rows);
    trial.run(&["certificates", "key"]);
    trial.make();
    let file = trial.folder.path().join("program.toml");
    let settings = fs::read_to_string(&file).unwrap();
    for (now, told) in [
        (
            settings.replace("Certificate of Training", "Certificate of Mastery"),
            "title “Certificate of Training”",
        ),
        (settings.replace("[certificate]", "[certificate]\nvalid-for = \"2 years\""), "last day"),
    ] {
        fs::write(&file, now).unwrap();
        let said = trial.run(&["proofread", "--no-layout"]);
        assert!(said.contains("event-changed") && said.contains(told), "{said}");
        trial.run(&["certificates", "replace", "--event", "spring"]);
        assert!(!trial.run(&["proofread", "--no-layout"]).contains("event-changed"));
    }
    assert_eq!(trial.register().all_given().count(), 3);
}

#[test]
fn papers_stay_while_it_is_asked_what_their_event_is_called() {
    let rows = "event,name,attended,passed\nspring,Ann Lee,yes,yes\nspring,Bo Ray,yes,yes\n";
    let trial = Trial::new("", rows);
    trial.make();
    let papers =
        || walkdir::WalkDir::new(trial.folder.path().join("out/private/certificates")).into_iter().count();
    let before = papers();
    let file = trial.folder.path().join("program.toml");
    let settings = fs::read_to_string(&file).unwrap();
    fs::write(&file, settings.replace("id = \"spring\"", "id = \"primavera\"")).unwrap();
    trial.roster(&rows.replace("spring", "primavera"));
    let told = trial.make();
    assert!(told.contains("event-renamed"), "{told}");
    assert_eq!(papers(), before, "{told}");
}

#[test]
fn who_is_to_renew_stands_on_a_list_of_the_private_shelf() {
    let settings = "\n[certificate]\nvalid-for = \"2 years\"\n";
    let rows =
        "event,name,attended,passed,email\nspring,Ann Lee,yes,yes,ann@lee.example\nspring,Bo Ray,yes,yes,\n";
    let trial = Trial::new(settings, rows);
    trial.make();
    let list = || fs::read_to_string(trial.folder.path().join("out/private/renewals.csv")).unwrap();
    let bo = trial.register().all_given().last().unwrap().number.to_string();
    assert_eq!(list().lines().count(), 3);
    assert!(list().contains("2028-05-16,Ann Lee,ann@lee.example,,Spring Workshop,2026-05-16,"), "{}", list());
    trial.run(&["certificates", "withdraw", &bo, "--because", "in error"]);
    trial.make();
    assert!(!list().contains("Bo Ray"));
    // What Ann had been given for another year ends earlier, and she need not be asked for it.
    let file = trial.folder.path().join("program.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("2026-05-16", "2025-05-17\nagain = true").replace("\"2026\"", "\"2025\""))
        .unwrap();
    trial.make();
    assert_eq!(trial.register().valid().filter(|given| given.name == "Ann Lee").count(), 2);
    assert_eq!(list().matches("Ann Lee").count(), 1, "{}", list());
    assert!(!trial.folder.path().join("out/open/renewals.csv").exists());
    // Where certificates hold for good there is no such list.
    let trial = Trial::new("", rows);
    trial.make();
    assert!(!trial.folder.path().join("out/private/renewals.csv").exists());
}

#[test]
fn other_columns_come_out_on_lists_of_people_and_nowhere_else() {
    const WORDS: [&str; 2] = ["quartzberries", "signed-by-the-parent"];
    let settings =
        "\n[roster.keep]\nAllergies = \"Do you have any allergies?\"\nconsent = \"Consent form\"\n";
    let roster = "event,name,attended,passed,Do you have any allergies?,Consent form,Shoe\nspring,Ann Lee,yes,yes,quartzberries,signed-by-the-parent,9\nspring,Bo Ray,yes,yes,,,9\n";
    let trial = Trial::new(settings, roster);
    let program = packstring::program::open(trial.folder.path()).unwrap();
    assert_eq!(program.people.roster.rows[0].kept, WORDS);
    trial.run(&["make"]);
    let out = trial.folder.path().join("out");
    let csv = fs::read_to_string(out.join("private/attendance.csv")).unwrap();
    assert!(csv.lines().next().unwrap().ends_with("Attended,Passed,Allergies,consent"), "{csv}");
    assert!(csv.contains("yes,yes,quartzberries,signed-by-the-parent"), "{csv}");
    let mut seen = Vec::new();
    let mut left = vec![out.clone()];
    while let Some(folder) = left.pop() {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            if entry.path().is_dir() {
                left.push(entry.path());
                continue;
            }
            let path = entry.path().strip_prefix(&out).unwrap().to_str().unwrap().to_owned();
            let said = match path.rsplit_once('.').map(|(_, ending)| ending) {
                Some("pdf") => {
                    let pdf = lopdf::Document::load(entry.path()).unwrap();
                    let pages: Vec<u32> = pdf.get_pages().into_keys().collect();
                    pdf.extract_text(&pages).unwrap()
                }
                Some("xlsx") => unpacked(&fs::read(entry.path()).unwrap()),
                _ => String::from_utf8_lossy(&fs::read(entry.path()).unwrap()).into_owned(),
            };
            // A long word may be broken over two lines.
            let said: String = said.split_whitespace().collect();
            if WORDS.iter().any(|word| said.contains(word)) {
                seen.push(path);
            }
        }
    }
    seen.sort();
    let expected = [
        "private/attendance.csv",
        "private/attendance.pdf",
        "private/attendance.xlsx",
        "private/sign-in-sheets/spring.pdf",
    ];
    assert_eq!(seen, expected);
    // Shown as what it is, and a heading that is not there is told.
    assert!(trial.run(&["proofread", "--roster"]).contains("kept          program.toml"));
    let lost = Trial::new("\n[roster.keep]\nphone = \"Telefone\"\n", "event,name,attended,Telephone\n");
    assert!(lost.run(&["proofread", "--no-layout"]).contains("Did you mean “Telephone”?"));
}

/// All text of a workbook's parts.
fn unpacked(bytes: &[u8]) -> String {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let mut text = String::new();
    for at in 0..archive.len() {
        let mut part = Vec::new();
        std::io::Read::read_to_end(&mut archive.by_index(at).unwrap(), &mut part).unwrap();
        text += &String::from_utf8_lossy(&part);
    }
    text
}

//! Awards of the service unit over the life of an hours file: run as a ranger runs it. Nobody is given one twice.

use crate::folders::{self, copy};
use std::fs;
use std::path::Path;

struct Trial {
    folder: tempfile::TempDir,
}

impl Trial {
    /// The sound program with an award of ten hours, which Ada Vell has reached and was given.
    fn given() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
        let trial = Self { folder };
        let settings = fs::read_to_string(trial.folder.path().join("program.toml")).unwrap();
        trial.write("program.toml", &format!("{settings}\n[[awards]]\nname = \"Trail Hand\"\nhours = 10\n"));
        trial.write("people/roster.csv", "event,name,attended\n");
        trial.hours("Ada Vell", "ada@vell.example", 12);
        assert!(trial.make().contains("Newly credited: 1 person for Trail Hand"));
        assert_eq!(trial.lines(), 1);
        trial
    }

    fn write(&self, file: &str, text: &str) {
        fs::write(self.folder.path().join(file), text).unwrap();
    }

    fn hours(&self, name: &str, email: &str, hours: u32) {
        let rows =
            format!("date,name,email,activity,hours\n2026-03-01,\"{name}\",{email},Clearing,{hours}\n");
        self.write("people/hours.csv", &rows);
    }

    fn run(&self, arguments: &[&str]) -> String {
        folders::run(self.folder.path(), arguments.iter().copied()).0
    }

    fn make(&self) -> String {
        self.run(&["make", "--pieces", "certificates"])
    }

    /// Lines of the register.
    fn lines(&self) -> usize {
        fs::read_to_string(self.folder.path().join("records/certificates.jsonl")).unwrap().lines().count()
    }
}

#[test]
fn an_award_is_not_given_again_where_its_person_is_written_otherwise() {
    for (name, email) in
        [("Ada Vel", "ada@vell.example"), ("Ada Vel", ""), ("Adeline Vell-Ray", "ada@vell.example")]
    {
        let trial = Trial::given();
        trial.hours(name, email, 12);
        let told = trial.make();
        assert_eq!(trial.lines(), 1, "{name} {email}: {told}");
        assert!(told.contains("certificate-corrected"), "{told}");
        // Who is asked for by name is another person.
        trial.run(&["make", "--pieces", "certificates", "--participant", name]);
        assert_eq!(trial.lines(), 2, "{name}");
    }
    let trial = Trial::given();
    trial.hours("Bo Ray", "bo@ray.example", 12);
    trial.make();
    assert_eq!(trial.lines(), 2, "another person has another award");
}

#[test]
fn an_award_that_is_renamed_is_asked_about_and_settled_by_what_it_was() {
    let trial = Trial::given();
    let settings = fs::read_to_string(trial.folder.path().join("program.toml")).unwrap();
    let renamed = settings.replace("name = \"Trail Hand\"", "name = \"Path Hand\"");
    trial.write("program.toml", &renamed);
    let told = trial.make();
    assert_eq!(trial.lines(), 1, "{told}");
    assert!(told.contains("may be “Trail Hand”") && told.contains("event-renamed"), "{told}");
    trial.write("program.toml", &renamed.replace("hours = 10", "hours = 10\nwas = \"Trail Hand\""));
    let told = trial.make();
    assert_eq!(trial.lines(), 1, "{told}");
    assert!(!told.contains("event-renamed"), "{told}");
}

#[test]
fn an_award_that_was_taken_back_is_not_given_again_and_one_without_hours_is_told() {
    let trial = Trial::given();
    trial.hours("Ada Vell", "ada@vell.example", 8);
    let told = trial.run(&["proofread", "--no-layout"]);
    assert!(told.contains("credit-unborne") && told.contains("now has fewer hours"), "{told}");
    trial.hours("Bo Ray", "bo@ray.example", 2);
    let told = trial.run(&["proofread", "--no-layout"]);
    assert!(told.contains("no longer have everybody who holds “Trail Hand”"), "{told}");
    let register = fs::read_to_string(trial.folder.path().join("records/certificates.jsonl")).unwrap();
    let line: serde_json::Value = serde_json::from_str(register.lines().next().unwrap()).unwrap();
    let number = line["given"]["number"].as_str().unwrap();
    trial.run(&["certificates", "withdraw", number, "--because", "in error"]);
    for name in ["Ada Vell", "Ada Vel"] {
        trial.hours(name, "ada@vell.example", 12);
        trial.make();
        assert_eq!(trial.lines(), 2, "{name}");
    }
}

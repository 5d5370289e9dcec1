use crate::finding::Finding;
use crate::job::Piece;
use crate::pieces::Selection;
use crate::session::{Environment, Known, Progress, Session, SessionError};
use jiff::civil::date;
use std::fs;
use std::path::Path;

const LESSON: &str = "lessons/water-and-heat.md";

/// How its first section begins.
const FIRST: &str = "Mules are thriftier";

/// The demo in a folder of its own, as it can be changed.
struct Demo {
    folder: tempfile::TempDir,
    environment: Environment,
}

impl Demo {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
        let environment = Environment {
            today: date(2026, 11, 2),
            folder: folder.path().into(),
            terminal: false,
            keys: None,
        };
        Self { folder, environment }
    }

    fn open(&self) -> Session<'_> {
        let into = self.folder.path().join("held-out");
        let session = Session::open(Some(self.folder.path()), Some(&into), &self.environment);
        session.unwrap_or_else(|error| panic!("{error}")).held(1 << 30)
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let path = self.folder.path().join(file);
        let text = fs::read_to_string(&path).unwrap_or_default();
        assert!(text.contains(from), "{file} has no {from}");
        fs::write(path, text.replacen(from, to, 1)).unwrap();
    }
}

fn copy(from: &Path, to: &Path) {
    for entry in
        walkdir::WalkDir::new(from).min_depth(1).into_iter().filter_entry(|it| it.file_name() != "out")
    {
        let entry = entry.unwrap();
        let target = to.join(entry.path().strip_prefix(from).unwrap());
        match entry.file_type().is_dir() {
            true => fs::create_dir_all(target).unwrap(),
            false => drop(fs::copy(entry.path(), target).unwrap()),
        }
    }
}

/// What is known of the folder by a session that has not seen it before.
fn afresh(demo: &Demo) -> Vec<Finding> {
    demo.open().know().findings
}

#[test]
fn after_each_change_what_is_known_is_what_a_fresh_session_knows() {
    let demo = Demo::new();
    let mut session = demo.open();
    let first = session.know().findings;
    let changes = [
        (LESSON, "\n## ", "\nStay at least 20 feet from the bank.\n\n## "),
        (LESSON, "at least 20 feet", "at least 3 feet"),
        ("facts.toml", "\nas-of", "\n# noted\nas-of"),
        ("program.toml", "editions = [", "# noted\neditions = ["),
        ("lessons/es-US/water-and-heat.md", "\n## ", "\nQuédese a 20 pies de la orilla.\n\n## "),
        ("people/roster.csv", "Marisol Peñaloza", "12345"),
        ("questions.toml", "\nbecause", "\n# noted\nbecause"),
    ];
    for (file, from, to) in changes {
        demo.change(file, from, to);
        session.refresh().unwrap_or_else(|error| panic!("{file}: {error}"));
        assert_eq!(session.know().findings, afresh(&demo), "{file}");
    }
    assert_ne!(session.know().findings, first, "the changes are to be told of");
}

#[test]
fn a_changed_word_reads_one_lesson_and_one_text_anew_and_judges_no_answer() {
    let demo = Demo::new();
    let mut session = demo.open();
    let read = |session: &Session| {
        let _ = session.know();
        (session.remembered.texts.read_anew(), session.remembered.answers.lock().unwrap().judged())
    };
    let (texts, answers) = read(&session);
    assert!(texts > 500 && answers > 100, "{texts} texts, {answers} answers");
    demo.change(LESSON, FIRST, "Let it drink slowly. Mules are thriftier");
    let before = session.program.content.lessons.clone();
    session.refresh().unwrap();
    let same = before.iter().zip(&session.program.content.lessons);
    let anew: Vec<_> = same.filter(|(was, now)| !std::sync::Arc::ptr_eq(was, now)).collect();
    assert_eq!(anew.len(), 1);
    assert_eq!(read(&session), (1, answers));
    session.refresh().unwrap();
    assert_eq!(read(&session), (0, answers), "nothing changed");
}

#[test]
fn a_file_that_cannot_be_read_leaves_what_was_known() {
    let demo = Demo::new();
    let mut session = demo.open();
    let known = session.know().findings;
    demo.change("facts.toml", "[", "[[[");
    assert!(matches!(session.refresh(), Err(SessionError::Unread(_))));
    assert_eq!(session.know().findings, known);
    demo.change("facts.toml", "[[[", "[");
    session.refresh().unwrap();
    assert_eq!(session.know().findings, known);
}

#[test]
fn a_people_file_with_mistakes_holds_people_and_no_lesson() {
    let demo = Demo::new();
    let mut session = demo.open();
    fs::write(demo.folder.path().join("people/hours.csv"), "name,hours\n\0").unwrap();
    session.refresh().unwrap();
    let known = session.know();
    assert!(
        known.findings.iter().any(|it| it.place.file.starts_with("people/hours")),
        "{:?}",
        known.findings
    );
    assert!(known.understood.root.people.roster.rows.is_empty());
}

fn laid_out(session: &Session, known: &Known) -> Vec<String> {
    let mut files = Vec::new();
    let tell = &mut |progress: Progress| {
        if let Progress::Making(file) = progress {
            files.push(file.to_owned());
        }
    };
    session.proofread(known, tell).unwrap();
    files
}

#[test]
fn a_changed_word_lays_out_what_shows_it_and_nothing_else() {
    let demo = Demo::new();
    let mut session = demo.open();
    let all = laid_out(&session, &session.know());
    assert!(all.len() > 10, "{all:?}");
    demo.change(LESSON, FIRST, "Let it drink slowly. Mules are thriftier");
    session.refresh().unwrap();
    let anew = laid_out(&session, &session.know());
    // A paragraph stands on no slide.
    assert_eq!(anew, ["handouts/water-and-heat.pdf"]);
    assert_eq!(laid_out(&session, &session.know()), [""; 0]);
}

#[test]
fn pages_are_shown_as_the_files_stand_now() {
    let demo = Demo::new();
    let mut session = demo.open();
    let show = |session: &Session| {
        let selection = Selection { pieces: vec![Piece::Handout], ..Selection::default() };
        session.show(&session.know(), selection, "handouts/water-and-heat.pdf").unwrap()
    };
    let before = show(&session);
    assert!(before.pages.len() < 3 && before.pages.iter().all(|page| page.starts_with("<svg")));
    demo.change(LESSON, FIRST, "Let it drink slowly. Mules are thriftier");
    session.refresh().unwrap();
    let after = show(&session);
    assert!(before.pages != after.pages, "the new words are to be seen");
    assert!(show(&demo.open()).pages == after.pages, "a fresh session shows the same");
}

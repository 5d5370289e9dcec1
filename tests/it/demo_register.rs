//! The demo's certificate register: made here from its roster, as a season would have made it, and kept
//! in `content/records/`. With `PACKSTRING_ACCEPT=1` it is written anew.
//!
//! It is signed with a key whose private half stands below for all to see. It shows how a signed
//! certificate looks, proves nothing, and must never be used for anything else.

use crate::folders::copy;
use jiff::civil::{Date, date};
use packstring::credential::SecretKey;
use packstring::credential::number::Number;
use packstring::people::credit::replacement::{Words, replacement};
use packstring::people::credit::{self, record};
use packstring::people::scope::Scope;
use packstring::people::scoring::Scores;
use packstring::program::register::{Entry, FILE, Given, HEAD, Key, Occasion, Register, Withdrawn};
use packstring::program::{self, Program};
use packstring::shelf::register::{RegisterError, add};
use packstring::understand::Understood;
use std::fs;
use std::path::Path;

const SEED: [u8; 32] = *b"packstring demo key - no secret!";

/// When who came to an event was credited: those of these names later than the others.
struct Day {
    event: &'static str,
    day: Date,
    later: (Date, &'static [&'static str]),
}

const NOBODY: (Date, &[&str]) = (Date::ZERO, &[]);

const DAYS: [Day; 4] = [
    Day {
        event: "north-camp",
        day: date(2026, 5, 17),
        // Their answers came by mail.
        later: (date(2026, 5, 24), &["Otis Fairweather", "Priya Venkataraghavan"]),
    },
    Day { event: "evening-online", day: date(2026, 6, 11), later: NOBODY },
    Day { event: "sand-creek", day: date(2026, 8, 23), later: NOBODY },
    Day { event: "fall-packers", day: date(2026, 10, 4), later: NOBODY },
];

/// What was first printed for one of them, who then wrote in.
const MISSPELLED: (&str, &str, Date) =
    ("Halvard Ødegård-Lindqvist", "Halvard Odegard-Lindquist", date(2026, 6, 15));
/// Who was credited by mistake.
const MISTAKEN: (&str, &str, Date) =
    ("Ștefan Țurcanu", "Had answered, and not passed: the wrong row was marked.", date(2026, 6, 12));

struct Season<'p> {
    program: &'p Program,
    key: SecretKey,
}

impl Season<'_> {
    fn add(&self, entries: Vec<Entry>) {
        add(&self.program.folder, Some(&self.key), |_| Ok::<_, RegisterError>(entries)).unwrap();
    }

    fn give(&self, given: Given) -> Entry {
        Entry::Given(Box::new(record::sign(given, &self.program.content.settings, &self.key)))
    }

    fn register(&self) -> Register {
        add(&self.program.folder, None, |_| Ok::<_, RegisterError>(Vec::new())).unwrap().register
    }

    /// Credits who came to an event, each on the day.
    fn credit(&self, event: &Day) {
        let understood = Understood::new(self.program);
        let due = credit::due(
            self.program,
            &Scores::of(&understood),
            &self.register(),
            &Scope::of_event(event.event),
        );
        let (later, names) = event.later;
        let mut given: Vec<Given> = due
            .people
            .iter()
            .map(|it| {
                it.given(
                    &self.program.content.settings,
                    if names.contains(&it.name) { later } else { event.day },
                )
            })
            .collect();
        for given in &mut given {
            if given.name == MISSPELLED.0 {
                given.name = MISSPELLED.1.into();
            }
        }
        given.sort_by_key(|given| given.day);
        self.add(given.into_iter().map(|given| self.give(given)).collect());
    }

    /// Gives the awards whose hours are full, all on one day.
    fn award(&self, day: Date) {
        let understood = Understood::new(self.program);
        let due = credit::due(self.program, &Scores::of(&understood), &self.register(), &Scope::default());
        assert!(due.people.iter().all(|it| matches!(it.occasion, Occasion::Award { .. })));
        self.add(
            due.people.iter().map(|it| self.give(it.given(&self.program.content.settings, day))).collect(),
        );
    }

    fn number_of(&self, name: &str) -> Number {
        self.register().all_given().find(|given| given.name == name).unwrap().number.clone()
    }

    fn withdraw(&self, (name, why, day): (&str, &str, Date)) {
        let why = why.to_owned();
        self.add(vec![Entry::Withdrawn(Withdrawn { number: self.number_of(name), day, why })]);
    }

    fn replace(&self, (name, old, day): (&str, &str, Date)) {
        let words = Words { name: Some(name.into()), companion: None };
        let number = self.number_of(old);
        let new = replacement(self.program, &self.register(), &number, &words, day).unwrap();
        self.add(vec![self.give(new)]);
    }
}

/// A copy of the demo with the register that its season would have made.
fn made() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    for file in [FILE, HEAD] {
        let _ = fs::remove_file(folder.path().join(file));
    }
    let mut program = program::open(folder.path()).unwrap();
    let roster = std::sync::Arc::make_mut(&mut program.people.roster);
    for row in roster.rows.iter_mut().filter(|row| row.name == MISTAKEN.0) {
        row.passed = Some(true);
    }
    let season = Season { program: &program, key: SecretKey::from_seed(SEED) };
    let public = season.key.public().to_string();
    season.add(vec![Entry::Key(Key { public, day: date(2026, 3, 2), signed: None })]);
    for event in &DAYS {
        season.credit(event);
        if event.event == "evening-online" {
            season.withdraw(MISTAKEN);
            season.replace(MISSPELLED);
        }
    }
    season.award(date(2026, 10, 31));
    folder
}

#[test]
fn the_demos_register_is_the_one_of_its_season_and_nobody_is_due() {
    let made = made();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    for file in [FILE, HEAD] {
        let made = fs::read(made.path().join(file)).unwrap();
        if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
            fs::create_dir_all(kept.join("records")).unwrap();
            fs::write(kept.join(file), &made).unwrap();
        }
        let same = fs::read(kept.join(file)).is_ok_and(|bytes| bytes == made);
        assert!(same, "content/{file} is out of step with the roster: write it anew");
    }
    // Whoever is due was credited, so that making the demo leaves its folder as it is.
    let program = program::open(&kept).unwrap();
    let understood = Understood::new(&program);
    let due = credit::due(&program, &Scores::of(&understood), &program.people.register, &Scope::default());
    let due: Vec<&str> = due.people.iter().map(|it| it.name).collect();
    assert_eq!(due, [""; 0]);
}

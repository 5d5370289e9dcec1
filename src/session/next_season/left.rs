//! What is left to do in a season that was turned over, as the new folder shows it.

use super::super::{Environment, SessionError};
use crate::finding::Place;
use crate::people::credit;
use crate::people::scope::Scope;
use crate::people::scoring::Scores;
use crate::program::settings::season_years;
use crate::program::{self, Program};
use crate::session::Session;
use crate::shelf::keys;
use crate::understand::Understood;
use jiff::civil::Date;
use std::path::Path;

/// What is left to do, in the order in which it is done.
#[derive(Default)]
pub struct LeftToDo {
    /// The seasons as they are called, the last and the next.
    pub from: String,
    pub to: String,
    /// Certificates of the last season that are due and were not credited there.
    pub due_before: usize,
    /// Certificates that the last season's register has and the new one has not.
    pub credited_since: usize,
    /// How many mistakes keep the new folder from being read.
    pub mistakes: usize,
    /// Events without a date, by name, with their lines in `program.toml`.
    pub undated: Vec<(String, usize)>,
    /// Facts to check against their sources before the season is over, the earliest first.
    pub to_check: Vec<(Date, String)>,
    /// Where years of the last season are named.
    pub years: Vec<YearNamed>,
    /// The days whose hours count, where `[hours]` says so.
    pub hours: Option<(Date, Date)>,
    /// There is no roster yet.
    pub no_roster: bool,
    /// Hours count toward awards, and those of the last season are not here.
    pub hours_behind: bool,
    /// Certificates are signed, and the key is not on this computer.
    pub key_elsewhere: bool,
}

/// A line that names a year of the last season.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YearNamed {
    pub file: String,
    pub line: usize,
    pub year: i16,
    pub text: String,
}

impl LeftToDo {
    /// What is left to do in the folder `next`, which was turned over from `last`; none where it is no other season of
    /// the same program.
    ///
    /// # Errors
    /// The last season cannot be read.
    pub fn of(last: &Path, next: &Path, environment: &Environment) -> Result<Option<Self>, SessionError> {
        if next.join("program.toml").symlink_metadata().is_err() {
            return Ok(None);
        }
        let session = Session::open(Some(last), None, environment)?;
        let last = session.program();
        let (next, mistakes) = match program::open(next) {
            Ok(program) => (Some(program), 0),
            Err(unread) => {
                let stopping = unread.mistakes.iter().filter(|it| it.stops_press).count();
                (unread.partial.map(|partial| *partial), stopping)
            }
        };
        let (Some(next), was) = (next, &last.content.settings) else { return Ok(None) };
        let is = &next.content.settings;
        if was.name != is.name || was.season == is.season {
            return Ok(None);
        }
        let (from, to) = (was.season.clone(), is.season.clone());
        let mut left =
            Self { from, to, mistakes, due_before: due(last, environment.today), ..Self::default() };
        if mistakes == 0 {
            left.look(last, &next, environment);
        }
        Ok(Some(left))
    }

    /// Whether nothing is.
    pub fn is_nothing(&self) -> bool {
        let nothing = self.due_before + self.credited_since + self.mistakes == 0
            && self.undated.is_empty()
            && self.to_check.is_empty()
            && self.years.is_empty();
        nothing && !(self.no_roster || self.hours_behind || self.key_elsewhere)
    }

    fn look(&mut self, last: &Program, next: &Program, environment: &Environment) {
        let settings = &next.content.settings;
        let has = |number: &_| next.people.register.given(number).is_some();
        self.credited_since = last.people.register.all_given().filter(|given| !has(&given.number)).count();
        let line = |place: &Place| next.sources.line_column(place).line;
        let undated = settings.undated.iter();
        self.undated = undated.map(|event| (event.name.clone(), line(&event.place))).collect();
        let (_, last_day) = settings.season_days();
        let facts = next.content.facts.iter();
        let to_check = facts.filter_map(|fact| Some((fact.review_by.as_ref()?.0, fact.name.clone())));
        self.to_check = to_check.filter(|(day, _)| *day <= last_day).collect();
        self.to_check.sort();
        self.years = years_named(next, &last.content.settings.season);
        let hours = &settings.hours;
        let day = |edge: &Option<(Date, Place)>| edge.as_ref().map(|(day, _)| *day);
        self.hours = day(&hours.from).zip(day(&hours.until));
        self.no_roster = next.people.roster.rows.is_empty();
        self.hours_behind =
            !settings.awards.is_empty() && next.people.hours.is_empty() && !last.people.hours.is_empty();
        self.key_elsewhere = next.people.register.key().is_some_and(|key| {
            let folder = environment.keys.as_deref();
            !folder.is_some_and(|folder| matches!(keys::find(folder, &key.public), Ok(Some(_))))
        });
    }
}

/// How many certificates are due that the register does not have yet.
fn due(program: &Program, today: Date) -> usize {
    let understood = Understood::new(program);
    let scores = Scores::of(&understood);
    let mut due = credit::due(program, &scores, &program.people.register, &Scope::default());
    due.take_ahead(today);
    due.people.len()
}

/// The lines of lessons, kits, questions and program files that name a year of a season, but for dates.
fn years_named(program: &Program, season: &str) -> Vec<YearNamed> {
    let years = season_years(season);
    let is_prose = |file: &str| {
        file.starts_with("lessons/")
            || file.starts_with("program.")
            || ["kits.toml", "questions.toml"].contains(&file)
    };
    let files = program.sources.files().filter(|(file, _)| is_prose(file));
    let lines = files.flat_map(|(file, text)| {
        text.lines().enumerate().map(|(at, line)| (file.to_string(), at + 1, line.to_owned()))
    });
    lines
        .filter_map(|(file, line, text)| {
            let year = years.iter().copied().find(|year| names_year(&text, *year))?;
            Some(YearNamed { file, line, year, text: text.trim().to_owned() })
        })
        .collect()
}

/// Whether a line names a year, and not only in a date or a file's name.
fn names_year(line: &str, year: i16) -> bool {
    let year = year.to_string();
    line.match_indices(&year).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + year.len()..].chars().next();
        let is_part =
            |letter: Option<char>| letter.is_some_and(|it| it.is_alphanumeric() || "-/_.".contains(it));
        // A full stop ends a sentence, too.
        let ends = line[at + year.len()..]
            .strip_prefix('.')
            .is_some_and(|rest| !rest.starts_with(char::is_alphanumeric));
        !is_part(before) && (!is_part(after) || ends)
    })
}

#[cfg(test)]
mod tests {
    use super::names_year;

    #[test]
    fn years_are_told_from_dates_and_files() {
        for line in ["The 2026 season.", "Since 2026.", "(2026)", "2026", "in 2026, and"] {
            assert!(names_year(line, 2026), "{line}");
        }
        for line in
            ["date = 2026-05-16", "records/season-2026.json", "12026", "2026/27", "20260516", "1.2026.3"]
        {
            assert!(!names_year(line, 2026), "{line}");
        }
    }
}

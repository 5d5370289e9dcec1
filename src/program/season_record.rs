//! The counts of a season: what the season report says, as numbers alone.
//!
//! `make` writes them as `season-report.json`; kept in `records/` and named by `[report]` in
//! `program.toml`, they are what next year's report is compared with. There is no name and no address in
//! them, but small counts are: the file is for the ranger and the agency, not for the public.
//!
//! The form is the same both ways. Whoever counted an earlier season by hand may write the file with as
//! few keys as are known: only `format` and `season` must be there. Which people they were is counted in
//! [`crate::people::season`].

use super::files::Page;
use super::mistakes::Mistakes;
use crate::finding::{Place, rules};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// The form that is written, and the newest that can be read.
pub const FORMAT: u32 = 1;

/// The counts of one season, in the form of `season-report.json`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeasonRecord {
    pub format: u32,
    pub season: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<People>,
    /// By date.
    #[serde(default)]
    pub events: Vec<EventCounts>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service: Option<Service>,
    /// What was earned.
    #[serde(default)]
    pub rewards: Vec<RewardCount>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub questions: Option<QuestionCounts>,
}

/// Persons, each once however many events they came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Who came to an event.
    pub came: u32,
    /// Who completed a workshop.
    pub completed: u32,
    /// Who came to more than one event, or was known from an earlier season.
    pub repeat: u32,
    /// Who asked to join the service unit.
    pub joining: u32,
}

/// The visits to one event.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventCounts {
    pub id: String,
    pub name: String,
    pub date: Date,
    pub visits: Visits,
}

/// Visits: a person counts at each event.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Visits {
    /// Who stood on the roster.
    pub signed_up: u32,
    pub came: u32,
    pub completed: u32,
    /// Of those who came, who had been at an earlier event or was known from an earlier season.
    pub been_before: u32,
}

/// The service unit's hours.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Service {
    /// Who gave hours.
    pub people: u32,
    /// To a hundredth.
    pub hours: f64,
    /// In the order of the calendar.
    #[serde(default)]
    pub months: Vec<MonthHours>,
    /// The most hours first.
    #[serde(default)]
    pub activities: Vec<ActivityHours>,
    /// Who reached each award this season, in the order of the awards.
    #[serde(default)]
    pub awards: Vec<Named>,
}

/// The hours of one month.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MonthHours {
    /// `2026-05`
    pub month: String,
    pub people: u32,
    pub hours: f64,
}

/// The hours of one activity.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ActivityHours {
    /// Empty where the hours file names none.
    pub name: String,
    pub people: u32,
    pub hours: f64,
}

/// How many of a reward were earned, and by what: the sum of all of these.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RewardCount {
    pub name: String,
    pub count: u32,
    /// By each person who completed a workshop.
    #[serde(default)]
    pub completion: bool,
    /// By each member who reached one of these awards.
    #[serde(default)]
    pub awards: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Named {
    pub name: String,
    pub count: u32,
}

/// How the questions were answered over the season.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionCounts {
    /// How many sheets came back with something on them.
    pub sheets: u32,
    /// In the order of the question sheet.
    pub list: Vec<QuestionCount>,
    /// Alpha or KR-20, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reliability: Option<f64>,
}

/// How one question was answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionCount {
    pub id: String,
    pub right: u32,
    /// A blank among them.
    pub wrong: u32,
    /// Answers that waited for the ranger's eye.
    pub waiting: u32,
}

impl std::ops::AddAssign for Visits {
    fn add_assign(&mut self, more: Self) {
        self.signed_up += more.signed_up;
        self.came += more.came;
        self.completed += more.completed;
        self.been_before += more.been_before;
    }
}

impl SeasonRecord {
    /// The file that is kept of it.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).expect("counts have a form as JSON") + "\n"
    }

    /// All visits of the season.
    pub fn visits(&self) -> Visits {
        self.events.iter().fold(Visits::default(), |mut sum, event| {
            sum += event.visits;
            sum
        })
    }

    /// Reads an earlier season's file; `this` is the season of the program.
    pub(super) fn read(page: &Page, this: &str, mistakes: &Mistakes) -> Option<Self> {
        /// The form's number alone, so that a newer one is told before its new keys are.
        #[derive(Deserialize)]
        struct Head {
            format: u32,
        }
        let whole = || Place::whole(&page.file);
        if let Ok(head) = serde_json::from_str::<Head>(page.text())
            && head.format > FORMAT
        {
            let message = format!("{} was written by a newer packstring than this one.", page.file);
            mistakes.tell(&rules::VALUE_UNFIT, whole(), message, "Use that packstring, or a newer one.");
            return None;
        }
        let record: Self = match serde_json::from_str(page.text()) {
            Ok(record) => record,
            Err(error) => {
                let message = format!("{} does not hold the counts of a season: {}.", page.file, why(&error));
                let mend = "Take the season-report.json that packstring made in that season.";
                mistakes.tell(&rules::SYNTAX, place_of(page, &error), message, mend);
                return None;
            }
        };
        if record.season == this {
            let message = format!("{} holds this season, and not an earlier one.", page.file);
            let mend = "Name the file of an earlier season in [report], or take the line out.";
            mistakes.tell(&rules::VALUE_UNFIT, whole(), message, mend);
        }
        for what in record.at_odds() {
            let message = format!("{what} more people completed a workshop, or had been before, than came.");
            mistakes.tell(
                &rules::VALUE_UNFIT,
                whole(),
                message,
                "Correct the counts by the papers of that season.",
            );
        }
        Some(record)
    }

    /// Where the counts cannot be right.
    fn at_odds(&self) -> Vec<String> {
        let fits = |visits: &Visits| visits.completed.max(visits.been_before) <= visits.came;
        let events = self.events.iter().filter(|event| !fits(&event.visits));
        let mut odd: Vec<String> = events.map(|event| format!("At “{}”,", event.name)).collect();
        if self.people.is_some_and(|people| people.completed.max(people.repeat) > people.came) {
            odd.push("In “people”,".to_owned());
        }
        odd
    }
}

/// The parser's words without its line and column.
fn why(error: &serde_json::Error) -> String {
    let words = error.to_string().replace('`', "");
    words.split(" at line ").next().unwrap_or_default().to_owned()
}

fn place_of(page: &Page, error: &serde_json::Error) -> Place {
    let text = page.text();
    let line: usize = text.split_inclusive('\n').take(error.line().saturating_sub(1)).map(str::len).sum();
    let at = (line + error.column().saturating_sub(1)).min(text.len());
    page.place(at..at)
}

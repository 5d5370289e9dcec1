//! `[hours]`: how the hours file is read and what counts as near an award.

use crate::finding::{Place, rules};
use crate::program::Written;
use crate::program::day::DayOrder;
use crate::program::form::Form;
use crate::program::hours::HEADINGS;
use crate::program::mistakes::offer;
use crate::program::share::Share;
use jiff::civil::Date;

#[derive(Clone, Debug, Default)]
pub struct HoursSettings {
    /// Which of two numbers in a date such as `4/5/2026` is the day.
    pub dates: Option<DayOrder>,
    /// How far from an award counts as near it; as [`NEAR`] otherwise.
    pub near: Option<Share>,
    /// The days whose hours are this season's; the year that `season` names otherwise.
    pub from: Option<(Date, Place)>,
    pub until: Option<(Date, Place)>,
    /// For one of packstring's words the headings of its columns: one, or those of a name whose cells are joined.
    pub headings: Vec<(&'static str, Vec<Written>)>,
}

/// Hours that count as near an award where the program says nothing.
pub const NEAR: Share = Share::Count(5);

impl HoursSettings {
    pub(super) fn read(mut table: Form) -> Self {
        let orders = [("day first", DayOrder::DayFirst), ("month first", DayOrder::MonthFirst)];
        let settings = Self {
            dates: table.choice("dates", &orders),
            near: table.share("near"),
            from: table.date("from"),
            until: table.date("until"),
            headings: table.form("headings", "[hours.headings] table").map(headings).unwrap_or_default(),
        };
        if let (Some((from, _)), Some((until, place))) = (&settings.from, &settings.until)
            && from > until
        {
            let message = "The season's last day is before its first.";
            table.tell(&rules::VALUE_UNFIT, place.clone(), message, "Write the days the other way round.");
        }
        table.finish();
        settings
    }
}

fn headings(mut table: Form) -> Vec<(&'static str, Vec<Written>)> {
    let mut headings = Vec::new();
    for (key, value) in table.take_all() {
        match HEADINGS.into_iter().find(|word| *word == key.text) {
            Some("name") if value.is_list() => {
                let of = "headings, such as [\"First name\", \"Last name\"]";
                let named: Vec<Written> =
                    value.list(of).into_iter().filter_map(|value| value.text()).collect();
                headings.push(("name", named));
            }
            Some(word) => headings.extend(value.text().map(|heading| (word, vec![heading]))),
            None => {
                let message = format!("packstring does not read “{}” from an hours file.", key.text);
                let all = format!("It may be: {}.", HEADINGS.join(", "));
                let mend = offer(&key.text, HEADINGS, &all);
                table.tell(&rules::KEY_UNKNOWN, key.place, message, mend);
            }
        }
    }
    headings
}

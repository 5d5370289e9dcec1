//! Days as people write them in tables: read where they can mean only one day, asked about otherwise.
//!
//! `2026-05-04` is read first and preferred (ISO 8601). Names of months leave no doubt. Of two numbers
//! with points between them the first is the day, as where that form is at home; with slashes or hyphens
//! `4/5/2026` may be either day, and is read only where the program says which comes first. Common
//! practice, no source.

use crate::quantity::month;
use jiff::civil::Date;

/// Which of two numbers in a date is the day, where both could be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayOrder {
    DayFirst,
    MonthFirst,
}

/// Why a text is no day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoDay {
    /// It may be either.
    Ambiguous(Date, Date),
    /// The calendar has no such day.
    Impossible,
    /// The year has two digits.
    ShortYear,
    /// A spreadsheet's count of days, without its form; this day is meant, as a rule.
    Counted(Date),
    Unread,
}

impl NoDay {
    /// What is wrong, in a sentence.
    pub fn message(self) -> String {
        match self {
            Self::Ambiguous(one, other) => format!("This date could be {one} or {other}."),
            Self::Impossible => "The calendar has no such day.".to_owned(),
            Self::ShortYear => "The year of this date has only two digits.".to_owned(),
            Self::Counted(_) => "This is a spreadsheet's count of days, not a date.".to_owned(),
            Self::Unread => "packstring cannot read this as a date.".to_owned(),
        }
    }

    /// How to mend it; `setting` names where a program says which number is the day.
    pub fn mend(self, setting: &str) -> String {
        match self {
            Self::Ambiguous(..) => format!(
                "Write the one that is meant, year first; or say for all of the file in program.toml, under {setting}: dates = \"day first\" or \"month first\"."
            ),
            Self::Counted(day) => {
                format!(
                    "Write {day} if that is the right day. Or format the column as a date and export the file again."
                )
            }
            Self::Impossible | Self::ShortYear | Self::Unread => {
                "Write the date as year, month and day: 2026-05-16.".to_owned()
            }
        }
    }
}

/// The day that a text states. A time of day behind it, as forms export it, is passed over.
pub fn read(text: &str, order: Option<DayOrder>) -> Result<Date, NoDay> {
    let parts = parts(without_time(text.trim()));
    let numbers: Vec<&str> = parts.iter().filter(|part| part.is_number()).map(|part| part.text).collect();
    let words: Vec<&str> = parts.iter().filter(|part| part.is_word()).map(|part| part.text).collect();
    let months: Vec<i8> = words.iter().filter_map(|word| month(word)).collect();
    if months.len() > 1 {
        return Err(NoDay::Unread);
    }
    match (&numbers[..], months.first().copied()) {
        ([day, year] | [year, day], Some(month)) if year.len() == 4 && day.len() <= 2 => {
            if words.iter().all(|word| is_of_a_date(word)) {
                date(year, month, day)
            } else {
                Err(NoDay::Unread)
            }
        }
        ([_, _], Some(_)) => Err(NoDay::ShortYear),
        (_, Some(_)) => Err(NoDay::Unread),
        _ if !words.is_empty() => Err(NoDay::Unread),
        ([whole], None) => of_digits(whole),
        ([year, month, day], None) if year.len() == 4 => date(year, month.parse().unwrap_or(0), day),
        ([first, second, year], None) if year.len() == 4 => {
            let has_points = parts.iter().any(|part| part.text == ".");
            two_orders(first, second, year, if has_points { Some(DayOrder::DayFirst) } else { order })
        }
        ([_, _, year], None) if year.len() == 2 => Err(NoDay::ShortYear),
        _ => Err(NoDay::Unread),
    }
}

fn date(year: &str, month: i8, day: &str) -> Result<Date, NoDay> {
    let year = year.parse().map_err(|_| NoDay::Unread)?;
    let day = day.parse().map_err(|_| NoDay::Impossible)?;
    Date::new(year, month, day).map_err(|_| NoDay::Impossible)
}

/// `4/5/2026`: one day where only one is possible or the order is known.
fn two_orders(first: &str, second: &str, year: &str, order: Option<DayOrder>) -> Result<Date, NoDay> {
    let day_first = date(year, second.parse().unwrap_or(0), first);
    let month_first = date(year, first.parse().unwrap_or(0), second);
    match (day_first, month_first, order) {
        (Ok(day), Ok(other), _) if day == other => Ok(day),
        (day, _, Some(DayOrder::DayFirst)) | (_, day, Some(DayOrder::MonthFirst)) => day,
        (Ok(day), Ok(other), None) => Err(NoDay::Ambiguous(day, other)),
        (Ok(day), Err(_), None) | (Err(_), Ok(day), None) => Ok(day),
        (Err(why), Err(_), None) => Err(why),
    }
}

/// `20260516`; or the count of days since the end of 1899 that spreadsheets keep dates as.
fn of_digits(digits: &str) -> Result<Date, NoDay> {
    match digits.len() {
        8 => date(&digits[..4], digits[4..6].parse().unwrap_or(0), &digits[6..]),
        5 => {
            let days: i32 = digits.parse().map_err(|_| NoDay::Unread)?;
            let start = Date::constant(1899, 12, 30);
            start
                .checked_add(jiff::Span::new().days(days))
                .map_or(Err(NoDay::Unread), |day| Err(NoDay::Counted(day)))
        }
        _ => Err(NoDay::Unread),
    }
}

const WEEKDAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

fn is_of_a_date(word: &str) -> bool {
    let lower = word.to_lowercase();
    let weekday =
        || WEEKDAYS.iter().any(|name| *name == lower || (lower.len() >= 3 && name.starts_with(&lower)));
    matches!(&*lower, "st" | "nd" | "rd" | "th" | "of") || month(word).is_some() || weekday()
}

/// Without what follows the date: `T09:00:00`, ` 9:00 AM`.
fn without_time(text: &str) -> &str {
    let Some(colon) = text.find(':') else { return text };
    let hour = text[..colon].trim_end_matches(|letter: char| letter.is_ascii_digit());
    let date = hour.strip_suffix(['T', ' ', '\u{a0}']).map(|date| date.trim_end().trim_end_matches(','));
    date.filter(|date| !date.is_empty()).unwrap_or(text)
}

struct Part<'t> {
    text: &'t str,
}

impl Part<'_> {
    fn is_number(&self) -> bool {
        self.text.starts_with(|letter: char| letter.is_ascii_digit())
    }

    fn is_word(&self) -> bool {
        self.text.starts_with(char::is_alphabetic)
    }
}

/// Runs of digits, runs of letters, and the marks between them.
fn parts(text: &str) -> Vec<Part<'_>> {
    let kind = |letter: char| match letter {
        '0'..='9' => 0,
        letter if letter.is_alphabetic() => 1,
        letter if letter.is_whitespace() => 2,
        _ => 3,
    };
    let mut parts = Vec::new();
    let mut start = 0;
    let mut before = None;
    for (at, letter) in text.char_indices() {
        if before.is_some_and(|before| before != kind(letter) || before == 3) {
            parts.push(Part { text: &text[start..at] });
            start = at;
        }
        before = Some(kind(letter));
    }
    parts.push(Part { text: &text[start..] });
    let known = |part: &Part| {
        kind(part.text.chars().next().unwrap_or(' ')) != 3 || matches!(part.text, "-" | "/" | "." | ",")
    };
    if parts.iter().all(known) { parts } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_date_that_can_mean_one_day_is_read() {
        let day = date(2026, 5, 16);
        for text in [
            "2026-05-16",
            "2026/5/16",
            "20260516",
            "16.5.2026",
            "16/05/2026",
            "5/16/2026",
            "5-16-2026",
            "May 16 2026",
            "May 16, 2026",
            "16 May 2026",
            "16-May-2026",
            "16th of may 2026",
            "Sat, May 16, 2026",
            "2026-05-16T09:00:00",
            "5/16/2026 9:04:11 AM",
            " 2026-05-16, 09:00",
        ] {
            assert_eq!(read(text, None), Ok(day), "{text}");
        }
    }

    #[test]
    fn a_date_that_can_mean_two_days_is_asked_about() {
        let (may, april) = (date(2026, 5, 4), date(2026, 4, 5));
        assert_eq!(read("4/5/2026", None), Err(NoDay::Ambiguous(may, april)));
        assert_eq!(read("4/5/2026", Some(DayOrder::DayFirst)), Ok(may));
        assert_eq!(read("4/5/2026", Some(DayOrder::MonthFirst)), Ok(april));
        assert_eq!(read("5/5/2026", None), Ok(date(2026, 5, 5)));
        assert_eq!(read("16/5/2026", Some(DayOrder::MonthFirst)), Err(NoDay::Impossible));
    }

    #[test]
    fn what_is_no_day_says_why() {
        for (text, why) in [
            ("31/4/2026", NoDay::Impossible),
            ("2026-02-30", NoDay::Impossible),
            ("February 29 2026", NoDay::Impossible),
            ("4/5/26", NoDay::ShortYear),
            ("May 4, 26", NoDay::ShortYear),
            ("46158", NoDay::Counted(date(2026, 5, 16))),
            ("", NoDay::Unread),
            ("last week", NoDay::Unread),
            ("May 2026", NoDay::Unread),
            ("Maybe 16 2026", NoDay::Unread),
            ("2026-05-16?", NoDay::Unread),
            ("2026-05-16 to 2026-05-18", NoDay::Unread),
            ("May 16 June 2026", NoDay::Unread),
            ("9:00", NoDay::Unread),
        ] {
            assert_eq!(read(text, None), Err(why), "{text}");
        }
    }
}

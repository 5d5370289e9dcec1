//! Dates, clock times and plurals of a language, as CLDR has them, through icu4x.
//!
//! Templates get no code but words, so what CLDR knows is given to them as words too: patterns with braces to fill
//! in, and lists to look up. A theme's own `[calendar]` in `words/` wins over it.

use icu_calendar::{Date, Gregorian};
use icu_datetime::fieldsets::{M, T, YMD, YMDE};
use icu_datetime::input::Time;
use icu_datetime::{
    DateTimeFormatterPreferences, FixedCalendarDateTimeFormatter, NoCalendarFormatter, parts,
};
use icu_locale_core::{Locale, locale};
use icu_plurals::{PluralCategory, PluralRules};
use serde_json::{Value, json};
use std::fmt;
use writeable::{Part, PartsWrite, Writeable};

/// How many counts [`plurals`] has: of larger ones, those from 100 on come round with every hundred.
const COUNTS: u32 = 200;

/// How a language writes days and clock times:
///
/// | key | is |
/// | --- | --- |
/// | `date` | `{month} {day}, {year}` |
/// | `day` | the same with `{weekday}` |
/// | `time` | `{hour}:{minute} {half}` |
/// | `months` | as they stand in a date |
/// | `months-alone` | as they stand by themselves |
/// | `weekdays` | from Monday |
/// | `hours` | of the clock, from midnight: `12`, `1`, … or `00`, `01`, … |
/// | `halves` | of the day: `AM`, `PM` |
///
/// `None` where icu4x has nothing for the tag.
pub fn calendar(language: &str) -> Option<Value> {
    let preferences: DateTimeFormatterPreferences = locale_of(language).into();
    let date = FixedCalendarDateTimeFormatter::<Gregorian, _>::try_new(preferences, YMD::long()).ok()?;
    let day = FixedCalendarDateTimeFormatter::<Gregorian, _>::try_new(preferences, YMDE::long()).ok()?;
    let month = FixedCalendarDateTimeFormatter::<Gregorian, _>::try_new(preferences, M::long()).ok()?;
    let time = NoCalendarFormatter::try_new(preferences, T::hm()).ok()?;
    // The first of January 2024 is a Monday.
    let new_year = Date::try_new_gregorian(2024, 1, 1).ok()?;
    let firsts: Vec<_> = (1..=12).filter_map(|month| Date::try_new_gregorian(2024, month, 1).ok()).collect();
    let week: Vec<_> = (1..=7).filter_map(|day| Date::try_new_gregorian(2024, 1, day).ok()).collect();
    let clock: Vec<_> = (0..24).filter_map(|hour| Time::try_new(hour, 30, 0, 0).ok()).collect();
    let hours: Vec<FormattedParts> = clock.iter().map(|at| FormattedParts::of(&time.format(at))).collect();
    let halves = [&hours[0], &hours[12]].map(|told| told.part(parts::DAY_PERIOD));
    Some(json!({
        "date": FormattedParts::of(&date.format(&new_year)).pattern(),
        "day": FormattedParts::of(&day.format(&new_year)).pattern(),
        "time": hours.first()?.pattern(),
        "months": of_each(&firsts, |first| FormattedParts::of(&date.format(first)).part(parts::MONTH)),
        "months-alone": of_each(&firsts, |first| FormattedParts::of(&month.format(first)).text),
        "weekdays": of_each(&week, |of_week| FormattedParts::of(&day.format(of_week)).part(parts::WEEKDAY)),
        "hours": of_each(&hours, |told| hour_of(told, !halves[0].is_empty())),
        "halves": halves,
    }))
}

/// The hour as it is told. With halves of the day it has no zero before it (CLDR's pattern `h`): icu4x pads it in es-MX.
fn hour_of(told: &FormattedParts, has_halves: bool) -> String {
    let hour = told.part(parts::HOUR);
    match hour.strip_prefix('0') {
        Some(bare) if has_halves && !bare.is_empty() => bare.to_owned(),
        _ => hour,
    }
}

fn of_each<T>(things: &[T], words: impl Fn(&T) -> String) -> Vec<String> {
    things.iter().map(words).collect()
}

/// Which form of a word goes with each count, from 0 up to 199: `one`, `few`, `many`, `other`. Larger
/// counts take the form of 100 and what they have beyond a hundred, as all rules of CLDR for whole numbers do
/// that end with the last two digits; the few that do not (millions in Spanish, Breton, Cornish) have no
/// count here that large.
pub fn plurals(language: &str) -> Vec<&'static str> {
    let rules = PluralRules::try_new(locale_of(language).into(), Default::default()).ok();
    let form = |count: u32| rules.as_ref().map_or(PluralCategory::Other, |rules| rules.category_for(count));
    (0..COUNTS).map(|count| name(form(count))).collect()
}

fn name(form: PluralCategory) -> &'static str {
    match form {
        PluralCategory::Zero => "zero",
        PluralCategory::One => "one",
        PluralCategory::Two => "two",
        PluralCategory::Few => "few",
        PluralCategory::Many => "many",
        PluralCategory::Other => "other",
    }
}

fn locale_of(language: &str) -> Locale {
    language.parse().unwrap_or(locale!("en"))
}

/// A text that icu4x wrote, and which of its parts are what.
#[derive(Default)]
struct FormattedParts {
    text: String,
    parts: Vec<(std::ops::Range<usize>, Part)>,
}

impl FormattedParts {
    fn of(formatted: &impl Writeable) -> Self {
        let mut told = Self::default();
        // A text cannot fail to be added to; what icu4x has no words for it writes as a sign of its own.
        let _ = formatted.write_to_parts(&mut told);
        told
    }

    fn part(&self, part: Part) -> String {
        let range = self.parts.iter().find(|(_, own)| *own == part).map(|(range, _)| range.clone());
        self.text[range.unwrap_or_default()].to_owned()
    }

    /// The text with braces in place of what is of one day or hour. A space that must not
    /// break is a plain one here: templates bind what they print.
    fn pattern(&self) -> String {
        let mut pattern = String::new();
        let mut at = 0;
        let mut parts = self.parts.clone();
        parts.sort_by_key(|(range, _)| range.start);
        for (range, part) in parts {
            let braces = match part {
                parts::YEAR => "{year}",
                parts::MONTH => "{month}",
                parts::DAY => "{day}",
                parts::WEEKDAY => "{weekday}",
                parts::HOUR => "{hour}",
                parts::MINUTE => "{minute}",
                parts::DAY_PERIOD => "{half}",
                _ => continue,
            };
            pattern.push_str(&self.text[at..range.start]);
            pattern.push_str(braces);
            at = range.end;
        }
        pattern.push_str(&self.text[at..]);
        pattern.replace(['\u{a0}', '\u{202f}'], " ")
    }
}

impl fmt::Write for FormattedParts {
    fn write_str(&mut self, words: &str) -> fmt::Result {
        self.text.push_str(words);
        Ok(())
    }
}

impl PartsWrite for FormattedParts {
    type SubPartsWrite = Self;

    fn with_part(&mut self, part: Part, mut write: impl FnMut(&mut Self) -> fmt::Result) -> fmt::Result {
        let start = self.text.len();
        write(self)?;
        self.parts.push((start..self.text.len(), part));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pattern of CLDR with braces: `d 'de' MMMM` → `{day} de {month}`.
    fn braced(pattern: &str) -> String {
        let fields = [
            ("EEEE", "{weekday}"),
            ("MMMM", "{month}"),
            ("HH", "{hour}"),
            ("H", "{hour}"),
            ("h", "{hour}"),
            ("mm", "{minute}"),
            ("d", "{day}"),
            ("y", "{year}"),
            ("a", "{half}"),
        ];
        let of_parts = pattern.split('\'').enumerate().map(|(at, part)| {
            if at % 2 == 1 {
                return part.to_owned();
            }
            let mut rest = part;
            let mut braced = String::new();
            while let Some(letter) = rest.chars().next() {
                let field = fields.iter().find(|(field, _)| rest.starts_with(field));
                let (taken, words) =
                    field.map_or((letter.len_utf8(), None), |(field, words)| (field.len(), Some(words)));
                braced.push_str(words.map_or(&rest[..taken], |words| words));
                rest = &rest[taken..];
            }
            braced
        });
        of_parts.collect()
    }

    /// CLDR 48.2, `tests/reference/cldr/dates.csv`.
    #[test]
    fn days_and_times_are_those_of_the_language() {
        let file = include_str!("../../tests/reference/cldr/dates.csv");
        // A space that does not break is told apart by nobody.
        let plain = |text: &str| text.replace(['\u{a0}', '\u{202f}'], " ");
        for record in csv::Reader::from_reader(file.as_bytes()).records() {
            let record = record.unwrap();
            let words = calendar(&record[0]).unwrap();
            let language = &record[0];
            assert_eq!(words["date"], braced(&record[1]), "{language}");
            assert_eq!(words["day"], braced(&record[2]), "{language}");
            assert_eq!(words["time"], plain(&braced(&record[3])), "{language}");
            assert_eq!(words["months"][4], record[4], "{language}");
            let half = if record[3].contains('a') { plain(&record[5]) } else { String::new() };
            assert_eq!(plain(words["halves"][1].as_str().unwrap()), half, "{language}");
        }
        let english = calendar("en-US").unwrap();
        assert_eq!(english["weekdays"][5], "Saturday");
        assert_eq!((&english["hours"][0], &english["hours"][13]), (&json!("12"), &json!("1")));
        assert_eq!(calendar("en-GB").unwrap()["hours"][9], "09");
        // Both have the pattern h:mm a (CLDR 48.2).
        assert_eq!(calendar("es-MX").unwrap()["hours"], calendar("es-US").unwrap()["hours"]);
        // A month that stands in a date is in another case than one by itself.
        let polish = calendar("pl").unwrap();
        assert_eq!((&polish["months"][4], &polish["months-alone"][4]), (&json!("maja"), &json!("maj")));
    }

    #[test]
    fn every_count_has_its_form() {
        assert_eq!(plurals("en")[..3], ["other", "one", "other"]);
        assert_eq!(plurals("pl")[..6], ["many", "one", "few", "few", "few", "many"]);
        for language in [
            "en", "es", "fr", "pt", "de", "it", "pl", "ru", "cs", "sl", "lt", "lv", "ar", "cy", "ga", "gd",
            "mt", "he", "ro",
        ] {
            let forms = plurals(language);
            let rules = PluralRules::try_new(locale_of(language).into(), Default::default()).unwrap();
            for count in COUNTS..10_000 {
                let form = forms[usize::try_from(100 + count % 100).unwrap()];
                assert_eq!(form, name(rules.category_for(count)), "{count} in {language}");
            }
        }
    }
}

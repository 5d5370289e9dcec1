//! `program.toml` and what an edition has beside it, as they begin the next season: the season's name, events whose
//! dates are to be set, the days of the hours a year later, and the counts that the report is compared with. All else
//! stays byte for byte, notes and spacing too.

use jiff::ToSpan;
use jiff::civil::Date;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A season turned over into the next.
pub(super) struct Turn<'t> {
    pub from: &'t str,
    pub to: &'t str,
    /// The file of the last season's counts.
    pub counts: Option<&'t str>,
}

/// The name of the season after the one that is called so: each year in it is one later. `None` where it names no
/// year.
pub fn season_after(season: &str) -> Option<String> {
    with_years(season, 1)
}

/// A season's name with its years later by so many: “2026” → “2027”, “Spring 2026”, “2025–26” → “2026–27”.
fn with_years(season: &str, later: i16) -> Option<String> {
    let mut moved = String::new();
    let mut last_year = None;
    let mut rest = season;
    while let Some(start) = rest.find(|letter: char| letter.is_ascii_digit()) {
        let (before, digits) = rest.split_at(start);
        let end = digits.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(digits.len());
        let (digits, after) = digits.split_at(end);
        moved += before;
        match (digits.len(), digits.parse::<i16>(), last_year) {
            (4, Ok(year), _) if (1900..2200).contains(&year) => {
                moved += &(year + later).to_string();
                last_year = Some(year);
            }
            // The second of two years: “2025–26”.
            (2, Ok(year), Some(first)) if (first + 1) % 100 == year => {
                moved += &format!("{:02}", (year + later).rem_euclid(100));
            }
            _ => moved += digits,
        }
        rest = after;
    }
    last_year.map(|_| moved + rest)
}

/// How many years a season's name is after another's.
fn years_between(from: &str, to: &str) -> i16 {
    (1..=9).find(|later| with_years(from, *later).as_deref() == Some(to)).unwrap_or(1)
}

impl Turn<'_> {
    /// A program file, or where it is none of the main edition, what an edition has. One that is no text stays as it
    /// is.
    pub fn program_file(&self, bytes: &[u8], is_main: bool) -> Vec<u8> {
        let Ok(text) = std::str::from_utf8(bytes) else { return bytes.to_vec() };
        let (mark, text) = match text.strip_prefix('\u{feff}') {
            Some(text) => ("\u{feff}", text),
            None => ("", text),
        };
        format!("{mark}{}", self.text(text, is_main)).into_bytes()
    }

    fn text(&self, text: &str, is_main: bool) -> String {
        let Ok(table) = DeTable::parse(text) else { return text.to_owned() };
        let table = table.into_inner();
        let mut edits = Edits { text, list: Vec::new() };
        if let Some((_, season)) = table_of(&table, "program").and_then(|program| entry(program, "season")) {
            self.season(season, &mut edits);
        }
        if is_main {
            let events = entry(&table, "events").and_then(|(_, events)| events.get_ref().as_array());
            for event in events.into_iter().flatten().filter_map(|event| event.get_ref().as_table()) {
                edits.event(event);
            }
            let later = years_between(self.from, self.to);
            if let Some(hours) = table_of(&table, "hours") {
                ["from", "until"].into_iter().for_each(|key| edits.later(hours, key, later));
            }
            if let Some(counts) = self.counts {
                edits.counts(&table, counts);
            }
        }
        edits.apply()
    }

    /// In an edition the season may be called otherwise.
    fn season(&self, season: &Spanned<DeValue>, edits: &mut Edits) {
        let called = season.get_ref().as_str().unwrap_or_default();
        let to = match called == self.from {
            true => Some(self.to.to_owned()),
            false => with_years(called, years_between(self.from, self.to)),
        };
        if let Some(to) = to {
            edits.list.push((season.span(), format!("\"{to}\"")));
        }
    }
}

type Entry<'t> = (&'t Spanned<std::borrow::Cow<'t, str>>, &'t Spanned<DeValue<'t>>);

fn entry<'t>(table: &'t DeTable<'t>, key: &str) -> Option<Entry<'t>> {
    table.iter().find(|(own, _)| own.get_ref() == key)
}

fn table_of<'t>(table: &'t DeTable<'t>, key: &str) -> Option<&'t DeTable<'t>> {
    entry(table, key)?.1.get_ref().as_table()
}

/// What is to stand where in a text.
struct Edits<'t> {
    text: &'t str,
    list: Vec<(Range<usize>, String)>,
}

impl Edits<'_> {
    /// The date is to be set. What it was called in an earlier season, and that people came again then, is of that
    /// season.
    fn event(&mut self, event: &DeTable) {
        if let Some((_, date)) = entry(event, "date") {
            self.list.push((date.span(), "\"\"".into()));
        }
        if let Some((key, days)) = entry(event, "days") {
            self.list.push((key.span().start..days.span().end, "date = \"\"".into()));
        }
        for (key, nothing) in [("was", "[]"), ("again", "false")] {
            let Some((key, value)) = entry(event, key) else { continue };
            match self.whole_lines(key.span().start..value.span().end) {
                Some(lines) => self.list.push((lines, String::new())),
                None => self.list.push((value.span(), nothing.into())),
            }
        }
    }

    /// The lines that hold nothing else but a note.
    fn whole_lines(&self, range: Range<usize>) -> Option<Range<usize>> {
        let start = self.text[..range.start].rfind('\n').map_or(0, |end| end + 1);
        let end = self.text[range.end..].find('\n').map_or(self.text.len(), |end| range.end + end + 1);
        let after = self.text[range.end..end].trim();
        let is_alone =
            self.text[start..range.start].trim().is_empty() && (after.is_empty() || after.starts_with('#'));
        is_alone.then_some(start..end)
    }

    fn later(&mut self, table: &DeTable, key: &str, years: i16) {
        let Some((_, value)) = entry(table, key) else { return };
        let day = self.text[value.span()].parse::<Date>();
        if let Ok(later) = day.and_then(|day| day.checked_add(years.years())) {
            self.list.push((value.span(), later.to_string()));
        }
    }

    /// The report is compared with these counts.
    fn counts(&mut self, table: &DeTable, file: &str) {
        let line = format!("earlier = \"{file}\"");
        let report = entry(table, "report");
        let earlier = report.and_then(|(_, report)| entry(report.get_ref().as_table()?, "earlier"));
        match (earlier, report) {
            (Some((_, earlier)), _) => self.list.push((earlier.span(), format!("\"{file}\""))),
            (None, Some(_)) => {
                let Some(heading) = self.text.find("[report]").map(|start| start + "[report]".len()) else {
                    return;
                };
                let end = self.text[heading..].find('\n').map_or(self.text.len(), |end| heading + end);
                self.list.push((end..end, format!("\n{line}")));
            }
            (None, None) => {
                let between = if self.text.ends_with('\n') { "\n" } else { "\n\n" };
                let end = self.text.len();
                self.list.push((end..end, format!("{between}[report]\n{line}\n")));
            }
        }
    }

    fn apply(mut self) -> String {
        self.list.sort_by_key(|(range, _)| range.start);
        let mut text = String::with_capacity(self.text.len());
        let mut at = 0;
        for (range, words) in &self.list {
            text += &self.text[at..range.start];
            text += words;
            at = range.end;
        }
        text + &self.text[at..]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_years_of_a_season_move_by_one() {
        for (from, to) in [
            ("2026", Some("2027")),
            ("Spring 2026", Some("Spring 2027")),
            ("2025–26", Some("2026–27")),
            ("1999/00", Some("2000/01")),
            ("2025-2026", Some("2026-2027")),
            ("Season 12, 2026", Some("Season 12, 2027")),
            ("The High Summer", None),
            ("12", None),
        ] {
            assert_eq!(season_after(from).as_deref(), to, "{from}");
        }
    }

    fn turned(text: &str) -> String {
        let turn = Turn { from: "2026", to: "2027", counts: Some("records/season-2026.json") };
        String::from_utf8(turn.program_file(text.as_bytes(), true)).unwrap()
    }

    #[test]
    fn what_is_of_one_year_alone_is_taken_out_and_all_else_stays() {
        let text = "\u{feff}# ours\r\n[program]\r\nseason = '2026'  # printed\r\n\r\n[[events]]\r\nid = \"north\"\r\ndate = 2026-05-16 # a Saturday\r\nwas = \"northern\"\r\nagain = true  # they came again\r\nstart = 09:00\r\n\r\n[[events]]\r\ndays = [2026-05-16,\r\n  2026-05-23]\r\n\r\n[hours]\r\nfrom = 2025-10-01\r\nuntil = 2026-09-30\r\n";
        let expected = "\u{feff}# ours\r\n[program]\r\nseason = \"2027\"  # printed\r\n\r\n[[events]]\r\nid = \"north\"\r\ndate = \"\" # a Saturday\r\nstart = 09:00\r\n\r\n[[events]]\r\ndate = \"\"\r\n\r\n[hours]\r\nfrom = 2026-10-01\r\nuntil = 2027-09-30\r\n\n[report]\nearlier = \"records/season-2026.json\"\n";
        assert_eq!(turned(text), expected);
        let inline = "events = [{ id = \"a\", date = 2026-05-16, was = \"b\", again = true }]\n[report]\nearlier = \"records/season-2025.json\" # mine\n";
        assert_eq!(
            turned(inline),
            "events = [{ id = \"a\", date = \"\", was = [], again = false }]\n[report]\nearlier = \"records/season-2026.json\" # mine\n"
        );
        assert_eq!(
            turned("[report]  # later\n[site]\n"),
            "[report]  # later\nearlier = \"records/season-2026.json\"\n[site]\n"
        );
    }

    #[test]
    fn an_edition_keeps_its_own_name_of_the_season() {
        let turn = Turn { from: "Spring 2026", to: "Spring 2027", counts: None };
        let text = "[program]\nseason = \"Primavera de 2026\"\n[events.north]\nname = \"Taller\"\n";
        let next = String::from_utf8(turn.program_file(text.as_bytes(), false)).unwrap();
        assert_eq!(next, text.replace("2026", "2027"));
    }
}

//! iCalendar (RFC 5545): days with something to do and hours of workshops, for a calendar that any program can read.
//!
//! Lines end in CR LF and are folded at 75 octets (section 3.1); text is escaped (3.3.11). There is no
//! clock in it: what was made, and when, comes from the entries, so that the same input gives the same
//! bytes.

use crate::digest::hex;
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use sha2::{Digest, Sha256};

/// When an entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// A whole day, which makes nobody busy.
    Day(Date),
    /// From one moment to another.
    Moments(Timestamp, Timestamp),
    /// From one time to another, by the clock wherever it is read (3.3.5, form 1).
    Clock(DateTime, DateTime),
}

/// What stands in a calendar.
pub struct Entry {
    /// The same whenever the entry is told of again, so that a calendar renews it (3.8.4.7).
    pub uid: String,
    pub when: When,
    /// The day of the knowledge that it is told from (3.8.7.2).
    pub stamp: Date,
    pub summary: String,
    /// Several lines.
    pub description: String,
    pub location: Option<String>,
    pub address: Option<url::Url>,
    /// Whether it comes before others (3.8.1.9).
    pub first: bool,
}

/// The name of an entry, the same whenever it is told of again by these parts (3.8.4.7).
pub fn uid(parts: &[&str]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    format!("{}@packstring", hex(&hash.finalize()[..16]))
}

/// The longest line, in octets, without its line end (3.1).
const LONGEST: usize = 75;

/// A whole calendar of a kind of entries, such as `Facts to re-check`.
pub fn calendar(kind: &str, entries: &[Entry]) -> String {
    let mut text = String::new();
    let mut line = |words: &str| fold(words, &mut text);
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line(&format!("PRODID:-//packstring//{kind}//EN"));
    line("CALSCALE:GREGORIAN");
    for entry in entries {
        line("BEGIN:VEVENT");
        line(&format!("UID:{}", entry.uid));
        line(&format!("DTSTAMP:{}T000000Z", entry.stamp.strftime("%Y%m%d")));
        times(entry.when).iter().for_each(|time| line(time));
        line(&format!("SUMMARY:{}", escaped(&entry.summary)));
        line(&format!("DESCRIPTION:{}", escaped(&entry.description)));
        if let Some(location) = &entry.location {
            line(&format!("LOCATION:{}", escaped(location)));
        }
        if let Some(address) = &entry.address {
            line(&format!("URL:{address}"));
        }
        if entry.first {
            line("PRIORITY:1");
        }
        if let When::Day(_) = entry.when {
            // It does not make anybody busy (3.8.2.7).
            line("TRANSP:TRANSPARENT");
        }
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    text
}

/// When it begins and ends. A whole day without an end lasts one (3.6.1).
fn times(when: When) -> Vec<String> {
    let moment = |name: &str, at: Timestamp| format!("{name}:{}", at.strftime("%Y%m%dT%H%M%SZ"));
    let clock = |name: &str, at: DateTime| format!("{name}:{}", at.strftime("%Y%m%dT%H%M%S"));
    match when {
        When::Day(day) => vec![format!("DTSTART;VALUE=DATE:{}", day.strftime("%Y%m%d"))],
        When::Moments(from, to) => vec![moment("DTSTART", from), moment("DTEND", to)],
        When::Clock(from, to) => vec![clock("DTSTART", from), clock("DTEND", to)],
    }
}

/// Text as a value: what would end it, or the line, is escaped (3.3.11). Controls have no place in it.
fn escaped(text: &str) -> String {
    let mut value = String::with_capacity(text.len());
    for letter in text.replace("\r\n", "\n").chars() {
        match letter {
            '\\' | ';' | ',' => value.extend(['\\', letter]),
            '\n' => value.push_str("\\n"),
            '\t' => value.push(letter),
            letter if letter.is_control() => value.push(' '),
            letter => value.push(letter),
        }
    }
    value
}

/// Writes a line in as many as it takes; each further one starts with a space (3.1). No letter is split,
/// nor is a line folded beside a space of its own, which readers have been seen to lose.
fn fold(line: &str, text: &mut String) {
    let mut rest = line;
    let mut room = LONGEST;
    while rest.len() > room {
        let spaced = |at: &usize| rest.as_bytes()[at - 1] == b' ' || rest.as_bytes()[*at] == b' ';
        let between = |at: &usize| rest.is_char_boundary(*at);
        let mut places = (1..=room).rev().filter(between);
        let at = places.clone().find(|at| !spaced(at)).or_else(|| places.next()).unwrap_or(rest.len());
        text.push_str(&rest[..at]);
        text.push_str("\r\n ");
        rest = &rest[at..];
        room = LONGEST - 1;
    }
    text.push_str(rest);
    text.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn entry(summary: &str, description: &str) -> Entry {
        Entry {
            uid: "1@packstring".into(),
            when: When::Day(date(2027, 3, 1)),
            stamp: date(2026, 3, 2),
            summary: summary.into(),
            description: description.into(),
            location: None,
            address: url::Url::parse("https://basin.example/rules;4").ok(),
            first: true,
        }
    }

    /// RFC 5545, 3.1: lines of at most 75 octets, ended by CR LF; a fold is CR LF and one white space.
    #[test]
    fn lines_are_folded_as_section_3_1_says() {
        let long = format!("Re-check {}", "🐴é".repeat(60));
        let text = calendar("Facts", &[entry(&long, &"a".repeat(400))]);
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        assert!(text.ends_with("END:VCALENDAR\r\n"));
        assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text}");
        assert!(text.split("\r\n").any(|line| line.len() == 75), "folds no sooner than it must");
        assert!(text.replace("\r\n ", "").contains(&format!("SUMMARY:{long}\r\n")));
        assert!(!calendar("Facts", &[entry("x", &"six words ".repeat(40))]).contains("\r\n  "));
        let mut just = String::new();
        fold(&"x".repeat(75), &mut just);
        assert_eq!(just, format!("{}\r\n", "x".repeat(75)));
        let mut over = String::new();
        fold(&"x".repeat(76), &mut over);
        assert_eq!(over, format!("{}\r\n x\r\n", "x".repeat(75)));
    }

    /// RFC 5545, 3.3.11: backslash, semicolon, comma and line end are escaped, a colon is not.
    #[test]
    fn text_is_escaped_as_section_3_3_11_says() {
        assert_eq!(escaped(r"a\b; c, d: e"), r"a\\b\; c\, d: e");
        assert_eq!(escaped("one\ntwo\r\nthree"), r"one\ntwo\nthree");
        assert_eq!(escaped("a\u{7}\tb\rc"), "a \tb c");
    }

    /// RFC 5545, 3.6.1: an event has UID and DTSTAMP, each once; a whole day starts by DATE.
    #[test]
    fn an_event_has_what_section_3_6_1_asks_for() {
        let text = calendar("Facts", &[entry("Re-check lead-length", "6 ft")]);
        for line in [
            "BEGIN:VEVENT",
            "UID:1@packstring",
            "DTSTAMP:20260302T000000Z",
            "DTSTART;VALUE=DATE:20270301",
            "URL:https://basin.example/rules;4",
            "PRIORITY:1",
            "END:VEVENT",
        ] {
            assert_eq!(text.split("\r\n").filter(|other| *other == line).count(), 1, "{line}");
        }
        assert!(text.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"));
    }

    /// RFC 5545, 3.3.5: form 1 is local time, form 2 ends with Z; 3.8.1.7: a location is text.
    #[test]
    fn hours_are_told_as_section_3_3_5_says() {
        let (from, to) = (date(2026, 5, 16).at(9, 0, 0, 0), date(2026, 5, 16).at(12, 30, 0, 0));
        let clock =
            Entry { when: When::Clock(from, to), location: Some("Shelter, north".into()), ..entry("x", "y") };
        let text = calendar("Workshops", &[clock]);
        for line in ["DTSTART:20260516T090000", "DTEND:20260516T123000", "LOCATION:Shelter\\, north"] {
            assert!(text.split("\r\n").any(|other| other == line), "{line}: {text}");
        }
        assert!(!text.contains("TRANSP"), "{text}");
        let zone = jiff::tz::TimeZoneDatabase::bundled().get("America/Boise").unwrap();
        let moment = |at: DateTime| zone.to_timestamp(at).unwrap();
        let text = calendar(
            "Workshops",
            &[Entry { when: When::Moments(moment(from), moment(to)), ..entry("x", "y") }],
        );
        assert!(text.contains("DTSTART:20260516T150000Z\r\nDTEND:20260516T183000Z\r\n"), "{text}");
    }
}

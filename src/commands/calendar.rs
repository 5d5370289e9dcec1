//! iCalendar (RFC 5545): days with something to do, for a calendar that any program can read.
//!
//! Lines end in CR LF and are folded at 75 octets (section 3.1); text is escaped (3.3.11). There is no
//! clock in it: what was made, and when, comes from the entries, so that the same input gives the same
//! bytes.

use jiff::civil::Date;

/// What stands on a day.
pub struct Entry {
    /// The same whenever the entry is told of again, so that a calendar renews it (3.8.4.7).
    pub uid: String,
    pub day: Date,
    /// The day of the knowledge that it is told from (3.8.7.2).
    pub stamp: Date,
    pub summary: String,
    /// Several lines.
    pub description: String,
    pub address: Option<url::Url>,
    /// Whether it comes before others (3.8.1.9).
    pub first: bool,
}

/// The longest line, in octets, without its line end (3.1).
const LONGEST: usize = 75;

/// A whole calendar.
pub fn calendar(entries: &[Entry]) -> String {
    let mut text = String::new();
    let mut line = |words: &str| fold(words, &mut text);
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//packstring//Facts to re-check//EN");
    line("CALSCALE:GREGORIAN");
    for entry in entries {
        line("BEGIN:VEVENT");
        line(&format!("UID:{}", entry.uid));
        line(&format!("DTSTAMP:{}T000000Z", entry.stamp.strftime("%Y%m%d")));
        // A whole day; without an end it lasts one (3.6.1).
        line(&format!("DTSTART;VALUE=DATE:{}", entry.day.strftime("%Y%m%d")));
        line(&format!("SUMMARY:{}", escaped(&entry.summary)));
        line(&format!("DESCRIPTION:{}", escaped(&entry.description)));
        if let Some(address) = &entry.address {
            line(&format!("URL:{address}"));
        }
        if entry.first {
            line("PRIORITY:1");
        }
        // It does not make anybody busy (3.8.2.7).
        line("TRANSP:TRANSPARENT");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    text
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
            day: date(2027, 3, 1),
            stamp: date(2026, 3, 2),
            summary: summary.into(),
            description: description.into(),
            address: url::Url::parse("https://basin.example/rules;4").ok(),
            first: true,
        }
    }

    /// RFC 5545, 3.1: lines of at most 75 octets, ended by CR LF; a fold is CR LF and one white space.
    #[test]
    fn lines_are_folded_as_section_3_1_says() {
        let long = format!("Re-check {}", "🐴é".repeat(60));
        let text = calendar(&[entry(&long, &"a".repeat(400))]);
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        assert!(text.ends_with("END:VCALENDAR\r\n"));
        assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text}");
        assert!(text.split("\r\n").any(|line| line.len() == 75), "folds no sooner than it must");
        assert!(text.replace("\r\n ", "").contains(&format!("SUMMARY:{long}\r\n")));
        assert!(!calendar(&[entry("x", &"six words ".repeat(40))]).contains("\r\n  "));
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
        let text = calendar(&[entry("Re-check lead-length", "6 ft")]);
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
}

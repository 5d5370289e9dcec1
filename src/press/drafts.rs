//! Letters by e-mail, as drafts for any mail program: a message (RFC 5322) of several parts (MIME, RFC 2045 to 2049) in a
//! file of its own. Nothing is sent.
//!
//! Its date, its name (`Message-ID`) and what parts it are made from what stands in it, so that the same letter is
//! always the same bytes. How a name stands before its address is written here (RFC 5322, section 3.4; RFC 2047,
//! section 5), for the library puts encoded words into quotation marks, where they are none.
//! `X-Unsent: 1` has mail programs open it as a draft; common practice, no source.

use crate::digest::{absorb, hex};
use crate::job::{Letter, Mailbox};
use jiff::civil::{Date, date};
use mail_builder::MessageBuilder;
use mail_builder::headers::content_type::ContentType;
use mail_builder::mime::MimePart;
use sha2::{Digest, Sha256};

/// The bytes of a letter with its page.
pub(super) fn bytes(letter: &Letter, page: &[u8]) -> Vec<u8> {
    let mark = mark(letter, page);
    let host = letter.from.address.rsplit('@').next().unwrap_or_default();
    let mixed = ContentType::new("multipart/mixed").attribute("boundary", format!("packstring-{mark}"));
    let text = MimePart::new("text/plain", letter.text.as_str()).language(letter.language.as_str());
    let mut parts = vec![text, MimePart::new("application/pdf", page).attachment(letter.page.as_str())];
    if let Some((name, record)) = &letter.record {
        parts.push(MimePart::new("application/json", record.as_bytes()).attachment(name.as_str()));
    }
    let message = MessageBuilder::new()
        .date(seconds(letter.day))
        .message_id(format!("{mark}@{host}"))
        .subject(one_line(&letter.subject))
        .body(MimePart::new(mixed, parts));
    let head = format!("X-Unsent: 1\r\nFrom: {}\r\nTo: {}\r\n", address(&letter.from), address(&letter.to));
    let rest = message.write_to_vec().expect("memory takes what is written to it");
    [head.into_bytes(), rest].concat()
}

/// The beginning of a day, in seconds from that of 1970.
fn seconds(day: Date) -> i64 {
    day.duration_since(date(1970, 1, 1)).as_secs()
}

/// A name and its address, folded.
fn address(mailbox: &Mailbox) -> String {
    /// Of an encoded word, the most letters between its marks (RFC 2047, section 2: a line has 76 with all that stands on it).
    const WORD: usize = 68 - "=?utf-8?Q??=".len();
    let (name, end) = (one_line(&mailbox.name), format!("<{}>", mailbox.address));
    if name.is_ascii() {
        return format!("\"{}\"\r\n {end}", name.replace('\\', r"\\").replace('"', "\\\""));
    }
    let mut words = vec![String::new()];
    for letter in name.chars() {
        let encoded = match letter {
            ' ' => "_".to_owned(),
            plain if plain.is_ascii_alphanumeric() => plain.to_string(),
            other => other.encode_utf8(&mut [0; 4]).bytes().map(|byte| format!("={byte:02X}")).collect(),
        };
        match words.last_mut() {
            Some(word) if word.len() + encoded.len() <= WORD => word.push_str(&encoded),
            _ => words.push(encoded),
        }
    }
    let words: String = words.iter().map(|word| format!("=?utf-8?Q?{word}?=\r\n ")).collect();
    words + &end
}

/// A line break ends a header.
fn one_line(text: &str) -> String {
    let parts = text.split(|letter: char| letter.is_whitespace() || letter.is_control());
    parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

/// What tells this letter from every other.
fn mark(letter: &Letter, page: &[u8]) -> String {
    let mut hash = Sha256::new();
    absorb(&mut hash, b"packstring letter 1");
    absorb(&mut hash, format!("{letter:?}").as_bytes());
    absorb(&mut hash, page);
    hex(&hash.finalize()[..12])
}

#[cfg(test)]
mod tests {
    use super::*;
    use mailparse::{MailAddr, MailHeaderMap, ParsedMail, addrparse_header, parse_mail};

    fn letter() -> Letter {
        let mailbox = |name: &str, address: &str| Mailbox { name: name.into(), address: address.into() };
        Letter {
            from: mailbox("Juniper Basin Open Lands", "stewards@juniperbasin.example"),
            to: mailbox("Elena Márquez", "elena@mailbox.example"),
            day: jiff::civil::date(2026, 5, 17),
            language: "en".into(),
            subject: "Certificate of Completion: North Camp Spring Workshop".into(),
            text: "Dear Elena Márquez,\n\nyour certificate is attached.\n".into(),
            page: "elena-marquez-jrhy4p87.pdf".into(),
            record: Some(("elena-marquez-jrhy4p87.json".into(), "{\"a\":1}\n".into())),
        }
    }

    const PAGE: &[u8] = b"%PDF-1.7\r\n\x00\xff\r\n.\r\nFrom here\r\n--packstring-\n%%EOF";

    fn sole(mail: &ParsedMail, header: &str) -> MailAddr {
        let found = addrparse_header(mail.headers.get_first_header(header).unwrap()).unwrap();
        assert_eq!(found.len(), 1, "{header}");
        found[0].clone()
    }

    #[test]
    fn a_header_is_one_line() {
        assert_eq!(one_line(" Ann\r\nBcc: x\u{7} Lee\t"), "Ann Bcc: x Lee");
    }

    /// Reads a letter back with a library that did not write it.
    fn holds(letter: &Letter) {
        let bytes = bytes(letter, PAGE);
        // RFC 5322, section 2.1.1.
        assert!(bytes.split(|byte| *byte == b'\n').all(|line| line.len() <= 998), "lines are short");
        assert!(bytes.windows(2).all(|pair| pair[1] != b'\n' || pair[0] == b'\r'), "lines end with CR LF");
        let head = bytes.windows(4).position(|it| it == b"\r\n\r\n").unwrap();
        assert!(bytes[..head].is_ascii());
        let mail = parse_mail(&bytes).unwrap();
        let headers: Vec<String> = mail.headers.iter().map(|header| header.get_key()).collect();
        let expected =
            ["X-Unsent", "From", "To", "Date", "Message-ID", "Subject", "MIME-Version", "Content-Type"];
        assert_eq!(headers, expected);
        for (header, mailbox) in [("From", &letter.from), ("To", &letter.to)] {
            let MailAddr::Single(found) = sole(&mail, header) else { panic!("{header} is one address") };
            assert_eq!(found.addr, mailbox.address);
            assert_eq!(found.display_name.as_deref(), Some(mailbox.name.as_str()));
        }
        assert_eq!(mail.headers.get_first_value("X-Unsent").as_deref(), Some("1"));
        assert_eq!(mail.headers.get_first_value("Subject").as_deref(), Some(letter.subject.as_str()));
        let found = mailparse::dateparse(&mail.headers.get_first_value("Date").unwrap()).unwrap();
        assert_eq!(found, seconds(letter.day));
        let [text, page, rest @ ..] = mail.subparts.as_slice() else { panic!("a text and a page") };
        assert_eq!(text.get_body().unwrap().replace("\r\n", "\n"), letter.text);
        assert_eq!(text.ctype.mimetype, "text/plain");
        assert_eq!(text.ctype.charset.to_lowercase(), "utf-8");
        let language = text.headers.get_first_value("Content-Language");
        assert_eq!(language.as_deref(), Some(letter.language.as_str()));
        assert_eq!(page.get_body_raw().unwrap(), PAGE);
        assert_eq!(page.ctype.mimetype, "application/pdf");
        assert_eq!(page.get_content_disposition().params["filename"], letter.page);
        match (&letter.record, rest) {
            (None, []) => {}
            (Some((name, text)), [record]) => {
                assert_eq!(record.get_body_raw().unwrap(), text.as_bytes());
                assert_eq!(&record.get_content_disposition().params["filename"], name);
            }
            _ => panic!("a record where there is one"),
        }
    }

    #[test]
    fn a_letter_is_read_back_as_it_was_written() {
        holds(&letter());
        holds(&Letter { record: None, ..letter() });
    }

    /// What people are called, and what a program may write.
    #[test]
    fn odd_names_and_words_come_through() {
        for name in [
            "Siobhán O'Hanrahan",
            "Lee, Ann",
            "Ann \"Bo\" Lee",
            "Back\\slash (the first)",
            "Анастасия Белозёрова",
            "Θεοδώρα Παπαϊωάννου",
            "李小龍",
            "أحمد الشريف",
            "a@b.example",
            "Wilhelmina Featherstonehaugh-Montgomery of the Upper Basin and the Lower Basin and All Between",
        ] {
            let mut other = letter();
            other.to.name = name.into();
            other.subject = format!("{name}: certificate");
            let long = "long ".repeat(400);
            other.text = format!("Dear {name},\n.\n\n{}\n--\nFrom the basin = 100 %\n", long.trim_end());
            holds(&other);
        }
    }

    #[test]
    fn the_same_letter_is_the_same_bytes_and_another_has_another_name() {
        let id = |letter: &Letter, page: &[u8]| {
            let bytes = bytes(letter, page);
            parse_mail(&bytes).unwrap().headers.get_first_value("Message-ID").unwrap()
        };
        assert_eq!(bytes(&letter(), PAGE), bytes(&letter(), PAGE));
        assert!(id(&letter(), PAGE).ends_with("@juniperbasin.example>"));
        assert_ne!(id(&letter(), PAGE), id(&Letter { subject: "Another".into(), ..letter() }, PAGE));
        assert_ne!(id(&letter(), PAGE), id(&letter(), b"another"));
    }

    /// A line break in a name ends no header.
    #[test]
    fn a_line_break_starts_no_header() {
        let mut other = letter();
        other.to.name = "Elena\r\nBcc: everybody@mailbox.example\r\n\r\nMárquez".into();
        other.subject = "One\nX-Other: two".into();
        let bytes = bytes(&other, PAGE);
        let mail = parse_mail(&bytes).unwrap();
        assert!(mail.headers.get_first_header("Bcc").is_none());
        assert!(mail.headers.get_first_header("X-Other").is_none());
        assert_eq!(mail.subparts.len(), 3);
        assert!(mail.subparts.iter().all(|part| part.headers.get_first_header("X-Other").is_none()));
    }
}

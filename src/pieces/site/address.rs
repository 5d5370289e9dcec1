//! Addresses on pages: which ones may be followed, and how they are written in HTML.
//!
//! A program's text is data. An address from it becomes a link only if its scheme is one of four
//! that open a page, a letter or a call; everything else is shown as the letters that it is.

use percent_encoding::{AsciiSet, CONTROLS, utf8_percent_encode};
use url::Url;

/// What must be encoded in one part of a path, or in a fragment: all that the URL Standard
/// (url.spec.whatwg.org, "path percent-encode set") names, the separators, and the percent sign.
const PART: &AsciiSet = &CONTROLS
    .add(b' ')
    .add(b'"')
    .add(b'#')
    .add(b'%')
    .add(b'/')
    .add(b':')
    .add(b'<')
    .add(b'>')
    .add(b'?')
    .add(b'[')
    .add(b'\\')
    .add(b']')
    .add(b'^')
    .add(b'`')
    .add(b'{')
    .add(b'|')
    .add(b'}');

/// What must be encoded in a mail address, beside the above: what would start a list or a heading.
const MAILBOX: &AsciiSet = &PART.add(b'&').add(b',').add(b';').add(b'=');

/// An address that may stand in a link, as a browser writes it; `None` for any other scheme and for
/// what is no address.
pub fn followable(address: &str) -> Option<String> {
    let url = Url::parse(address.trim()).ok()?;
    let safe = match url.scheme() {
        "http" | "https" => url.has_host(),
        "mailto" | "tel" => !url.path().is_empty(),
        _ => false,
    };
    safe.then(|| stray_percents_encoded(url.as_str()))
}

/// A page's address on the web, below the address of the site's folder.
pub fn whole(base: &str, path: &str) -> String {
    // The front page is the folder itself.
    let path = if path == super::FRONT_PAGE { "" } else { path };
    format!("{base}{}", encoded_path(path))
}

/// The URL Standard lets a percent sign stand that starts no code; a valid address has none.
fn stray_percents_encoded(url: &str) -> String {
    let bytes = url.as_bytes();
    let is_code = |at: usize| {
        let code = bytes.get(at + 1..at + 3);
        code.is_some_and(|code| code.iter().all(u8::is_ascii_hexdigit))
    };
    let mut encoded = String::with_capacity(url.len());
    for (at, letter) in url.char_indices() {
        if letter == '%' && !is_code(at) {
            encoded.push_str("%25");
        } else {
            encoded.push(letter);
        }
    }
    encoded
}

/// A link that opens a letter; `None` if `mailbox` is not one mailbox.
pub fn letter_to(mailbox: &str) -> Option<String> {
    let mailbox = mailbox.trim();
    let (name, host) = mailbox.rsplit_once('@')?;
    let whole = !name.is_empty() && !host.is_empty() && !mailbox.contains(char::is_whitespace);
    whole.then(|| format!("mailto:{}", utf8_percent_encode(mailbox, MAILBOX)))
}

/// A link that calls; `None` where the words hold more than one plain number (an extension, letters).
pub fn call_to(phone: &str) -> Option<String> {
    let is_part =
        |letter: char| letter.is_ascii_digit() || matches!(letter, '+' | '-' | '.' | '(' | ')' | ' ');
    let number: String = phone.chars().filter(|letter| letter.is_ascii_digit() || *letter == '+').collect();
    let one_number = phone.chars().all(is_part) && number.rfind('+').is_none_or(|at| at == 0);
    (one_number && number.len() >= 3).then(|| format!("tel:{number}"))
}

/// A path below the open shelf as a relative link writes it.
pub fn encoded_path(path: &str) -> String {
    let parts: Vec<String> =
        path.split('/').map(|part| utf8_percent_encode(part, PART).to_string()).collect();
    parts.join("/")
}

/// An id as a link's fragment writes it, with its `#`.
pub fn fragment(id: &str) -> String {
    format!("#{}", utf8_percent_encode(id, PART))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_pages_letters_and_calls_are_followed() {
        for address in
            ["https://basin.example/rules", "HTTP://basin.example", "mailto:a@b.example", "tel:5550100"]
        {
            assert!(followable(address).is_some(), "{address}");
        }
        for address in [
            "javascript:alert(1)",
            " JavaScript:alert(1)",
            "java\nscript:alert(1)",
            "data:text/html,<b>",
            "file:///etc/passwd",
            "vbscript:x",
            "//basin.example",
            "rules.html",
            "https:",
            "mailto:",
            "",
        ] {
            assert_eq!(followable(address), None, "{address}");
        }
    }

    #[test]
    fn an_address_is_written_validly() {
        let followed = |address| followable(address).expect("an address that may be followed");
        assert_eq!(followed("https://basin.example/a b?q=\"x\""), "https://basin.example/a%20b?q=%22x%22");
        assert_eq!(followed("https://basin.example/100%"), "https://basin.example/100%25");
        assert_eq!(followed("https://basin.example/%E2%82%AC"), "https://basin.example/%E2%82%AC");
    }

    #[test]
    fn a_contact_is_called_or_written_to() {
        assert_eq!(call_to("+1 (555) 555-0100").as_deref(), Some("tel:+15555550100"));
        assert_eq!(call_to("555-0100 ext. 3"), None);
        assert_eq!(call_to("Dispatch"), None);
        assert_eq!(letter_to("dispatch@basin.example").as_deref(), Some("mailto:dispatch@basin.example"));
        assert_eq!(
            letter_to("a@b.example?bcc=c@d.example").as_deref(),
            Some("mailto:a@b.example%3Fbcc%3Dc@d.example")
        );
        assert_eq!(letter_to("at the desk"), None);
    }

    #[test]
    fn paths_and_ids_are_encoded_part_by_part() {
        assert_eq!(encoded_path("lessons/hot ground?.html"), "lessons/hot%20ground%3F.html");
        assert_eq!(encoded_path("lessons/a:b.html"), "lessons/a%3Ab.html");
        assert_eq!(fragment("chaleur-été"), "#chaleur-%C3%A9t%C3%A9");
    }
}

//! Addresses of houses, of the web and of e-mail; and fixed words, which are compared in the same way.

use super::{Manner, Particular, Says, scan};
use crate::languages::ParticularWords;
use unicode_segmentation::UnicodeSegmentation;

/// The words of a text in small letters, without the marks between them.
pub(super) fn plain_words(text: &str) -> Vec<String> {
    text.unicode_words().map(|word| word.to_lowercase().replace('’', "'")).collect()
}

pub(super) fn read(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Particular> {
    if let Some(found) = web(text, at) {
        return Some(found);
    }
    match manner {
        // a value or a link is an address as a whole
        Manner::Known => {
            let is_first = text[..at].trim().is_empty();
            let end = text.trim_end().len();
            is_first.then(|| house(text, at, end, words))
        }
        Manner::Prose => {
            let end = end_of_house(text, at, words)?;
            Some(house(text, at, end, words))
        }
    }
}

fn house(text: &str, at: usize, end: usize, words: &ParticularWords) -> Particular {
    let shortened = |word: String| {
        let known = words.streets.iter().find(|forms| forms.contains(&word));
        known.and_then(|forms| forms.first().cloned()).unwrap_or(word)
    };
    let says = Says::House(plain_words(&text[at..end]).into_iter().map(shortened).collect());
    Particular { span: at..end, says, or: None, parts: Vec::new() }
}

/// `1 Basin Road`: a number, words with capitals, and a word of streets.
fn end_of_house(text: &str, at: usize, words: &ParticularWords) -> Option<usize> {
    let (_, mut end) = scan::digits(text, at).filter(|_| scan::begins(text, at))?;
    for _ in 0..5 {
        let next = scan::spaces(text, end);
        if next == end || !text[next..].starts_with(char::is_uppercase) {
            return None;
        }
        let past = scan::past_word(text, next);
        let word = text[next..past].to_lowercase();
        let is_street = words.streets.iter().any(|forms| forms.contains(&word));
        end = past;
        if is_street {
            return Some(end + usize::from(text[end..].starts_with('.') && word.len() < 5));
        }
    }
    None
}

/// `https://www.example.org/rides`, `www.example.org`, `stewards@example.org`.
fn web(text: &str, at: usize) -> Option<Particular> {
    if text[..at]
        .ends_with(|before: char| before.is_alphanumeric() || matches!(before, '.' | '@' | '/' | '-' | '_'))
    {
        return None;
    }
    let rest = &text[at..];
    let length = rest.find(|letter: char| letter.is_whitespace() || "<>()[]{}\"“”‘’,;".contains(letter));
    let whole = rest[..length.unwrap_or(rest.len())].trim_end_matches(['.', '?', '!', ':', '\'']);
    let lower = whole.to_lowercase();
    let is_mail = lower.split_once('@').is_some_and(|(name, host)| !name.is_empty() && has_point(host));
    let bare = lower.strip_prefix("https://").or_else(|| lower.strip_prefix("http://"));
    let is_web = bare.is_some_and(has_point) || lower.starts_with("www.") && has_point(&lower[4..]);
    if !is_mail && !is_web {
        return None;
    }
    // the path is told by its letters as they stand
    let tail = &whole[whole.len() - bare.map_or(whole.len(), str::len)..];
    let (host, path) = tail.split_once('/').map_or((tail, ""), |(host, path)| (host, path));
    let host = host.to_lowercase();
    let host = host.strip_prefix("www.").unwrap_or(&host);
    let path = path.trim_end_matches('/');
    let says = Says::Web(if path.is_empty() { host.to_owned() } else { format!("{host}/{path}") });
    Some(Particular { span: at..at + whole.len(), says, or: None, parts: Vec::new() })
}

fn has_point(host: &str) -> bool {
    let host = host.split('/').next().unwrap_or_default();
    host.trim_matches('.').contains('.') && !host.starts_with('.')
}

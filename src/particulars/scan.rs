//! Walking over a text: the words and digits at a place, whatever their case and whichever space stands between them.

/// Where the next word or number starts, at `at` or after it; also at a sign that a telephone number starts with.
pub(super) fn next_word(text: &str, at: usize) -> Option<usize> {
    let starts = |(_, letter): &(usize, char)| letter.is_alphanumeric() || matches!(letter, '+' | '(');
    text[at..].char_indices().find(starts).map(|(next, _)| at + next)
}

/// The end of the word at `at`; at least one letter on.
pub(super) fn past_word(text: &str, at: usize) -> usize {
    let rest = &text[at..];
    let first = rest.chars().next().map_or(0, char::len_utf8);
    let more = rest[first..].find(|letter: char| !letter.is_alphanumeric()).unwrap_or(rest.len() - first);
    let is_sign = rest.starts_with(['+', '(']);
    at + first + if is_sign { 0 } else { more }
}

/// Past the spaces at `at`.
pub(super) fn spaces(text: &str, at: usize) -> usize {
    at + (text[at..].len() - text[at..].trim_start().len())
}

/// The number in ASCII digits at `at`, with its end; not more than four digits.
pub(super) fn digits(text: &str, at: usize) -> Option<(u32, usize)> {
    let rest = text.get(at..)?;
    let length = rest.bytes().take_while(u8::is_ascii_digit).count();
    if length == 0 || length > 4 {
        return None;
    }
    Some((rest[..length].parse().ok()?, at + length))
}

/// Whether no letter and no digit goes on at `at`.
pub(super) fn ends(text: &str, at: usize) -> bool {
    !text[at..].starts_with(char::is_alphanumeric)
}

/// Whether nothing of a word or a number stands right before `at`.
pub(super) fn begins(text: &str, at: usize) -> bool {
    let before = text[..at].chars().next_back();
    !before.is_some_and(|letter| letter.is_alphanumeric() || matches!(letter, '$' | '€' | '£' | '#'))
}

/// The end of a phrase that stands at `at`, whatever its case; spaces are alike.
pub(super) fn phrase(text: &str, at: usize, phrase: &str) -> Option<usize> {
    let mut end = at;
    for wanted in phrase.chars() {
        let letter = text[end..].chars().next()?;
        let alike = letter == wanted
            || (wanted.is_whitespace() && letter.is_whitespace())
            || letter.to_lowercase().eq(wanted.to_lowercase());
        if !alike {
            return None;
        }
        end += letter.len_utf8();
    }
    (!phrase.ends_with(char::is_alphanumeric) || ends(text, end)).then_some(end)
}

/// Which of some phrases stands at `at`, the longest first, and where it ends.
pub(super) fn any(text: &str, at: usize, phrases: &[String]) -> Option<(usize, usize)> {
    let found = phrases.iter().enumerate().filter_map(|(which, it)| Some((which, phrase(text, at, it)?)));
    found.max_by_key(|(which, end)| (*end, std::cmp::Reverse(*which)))
}

/// The number in a word at a place, by its place in a list of words with `|` between their writings; and its end.
pub(super) fn number_word(text: &str, at: usize, numbers: &[String]) -> Option<(usize, usize)> {
    let writings =
        numbers.iter().enumerate().flat_map(|(value, all)| all.split('|').map(move |one| (value, one)));
    writings.filter_map(|(value, one)| Some((value, phrase(text, at, one)?))).max_by_key(|(_, end)| *end)
}

/// The end of a dash or of a phrase for "to", with the spaces around it.
pub(super) fn through(text: &str, at: usize, phrases: &[String]) -> Option<usize> {
    let next = spaces(text, at);
    let dash = text[next..].chars().next().filter(|sign| matches!(sign, '-' | '–' | '—' | '‑'));
    let end = dash.map(|dash| next + dash.len_utf8());
    let end = end.or_else(|| any(text, next, phrases).filter(|_| next > at).map(|(_, end)| end))?;
    Some(spaces(text, end))
}

/// Words with braces filled in.
pub(super) fn filled(pattern: &str, values: &[(&str, &str)]) -> String {
    values.iter().fold(pattern.to_owned(), |text, (key, value)| text.replace(&format!("{{{key}}}"), value))
}

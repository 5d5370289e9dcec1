//! Marks: characters that show nothing themselves, told by their Unicode names.

use std::borrow::Cow;

/// How a character is told to a person: what it looks like where it has a shape, its Unicode name, and
/// its code. A mark that shows nothing is never written raw.
pub fn told(c: char) -> String {
    let code = format!("U+{:04X}", c as u32);
    let name = unicode_names2::name(c).map(|name| name.to_string());
    match (shows(c), name) {
        (true, Some(name)) => format!("“{c}” ({name}, {code})"),
        (true, None) => format!("“{c}” ({code})"),
        (false, Some(name)) => format!("{name} ({code})"),
        (false, None) if c.is_control() => format!("a control character ({code})"),
        (false, None) => code,
    }
}

/// Words with the marks that steer or hide letters written out, `Ada‹U+202E›lleV`, so that what is shown
/// stands in the order of the file.
pub fn shown(words: &str) -> Cow<'_, str> {
    let is_marked =
        |c: char| sets_direction(c) || matches!(c, '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}');
    if !words.contains(is_marked) {
        return Cow::Borrowed(words);
    }
    let mut shown = String::with_capacity(words.len() + 8);
    for c in words.chars() {
        if is_marked(c) {
            shown.push_str(&format!("‹U+{:04X}›", c as u32));
        } else {
            shown.push(c);
        }
    }
    Cow::Owned(shown)
}

/// Whether a character has a shape of its own that may be shown.
pub fn shows(c: char) -> bool {
    !(c.is_control() || c.is_whitespace() || is_hidden(c) || is_unassigned(c))
}

/// Marks that steer the text around them and take no room: joiners, direction marks, zero-width
/// spaces, the soft hyphen, tags and variation selectors.
pub fn is_hidden(c: char) -> bool {
    matches!(
        c,
        '\u{ad}'
            | '\u{34f}'
            | '\u{61c}'
            | '\u{115f}'..='\u{1160}'
            | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

/// Marks that set the direction of the letters after them.
pub fn sets_direction(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Whether a mark turns the letters after it round against their own direction, so that a name would
/// not be printed as given: the two overrides.
pub fn turns_the_line(c: char) -> bool {
    matches!(c, '\u{202d}' | '\u{202e}')
}

/// For private use, or for nothing yet: what is shown of it differs from machine to machine.
pub fn is_unassigned(c: char) -> bool {
    unicode_names2::name(c).is_none() && !c.is_control()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_shows_nothing_is_told_by_name_and_code() {
        assert_eq!(told('\u{202e}'), "RIGHT-TO-LEFT OVERRIDE (U+202E)");
        assert_eq!(told('\u{200b}'), "ZERO WIDTH SPACE (U+200B)");
        assert_eq!(told('\u{a0}'), "NO-BREAK SPACE (U+00A0)");
        assert_eq!(told('\u{7}'), "a control character (U+0007)");
        assert_eq!(told('\u{378}'), "U+0378");
        assert_eq!(shown("Ada\u{202e}lleV"), "Ada‹U+202E›lleV");
        assert_eq!(shown("می\u{200c}خواهم"), "می\u{200c}خواهم");
        assert_eq!(told('ꙮ'), "“ꙮ” (CYRILLIC LETTER MULTIOCULAR O, U+A66E)");
    }
}

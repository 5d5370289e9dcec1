//! SourceMap: from bytes of a text that was read to bytes of the file that it was read from.

use std::ops::Range;

/// How the bytes of a text lie in its file.
#[derive(Clone, Debug)]
pub(super) enum SourceMap {
    /// Runs that were taken over as they stand: where each starts in the text and in the file, in
    /// order, the first at 0.
    Runs(Vec<(usize, usize)>),
    /// Not known more closely than the whole.
    Whole(Range<usize>),
}

impl SourceMap {
    /// A text that was taken over as it stands.
    pub fn shifted(start: usize) -> Self {
        Self::Runs(vec![(0, start)])
    }

    /// The bytes of the file that a range of the text was read from.
    pub fn range(&self, range: Range<usize>) -> Range<usize> {
        match self {
            Self::Runs(runs) => {
                let of = |at: usize| {
                    let next = runs.partition_point(|(text, _)| *text <= at);
                    let (text, file) = runs[next.saturating_sub(1)];
                    file + (at - text)
                };
                of(range.start)..of(range.end)
            }
            Self::Whole(whole) => whole.clone(),
        }
    }
}

/// Finds how `text` lies in the TOML string `source`, quotation marks included, that starts at byte
/// `start` of its file. The second value is the range between the quotation marks.
pub(super) fn of_toml_string(source: &str, start: usize, text: &str) -> (SourceMap, Range<usize>) {
    let is_long = source.len() >= 6 && (source.starts_with("\"\"\"") || source.starts_with("'''"));
    let is_literal = source.starts_with('\'');
    let mark = if is_long { 3 } else { 1 };
    if source.len() < 2 * mark {
        return (SourceMap::Whole(start..start + source.len()), start..start + source.len());
    }
    let mut first = mark;
    if is_long {
        first +=
            ["\r\n", "\n"].iter().find(|end| source[mark..].starts_with(**end)).map_or(0, |end| end.len());
    }
    let inner = source.get(first..source.len() - mark).unwrap_or("");
    let place = start + first..start + first + inner.len();
    if inner == text {
        return (SourceMap::shifted(start + first), place);
    }
    let (read, runs) = unescape(inner, start + first);
    if !is_literal && read == text {
        (SourceMap::Runs(runs), place)
    } else {
        (SourceMap::Whole(place.clone()), place)
    }
}

/// Reads the escapes of a TOML string, noting where each run of plain text and each escape starts.
fn unescape(inner: &str, start: usize) -> (String, Vec<(usize, usize)>) {
    let mut text = String::new();
    let mut runs = vec![(0, start)];
    let mut rest = inner;
    while let Some(at) = rest.find('\\') {
        text.push_str(&rest[..at]);
        let escape = &rest[at..];
        let offset = start + (inner.len() - escape.len());
        let letter = escape[1..].chars().next().unwrap_or('\\');
        let digits = match letter {
            'x' => 2,
            'u' => 4,
            'U' => 8,
            _ => 0,
        };
        runs.push((text.len(), offset));
        let length = if letter.is_whitespace() {
            escape.len() - escape[1..].trim_start().len()
        } else {
            1 + letter.len_utf8() + digits
        };
        let code = escape.get(2..2 + digits).and_then(|hex| u32::from_str_radix(hex, 16).ok());
        match letter {
            'b' => text.push('\u{8}'),
            't' => text.push('\t'),
            'n' => text.push('\n'),
            'f' => text.push('\u{c}'),
            'r' => text.push('\r'),
            'e' => text.push('\u{1b}'),
            'x' | 'u' | 'U' => text.extend(code.and_then(char::from_u32)),
            space if space.is_whitespace() => {}
            other => text.push(other),
        }
        rest = escape.get(length..).unwrap_or("");
        runs.push((text.len(), offset + length));
    }
    text.push_str(rest);
    (text, runs)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words<'s>(source: &'s str, text: &str, of: &str) -> &'s str {
        let (offsets, _) = of_toml_string(source, 0, text);
        let at = text.find(of).unwrap();
        &source[offsets.range(at..at + of.len())]
    }

    #[test]
    fn plain_strings_lie_as_they_stand() {
        assert_eq!(words("\"ten feet\"", "ten feet", "feet"), "feet");
        assert_eq!(words("'ten \\ feet'", "ten \\ feet", "feet"), "feet");
        assert_eq!(words("\"\"\"\nten feet\"\"\"", "ten feet", "feet"), "feet");
        assert_eq!(of_toml_string("\"ten\"", 10, "ten").1, 11..14);
    }

    #[test]
    fn escapes_keep_the_places_after_them_right() {
        assert_eq!(words(r#""\"ho\" \u00bd six feet""#, "\"ho\" ½ six feet", "six"), "six");
        assert_eq!(words(r#""\"ho\" \u00bd six feet""#, "\"ho\" ½ six feet", "½"), r"\u00bd");
        assert_eq!(words("\"\"\"a \\\n   six\"\"\"", "a six", "six"), "six");
    }
}

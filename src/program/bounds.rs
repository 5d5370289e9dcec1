//! How large what is read may be ([`crate::limits`]): what goes beyond is told, and nothing is made of it.

use super::files::Page;
use super::mistakes::Mistakes;
use crate::finding::{Finding, Place, rules};
use crate::limits;
use std::borrow::Cow;
use std::ops::Range;
use unicode_normalization::char::is_combining_mark;

/// The finding for what goes beyond a limit.
pub(super) fn beyond(place: Place, what: &str, most: usize, mend: &str) -> Finding {
    let message = format!("{what}: packstring takes {} at most.", grouped(most));
    Finding::of(&rules::LIMIT_REACHED, place, message).mend(mend).stops_press(true)
}

/// A number as it is written for a reader: `16,000`.
fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut said = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            said.push(',');
        }
        said.push(digit);
    }
    said
}

/// Whether a file is of a size to be read; what is not is told.
pub(super) fn fits(file: &str, length: u64, mistakes: &Mistakes) -> bool {
    let (most, mend) = if file.ends_with(".md") {
        (limits::LESSON_BYTES, "Split it into several lessons.")
    } else if file.ends_with(".toml") {
        (limits::TOML_BYTES, "Remove what you do not need.")
    } else if file.starts_with("people/") {
        (limits::PEOPLE_BYTES, "Make a program of each office, with the people of that office.")
    } else {
        return true;
    };
    let length = usize::try_from(length).unwrap_or(usize::MAX);
    if length > most {
        mistakes.add(beyond(
            Place::whole(file),
            &format!("{file} has {} bytes", grouped(length)),
            most,
            mend,
        ));
    }
    length <= most
}

/// Whether a text can be handed on: without letters that have more marks upon them than any script has. Those are told.
pub(super) fn check(page: &Page, mistakes: &Mistakes) -> bool {
    let heaped = heaped(page.text());
    if let Some(range) = heaped.clone() {
        mistakes.add(heap(page.place(range)));
    }
    heaped.is_none()
}

/// Whether there are no more of something than packstring takes; else it is told.
pub(super) fn check_count(
    place: &Place,
    count: usize,
    of_what: &str,
    most: usize,
    mistakes: &Mistakes,
) -> bool {
    if count > most {
        let what = format!("There are {} {of_what}", grouped(count));
        mistakes.add(beyond(place.clone(), &what, most, "Remove what you do not need."));
    }
    count <= most
}

pub(super) fn heap(place: Place) -> Finding {
    let mend = "Delete the marks that no reader needs; text from the web sometimes brings them along.";
    let what = "A letter has more marks stacked on it than any script uses";
    beyond(place, what, limits::MARKS_ON_LETTER, mend)
}

/// The first letter that has too many marks upon it.
pub(super) fn heaped(text: &str) -> Option<Range<usize>> {
    if text.is_ascii() {
        return None;
    }
    let (mut start, mut marks) = (0, 0);
    for (at, letter) in text.char_indices() {
        if is_combining_mark(letter) {
            marks += 1;
            if marks > limits::MARKS_ON_LETTER {
                return Some(start..at + letter.len_utf8());
            }
        } else {
            (start, marks) = (at, 0);
        }
    }
    None
}

/// The text of a lesson from `start` on, with blanks in place of what is too large to be read, which is told.
pub(super) fn lesson<'p>(page: &'p Page, start: usize, mistakes: &Mistakes) -> Cow<'p, str> {
    let text = &page.text()[start..];
    let mut sound = Cow::Borrowed(text);
    let mut tell = |range: Range<usize>, finding: Finding| {
        let blank: String =
            text[range.clone()].bytes().map(|it| if it == b'\n' { '\n' } else { ' ' }).collect();
        sound.to_mut().replace_range(range, &blank);
        mistakes.add(finding);
    };
    let mut block: Range<usize> = 0..0;
    let mut at = 0;
    for line in text.split_inclusive('\n').chain([""]) {
        if !line.trim().is_empty() {
            block.end = at + line.len();
        } else {
            let range = block.clone();
            if range.len() > limits::BLOCK_BYTES {
                let place = page.place(start + range.start..start + range.end);
                let what = format!("There are {} bytes between two empty lines", grouped(range.len()));
                let mend = "Part it into shorter paragraphs, with an empty line between them; a long table is better a series in facts.toml.";
                tell(range, beyond(place, &what, limits::BLOCK_BYTES, mend));
            } else if let Some(wide) = wide_line(&text[range.clone()]) {
                let place = page.place(start + range.start..start + range.end);
                let mend = "Part the table in two, or turn its rows into columns.";
                tell(
                    range,
                    beyond(place, &format!("A table has {wide} columns"), limits::TABLE_COLUMNS, mend),
                );
            }
            block = at + line.len()..at + line.len();
        }
        at += line.len();
    }
    sound
}

/// How many columns the first row of a table has that is too wide.
fn wide_line(block: &str) -> Option<usize> {
    if !block.contains("-|") && !block.contains("|-") && !block.contains(":|") && !block.contains("| -") {
        return None;
    }
    let columns = block.lines().map(|line| line.matches('|').count().saturating_sub(1));
    columns.max().filter(|columns| *columns > limits::TABLE_COLUMNS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Sources;

    fn told(text: &str) -> Vec<String> {
        let mistakes = Mistakes::default();
        let page = Page::new("lessons/water.md".into(), text.into());
        let sound = lesson(&page, 0, &mistakes);
        assert_eq!(sound.len(), text.len());
        mistakes.take_findings(&Sources::default()).into_iter().map(|finding| finding.message).collect()
    }

    #[test]
    fn what_stands_between_empty_lines_is_bounded() {
        let block = |bytes: usize| format!("# A\n\n{}\n\nText\n", "a ".repeat(bytes / 2));
        assert_eq!(told(&block(limits::BLOCK_BYTES - 2)), [""; 0]);
        let expected = "There are 16,005 bytes between two empty lines: packstring takes 16,000 at most.";
        assert_eq!(told(&block(limits::BLOCK_BYTES + 4)), [expected]);
        // Also where the file ends without a line end.
        assert_eq!(told(&"a".repeat(20_000)).len(), 1);
        assert_eq!(told(&block(limits::BLOCK_BYTES - 2).repeat(20)), [""; 0]);
    }

    #[test]
    fn a_table_has_so_many_columns_at_most() {
        let table = |columns: usize| format!("|{}\n|{}\n|b|\n", "a|".repeat(columns), "-|".repeat(columns));
        assert_eq!(told(&table(50)), [""; 0]);
        assert_eq!(told(&table(51)), ["A table has 51 columns: packstring takes 50 at most."]);
    }

    #[test]
    fn marks_heaped_upon_a_letter_are_found() {
        let heap = |count: usize| format!("né a{}b", "\u{301}".repeat(count));
        assert_eq!(heaped(&heap(30)), None);
        assert_eq!(heaped(&heap(31)), Some(4..67));
        assert_eq!(heaped("नमस्ते, ทั้งสี่"), None);
    }
}

//! What a TOML parser says, in words for a ranger.

pub(super) mod newcomer;

use super::files::Page;
use super::mistakes::Mistakes;
use crate::finding::{Rule, rules};
use std::borrow::Cow;
use std::ops::Range;
use toml::de::{DeTable, Error};

/// Where a page is not TOML. What seems to be missing from such a page may only have been lost.
#[derive(Default)]
pub(super) struct Broken {
    /// The bytes of the lines that were passed over.
    parts: Vec<Range<usize>>,
}

impl Broken {
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// Whether a byte of the page's text was passed over.
    pub fn holds(&self, at: usize) -> bool {
        self.parts.iter().any(|part| part.contains(&at))
    }
}

/// The text of a page with blanks in place of every line that breaks the form of TOML; each such line
/// is told. Bytes keep their places.
///
/// A parser gives up on what follows some slips, so that it must be asked again once the lines in
/// which it stumbled are out of its way.
pub(super) fn sound_text<'p>(page: &'p Page, mistakes: &Mistakes) -> (Cow<'p, str>, Broken) {
    /// More slips than anyone mends at one sitting; a file with more is hardly TOML at all.
    const MOST: usize = 200;
    let mut text = Cow::Borrowed(page.text());
    let mut broken = Broken::default();
    while broken.parts.len() < MOST {
        let (_, errors) = DeTable::parse_recoverable(&text);
        let slips: Vec<Slip> = errors.iter().take(MOST).map(|error| Slip::of(error, &text)).collect();
        if slips.is_empty() {
            return (text, broken);
        }
        // What was never closed swallows what follows it: that is for the next round.
        let swallowed = slips.iter().filter(|slip| slip.swallows).map(|slip| slip.part.end).min();
        let told = broken.parts.len();
        for slip in slips {
            // One slip makes the parser stumble several times; the first is the true one.
            let is_sure = swallowed.is_none_or(|end| slip.part.end <= end);
            if is_sure && !broken.holds(slip.at.start) {
                mistakes.tell(slip.rule, page.place(slip.at), slip.message, slip.mend);
                blank(text.to_mut(), &slip.part);
                broken.parts.push(slip.part);
            }
        }
        if broken.parts.len() == told {
            break;
        }
    }
    (Cow::Owned(" ".repeat(page.text().len())), broken)
}

/// Puts blanks in place of a part of a text, line ends kept.
fn blank(text: &mut String, part: &Range<usize>) {
    let end = part.end.min(text.len());
    let blanks: String =
        text[part.start..end].bytes().map(|byte| if byte == b'\n' { '\n' } else { ' ' }).collect();
    text.replace_range(part.start..end, &blanks);
}

/// What breaks the form of TOML.
struct Slip {
    rule: &'static Rule,
    at: Range<usize>,
    /// What is passed over for its sake: whole lines.
    part: Range<usize>,
    /// Whether it was never closed, so that the parser took what follows for a part of it.
    swallows: bool,
    message: String,
    mend: Cow<'static, str>,
}

impl Slip {
    fn of(error: &Error, text: &str) -> Self {
        let at = error.span().unwrap_or(text.len()..text.len());
        let line = line_of(text, at.start);
        let whole = line.start..line.end.min(text.len());
        let part = match text[whole.clone()].trim_start().starts_with('[') {
            // What stands below a heading that is broken or doubled would count to the heading before.
            true => line.start..heading_after(text, line.end).max(line.end),
            false => line,
        };
        let slip = |rule, at, part, message: String, mend: &'static str| Self {
            rule,
            at,
            part,
            swallows: false,
            message,
            mend: mend.into(),
        };
        if error.message().contains("duplicate key") {
            let message = format!("The name “{}” is given twice.", &text[at.clone()]);
            return slip(&rules::NAME_DOUBLED, at, part, message, "Take one out, or give it another name.");
        }
        if let Some(list) = open_list(error, text, at.start) {
            let end = list.start + text[list.clone()].trim_end().len();
            let message = "The bracket that closes this list is missing.".to_owned();
            let slip = slip(&rules::SYNTAX, end..end, list, message, "Add “]” after its last entry.");
            return Self { swallows: true, ..slip };
        }
        if let Some(start) = open_long_string(error, text) {
            let message = "The three quotation marks that close this text are missing.".to_owned();
            let part = line_of(text, start).start..text.len() + 1;
            let slip = slip(&rules::SYNTAX, start..start + 3, part, message, "Add them where the text ends.");
            return Self { swallows: true, ..slip };
        }
        if let Some((place, message, mend)) = newcomer::slip(&text[whole.clone()]) {
            let at = whole.start + place.start..whole.start + place.end;
            return Self { mend, ..slip(&rules::SYNTAX, at, part, message.to_owned(), "") };
        }
        let (message, mend) = plain(error.message(), &text[at.clone()]);
        slip(&rules::SYNTAX, at, part, message.to_owned(), mend)
    }
}

/// Where a text in three quotation marks starts that was never closed.
fn open_long_string(error: &Error, text: &str) -> Option<usize> {
    if !error.message().contains("multi-line") {
        return None;
    }
    text.rfind("\"\"\"").max(text.rfind("'''"))
}

/// The lines of a list that was never closed, where the parser stumbled only over what follows it.
fn open_list(error: &Error, text: &str, at: usize) -> Option<Range<usize>> {
    if !["comma", "array"].iter().any(|part| error.message().contains(part)) {
        return None;
    }
    let here = line_of(text, at);
    let is_next = |line: &str| line.trim_start().starts_with('[') || assigned(line).is_some();
    let stumbled = here.start == text.len() || is_next(&text[here.start..here.end.min(text.len())]);
    let before = &text[..here.start];
    let start = before.split_inclusive('\n').scan(0, |start, line| {
        let from = *start;
        *start += line.len();
        Some((from, line))
    });
    let (start, last) = start.filter(|(_, line)| assigned(line).is_some()).last()?;
    (stumbled && assigned(last)?.starts_with('[')).then_some(start..here.start)
}

/// What stands after the equals sign of a line that starts with a key.
fn assigned(line: &str) -> Option<&str> {
    let (key, value) = line.split_once('=')?;
    let key = key.trim();
    let is_key =
        !key.is_empty() && key.chars().all(|letter| letter.is_ascii_alphanumeric() || "-_".contains(letter));
    is_key.then(|| value.trim())
}

/// The line that holds a byte, with its line end, or one byte more than the text at its very end.
fn line_of(text: &str, at: usize) -> Range<usize> {
    let bytes = text.as_bytes();
    let at = at.min(bytes.len());
    let start = bytes[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |before| before + 1);
    let end = bytes[at..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |length| at + length);
    start..end + 1
}

/// Where the next line that starts with a bracket starts.
fn heading_after(text: &str, from: usize) -> usize {
    let rest = text.get(from..).unwrap_or("");
    let lengths = rest.split_inclusive('\n').take_while(|line| !line.trim_start().starts_with('['));
    from + lengths.map(str::len).sum::<usize>()
}

/// What the parser says, the first that is part of its message counts; what a ranger is told; the mend.
const SAID: [(&str, &str, &str); 25] = [
    (
        "must be quoted",
        "Text needs quotation marks around it.",
        "Put straight quotation marks around it: \"…\".",
    ),
    ("invalid date", "There is no such date.", "Write year, month and day, such as 2026-05-16."),
    ("invalid time", "There is no such time.", "Write hours and minutes, such as 09:00."),
    ("invalid boolean", "This is neither true nor false.", "Write true or false, without quotation marks."),
    (
        "escape",
        "packstring does not know what this backslash stands for.",
        "To print one backslash, write two.",
    ),
    (
        "unicode",
        "packstring does not know what this backslash stands for.",
        "To print one backslash, write two.",
    ),
    (
        "string",
        "The quotation mark that closes this text is missing.",
        "Add a straight quotation mark at the end; use \\\" for one inside the text.",
    ),
    (
        "unclosed array table",
        "The brackets that close this heading are missing.",
        "End the heading with “]]”.",
    ),
    ("unclosed table", "The bracket that closes this heading is missing.", "End the heading with “]”."),
    ("missing comma", "A comma is missing here, or the bracket that closes the list.", "Add it."),
    ("extra comma", "There is one comma too many.", "Put one comma between two entries."),
    ("array", "The bracket that closes this list is missing.", "Add “]” after the last entry of the list."),
    ("inline table", "The brace that closes this table is missing.", "Add “}” after its last entry."),
    ("no value", "This line is not a key with a value.", "Write it as: key = \"value\"."),
    (
        "missing value",
        "This key has no value.",
        "Write the value after the equals sign, or take the line out.",
    ),
    ("missing assignment", "This line is not a key with a value.", "Write it as: key = \"value\"."),
    ("extra", "There is one equals sign too many.", "Write one key and its value in each line."),
    (
        "unexpected key or value",
        "There is extra text after the value on this line.",
        "Remove it, or put it on a new line.",
    ),
    (
        "unexpected content",
        "There is extra text after the value on this line.",
        "Remove it, or put it on a new line.",
    ),
    ("recurs", "Lists or tables are nested too deep.", "Use fewer levels."),
    (
        "extend value",
        "This heading names something that already has a value.",
        "Give the heading another name.",
    ),
    ("carriage return", "There is a hidden control character here.", "Delete it."),
    ("comment", "There is a hidden control character here.", "Delete it."),
    ("key", "This is not the name of a key.", "A key has only letters, digits and hyphens: key = \"value\"."),
    (
        "",
        "This is not a number, a date, true, false or text in quotation marks.",
        "Write it with digits alone (7, not 07), or in quotation marks if it is text.",
    ),
];

/// Message and mend for what the parser says of the words where it stumbled.
fn plain(said: &str, words: &str) -> (&'static str, &'static str) {
    let said = if words.trim().is_empty() {
        said.replace("string values must be quoted", "missing value")
    } else {
        said.to_owned()
    };
    let said = said.split(", expected").next().unwrap_or("");
    SAID.iter().find(|(part, _, _)| said.contains(part)).map_or(
        ("packstring cannot read this line.", "Write it as: key = \"value\"."),
        |(_, message, mend)| (message, mend),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slips(text: &str) -> Vec<(usize, String)> {
        mends(text).into_iter().map(|(line, message, _)| (line, message)).collect()
    }

    fn mends(text: &str) -> Vec<(usize, String, String)> {
        let mistakes = Mistakes::default();
        let page = Page::new("kits.toml".into(), text.into());
        let (sound, _) = sound_text(&page, &mistakes);
        assert_eq!(sound.len(), text.len());
        assert!(DeTable::parse(&sound).is_ok());
        let mut sources = crate::finding::Sources::default();
        sources.add(page.file.clone(), text.into());
        let told = mistakes.take_findings(&sources);
        let line = |slip: &crate::finding::Finding| sources.line_column(&slip.place).line;
        told.into_iter().map(|slip| (line(&slip), slip.message, slip.mend.unwrap_or_default())).collect()
    }

    fn lines(text: &str) -> Vec<usize> {
        slips(text).into_iter().map(|(line, _)| line).collect()
    }

    #[test]
    fn every_slip_is_told_once() {
        assert_eq!(
            lines("a = 1\nb = 07\nc =\nd = x\ne = 1\ne = 2\nf \ng = 2026-02-30\n"),
            [2, 3, 4, 6, 7, 8]
        );
        assert_eq!(lines("[[a]\nb = 1\n[[a]]\nb = \"x\n[[a]]\nb = [1 2]\nc = tru\n"), [1, 4, 6, 7]);
        assert_eq!(lines("ä = 1\n“x” = 2\nü = ü\n"), [1, 2, 3]);
    }

    /// Each slip is one that people make who have never written TOML.
    #[test]
    fn what_a_newcomer_writes_is_answered_with_what_to_write() {
        for (line, mend) in [
            ("a = yes", "Write true."),
            ("a = Off # not yet", "Write false."),
            ("a = 05/16/2026", "Write 2026-05-16."),
            ("a = 16.5.2026", "Write 2026-05-16."),
            (
                "a = 5/6/2026",
                "Write the date as year, month and day, such as 2026-05-16, without quotation marks.",
            ),
            ("a = 2026/5/16", "Write 2026-05-16."),
            ("a = 9:00", "Write 09:00."),
            ("a = 9:30 pm", "Write 21:30."),
            ("a = 12:15 a.m.", "Write 00:15."),
            ("[Group Size]", "Write [group-size]."),
            ("[[ Day Kits ]]", "Write [[day-kits]]."),
            ("a =\u{a0}\"wildlife\"", "Replace it with an ordinary space."),
            ("a = \"A \"vet\" or two\"", "Write \\\" for each quotation mark inside the text."),
        ] {
            let told = mends(&format!("x = 1\n{line}\ny = 2\n"));
            assert!(told.len() == 1 && told[0].0 == 2 && told[0].2 == mend, "{line}: {told:?}");
        }
        for line in ["a = 25:00", "a = 13/45/2026", "a = hello", "a = maybe"] {
            let told = mends(line);
            assert!(told.len() == 1 && !told[0].2.starts_with("Write 2"), "{line}: {told:?}");
        }
    }

    #[test]
    fn an_open_list_is_told_where_it_stands() {
        let message = "The bracket that closes this list is missing.".to_owned();
        assert_eq!(slips("a = [1,\n  2\n\n[b]\nc = 1\n"), [(2, message.clone())]);
        let long = "The three quotation marks that close this text are missing.".to_owned();
        assert_eq!(
            slips("a = 07\nb = \"\"\"x\nc = 08\n[d]\n"),
            [(1, slips("a = 07")[0].1.clone()), (2, long)]
        );
        assert_eq!(slips("a = [1, 2\nb = 3\nc = [\"x\"\n"), [(1, message.clone()), (3, message)]);
    }
}

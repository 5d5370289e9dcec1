//! What a TOML parser says, in words for a ranger.

use super::files::Page;
use super::mistakes::Mistakes;
use toml::de::{DeTable, Error};

/// Parses a page; what breaks the form of TOML is told. The flag says whether anything did: then the
/// table may lack keys that stand in the file.
pub(super) fn parse<'p>(page: &'p Page, mistakes: &Mistakes) -> (DeTable<'p>, bool) {
    let (table, errors) = DeTable::parse_recoverable(page.text());
    let mut lines = Vec::new();
    for error in &errors {
        let at = error.span().unwrap_or(page.text().len()..page.text().len());
        // One slip makes the parser stumble several times; the first in a line is the true one.
        let line = page.text()[..floor(page.text(), at.start)].matches('\n').count();
        if lines.contains(&line) {
            continue;
        }
        lines.push(line);
        let (rule, message, mend) = plain(error);
        mistakes.tell(rule, page.place(at), message, mend);
    }
    (table.into_inner(), !errors.is_empty())
}

fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

/// Rule, message and mend for a parser's error.
fn plain(error: &Error) -> (&'static str, &'static str, &'static str) {
    let said = error.message();
    let told = |message, mend| ("syntax", message, mend);
    let has = |part: &str| said.contains(part);
    if has("duplicate key") {
        return (
            "name-doubled",
            "The same name is given twice.",
            "Keep one of the two, or give the second another name.",
        );
    }
    if has("string values must be quoted") {
        told("Text must stand in quotation marks.", "Put straight quotation marks around it: \"…\".")
    } else if has("invalid basic string") || has("basic string") || has("literal string") || has("quote") {
        told(
            "The quotation mark that closes this text is missing.",
            "Add a straight quotation mark (\") at the end.",
        )
    } else if has("escape") || has("unicode") {
        told(
            "A backslash in quotation marks starts a sign that is not known.",
            "Write two backslashes for one that is to be seen.",
        )
    } else if has("unclosed array table") || has("unclosed table") {
        told(
            "The bracket that closes this heading is missing.",
            "End the heading with as many “]” as it has “[”.",
        )
    } else if has("comma") {
        told("A comma is missing or stands where none belongs.", "Put one comma between two entries.")
    } else if has("unclosed array") || has("missing array") {
        told("The bracket that closes this list is missing.", "Add “]” after the last entry of the list.")
    } else if has("inline table") {
        told("The brace that closes this table is missing.", "Add “}” after its last entry.")
    } else if has("no value") || has("missing value") || has("missing assignment") {
        told("A key stands here without its value.", "Write it as: key = \"value\".")
    } else if has("assignment") || has("`=`") {
        told("There is one equals sign too many.", "Write one key and its value in each line.")
    } else if has("leading zero")
        || has("digit")
        || has("number")
        || has("sign")
        || has("radix")
        || has("prefix")
    {
        told(
            "This is not written as a number.",
            "Write it with digits alone, or in quotation marks if it is text.",
        )
    } else if has("recurs") {
        told("Lists or tables lie too deep in one another.", "Write it flatter.")
    } else if has("extend value") {
        told("This heading names something that already has a value.", "Give the heading another name.")
    } else if has("carriage return") || has("comment character") {
        told(
            "There is a control character here that no text file should hold.",
            "Delete it and type the line anew.",
        )
    } else if has("key") {
        told("This is not the name of a key.", "A key is of letters, digits and hyphens.")
    } else {
        told("This line is not written as TOML.", "Write it as: key = \"value\", or [heading].")
    }
}

//! A file's text line by line, with marks in it and what is told of each line below it.

use serde_json::{Value, json};
use std::ops::Range;

/// Something that is marked in a text.
pub(super) struct Mark {
    /// In the text.
    pub range: Range<usize>,
    /// What the page is told of it.
    pub data: Value,
}

/// The lines of a text: each with its number from 1, its pieces of text (with a mark where they have one), and what is
/// told of it. `marks` stand in order, none within another; `told` goes by the line's number, and what is told of a line
/// that the text no longer has stands at its last.
pub(super) fn of(text: &str, marks: &[Mark], told: &[(usize, Value)]) -> Vec<Value> {
    let mut lines = Vec::new();
    let mut start = 0;
    let mut marks = marks.iter().peekable();
    let last = text.lines().count().max(1);
    for (at, line) in text.split_inclusive('\n').enumerate() {
        let range = start..start + line.trim_end_matches(['\n', '\r']).len();
        start += line.len();
        let mut parts = Vec::new();
        let mut from = range.start;
        while let Some(mark) = marks.peek().filter(|mark| mark.range.start < range.end) {
            let here = mark.range.start.max(from)..mark.range.end.min(range.end);
            if from < here.start {
                parts.push(json!({ "text": text[from..here.start] }));
            }
            // A mark that goes on below is the same link once more.
            parts.push(json!({ "text": text[here.clone()], "mark": mark.data, "first": mark.range.start >= range.start }));
            from = here.end;
            if mark.range.end > range.end {
                break;
            }
            marks.next();
        }
        if from < range.end {
            parts.push(json!({ "text": text[from..range.end] }));
        }
        let number = at + 1;
        let is_of_it = |line: usize| line == number || number == last && line > last;
        let told: Vec<&Value> =
            told.iter().filter(|(line, _)| is_of_it(*line)).map(|(_, told)| told).collect();
        lines.push(json!({ "number": number, "parts": parts, "told": told }));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_stand_in_their_lines_and_go_on_in_the_next() {
        let text = "Hold six\nfeet or 7 ft.\r\n\nEnd";
        let marks = [Mark { range: 5..13, data: json!("a") }, Mark { range: 17..21, data: json!("b") }];
        let lines = of(text, &marks, &[(2, json!("told")), (9, json!("late"))]);
        let parts = |at: usize| lines[at]["parts"].to_string();
        assert_eq!(parts(0), r#"[{"text":"Hold "},{"text":"six","mark":"a","first":true}]"#);
        assert_eq!(
            parts(1),
            r#"[{"text":"feet","mark":"a","first":false},{"text":" or "},{"text":"7 ft","mark":"b","first":true},{"text":"."}]"#
        );
        assert_eq!(parts(2), "[]");
        assert_eq!(lines[1]["told"], json!(["told"]));
        assert_eq!(
            lines[3]["told"],
            json!(["late"]),
            "what is told of a line that is gone stands at the last"
        );
    }
}

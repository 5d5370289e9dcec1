//! `packstring figures`: lists every figure that the reader finds in a text.
//!
//! For editors, a line a figure with its place, its words, its value and its unit. For other programs
//! (`--jsonl`), lines of JSON: `{"id","text"}` in, `{"id","figures":[…]}` out, with places counted in
//! Unicode scalars. Nothing here knows of programs or facts.

use super::report::counted;
use crate::disk;
use crate::io_error::{Refusal, in_words, refusal};
use crate::quantity::{Amount, Exact, Figure, Hedge, Language, Limit, plain};
use serde_json::{Map, Value};
use std::io::{self, BufRead, Read, Write};
use std::path::PathBuf;

/// What was looked at, for the closing words and the exit code.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FiguresRead {
    pub figures: usize,
    pub texts: usize,
    /// Files and lines that could not be read, each with its reason.
    pub unread: Vec<String>,
}

/// Stands for standard input among the files. A file of that name is `./-`.
const INPUT: &str = "-";

/// Lists the figures of `files`, or with `jsonl` those of the records on standard input. What cannot
/// be read is told in [`FiguresRead::unread`]; an error is one of writing.
pub fn run(
    files: &[PathBuf],
    jsonl: bool,
    language: &Language,
    out: &mut dyn Write,
) -> io::Result<FiguresRead> {
    if jsonl {
        return answer_records(&mut io::stdin().lock(), language, out);
    }
    let mut looked = FiguresRead::default();
    for file in files {
        let (name, text) = match file.as_os_str() == INPUT {
            true => ("standard input".to_owned(), decoded(in_full(&mut io::stdin().lock()))),
            false => (file.display().to_string(), decoded(disk::read(file))),
        };
        match text {
            Ok(text) => {
                looked.texts += 1;
                looked.figures += list(&name, &text, language, out)?;
            }
            Err(why) => looked.unread.push(format!("{name}: {why}")),
        }
    }
    let (figures, texts) = (counted(looked.figures, "figure"), counted(looked.texts, "text"));
    writeln!(out, "{figures} in {texts}.")?;
    Ok(looked)
}

fn in_full(input: &mut dyn Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    input.read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn decoded(bytes: io::Result<Vec<u8>>) -> Result<String, String> {
    let bytes = bytes.map_err(|error| match error.kind() {
        _ if refusal(&error) == Some(Refusal::Special) => {
            "it is a pipe or a device; give it on standard input, and name “-”".to_owned()
        }
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder; name the files in it".to_owned(),
        _ => format!("it cannot be read: {}", in_words(&error)),
    })?;
    String::from_utf8(bytes).map_err(|_| "it is not UTF-8 text; save it as UTF-8 and try again".to_owned())
}

/// Writes one line a figure, in columns that line up, and says how many there were.
fn list(file: &str, text: &str, language: &Language, out: &mut dyn Write) -> io::Result<usize> {
    let mut places = Places::new(text);
    let rows: Vec<[String; 4]> = language
        .read(text)
        .iter()
        .flat_map(|figure| [Some(figure), figure.dual.as_deref()])
        .flatten()
        .map(|figure| {
            let (line, column) = places.of(figure.reach.start);
            let words = text[figure.reach.clone()].split_whitespace().collect::<Vec<_>>().join(" ");
            [format!("{file}:{line}:{column}"), words, value_in_words(figure), figure.quantity.unit.name()]
        })
        .collect();
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths = [width(0), width(1), width(2)];
    for row in &rows {
        let mut line = String::new();
        for (cell, width) in row.iter().zip(widths) {
            line.push_str(cell);
            line.extend(std::iter::repeat_n(' ', width - cell.chars().count() + 3));
        }
        line.push_str(&row[3]);
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(rows.len())
}

/// `at most 6`, `about 22000000`, `5 to 10`.
fn value_in_words(figure: &Figure) -> String {
    let number = match &figure.quantity.amount {
        Amount::One(value) => plain(value),
        Amount::Range(low, high) => format!("{} to {}", plain(low), plain(high)),
    };
    let bound = match (figure.limit, figure.hedge) {
        (Some(Limit::AtMost), _) => "at most ",
        (Some(Limit::AtLeast), _) => "at least ",
        (Some(Limit::Exactly), _) => "exactly ",
        (_, Some(Hedge::About)) => "about ",
        (_, Some(Hedge::Nearly)) => "nearly ",
        (_, Some(Hedge::Over)) => "over ",
        (_, Some(Hedge::Under)) => "under ",
        (Some(Limit::About) | None, None) => "",
    };
    format!("{bound}{number}")
}

fn answer_records(
    input: &mut dyn BufRead,
    language: &Language,
    out: &mut dyn Write,
) -> io::Result<FiguresRead> {
    let mut looked = FiguresRead::default();
    for (at, line) in input.lines().enumerate() {
        let line = match line {
            Ok(line) => line,
            Err(error) => {
                looked.unread.push(format!("standard input, line {}: {}", at + 1, in_words(&error)));
                if error.kind() == io::ErrorKind::InvalidData {
                    continue;
                }
                break;
            }
        };
        if line.trim().is_empty() {
            continue;
        }
        match answer(&line, language) {
            Ok((answer, figures)) => {
                writeln!(out, "{answer}")?;
                looked.texts += 1;
                looked.figures += figures;
            }
            Err(why) => looked.unread.push(format!("standard input, line {}: {why}", at + 1)),
        }
    }
    Ok(looked)
}

/// Answers one record with its figures, and says how many they are.
pub fn answer(line: &str, language: &Language) -> Result<(String, usize), String> {
    let record: Map<String, Value> = serde_json::from_str(line)
        .map_err(|_| "it is not a JSON object such as {\"id\": 1, \"text\": \"Six feet.\"}".to_owned())?;
    let id = record.get("id").cloned().unwrap_or(Value::Null);
    let Some(Value::String(text)) = record.get("text") else {
        return Err("the record has no text under “text”".into());
    };
    let mut scalars = Scalars { text, at: 0, count: 0 };
    let figures: Vec<String> = language
        .read(text)
        .iter()
        .flat_map(|figure| [Some(figure), figure.dual.as_deref()])
        .flatten()
        .map(|figure| record_of(figure, text, &mut scalars))
        .collect();
    Ok((format!("{{\"id\":{id},\"figures\":[{}]}}", figures.join(",")), figures.len()))
}

/// One figure as JSON. Numbers are written digit by digit, so that none is cut to a binary one; a value
/// without an end as a decimal also stands as a fraction under `exact`.
fn record_of(figure: &Figure, text: &str, scalars: &mut Scalars) -> String {
    let unit = &figure.quantity.unit;
    // what is counted is no unit of measure: the span is the number's
    let count = unit.counts_things().then(|| unit.name()).filter(|name| !name.starts_with("time per "));
    let span = if count.is_some() { &figure.number } else { &figure.alone };
    let (start, end) = (scalars.of(span.start), scalars.of(span.end));
    let words = Value::from(&text[span.clone()]);
    let mut json = format!("{{\"start\":{start},\"end\":{end},\"words\":{words}");
    let mut put = |key: &str, value: &Exact| {
        json.push_str(&format!(",\"{key}\":{}", decimal(value)));
        if plain(value).contains('/') {
            json.push_str(&format!(",\"exact-{key}\":\"{}\"", plain(value)));
        }
    };
    match &figure.quantity.amount {
        Amount::One(value) => put("value", value),
        Amount::Range(low, high) => {
            put("low", low);
            put("high", high);
        }
    }
    let name = unit.name();
    let name = if name.is_empty() || count.is_some() { Value::Null } else { Value::from(name) };
    json.push_str(&format!(",\"unit\":{name}"));
    if let Some(noun) = count {
        json.push_str(&format!(",\"of\":{}", Value::from(noun)));
    }
    json.push('}');
    json
}

/// A value as a JSON number; to eighteen digits where it has no end.
fn decimal(value: &Exact) -> String {
    let text = plain(value);
    if !text.contains('/') {
        return text;
    }
    let scale = Exact::from_integer(10_u64.pow(18).into());
    plain(&((value * &scale).round() / scale))
}

/// Counts Unicode scalars, going on from where it was last asked.
struct Scalars<'t> {
    text: &'t str,
    at: usize,
    count: usize,
}

impl Scalars<'_> {
    fn of(&mut self, byte: usize) -> usize {
        if byte < self.at {
            (self.at, self.count) = (0, 0);
        }
        self.count += self.text[self.at..byte].chars().count();
        self.at = byte;
        self.count
    }
}

/// Lines and columns of a text, from 1, asked in order.
struct Places<'t> {
    text: &'t str,
    at: usize,
    line: usize,
    line_start: usize,
}

impl<'t> Places<'t> {
    fn new(text: &'t str) -> Self {
        let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        Self { text, at: mark, line: 1, line_start: mark }
    }

    fn of(&mut self, byte: usize) -> (usize, usize) {
        for (at, _) in self.text[self.at.min(byte)..byte].match_indices('\n') {
            self.line += 1;
            self.line_start = self.at + at + 1;
        }
        self.at = byte;
        (self.line, self.text[self.line_start..byte].chars().count() + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_tell_place_words_value_and_unit() {
        let mut out = Vec::new();
        let text = "Keep the lead to no more than six feet.\n½ café: 5 to 10 gallons a day, 13 camps.\n";
        let figures = list("a.md", text, &Language::default(), &mut out).unwrap();
        assert_eq!(figures, 4);
        assert_eq!(
            String::from_utf8(out).unwrap(),
            "a.md:1:18   no more than six feet   at most 6   foot\n\
             a.md:2:1    ½                       0.5\n\
             a.md:2:9    5 to 10 gallons a day   5 to 10     gallon per day\n\
             a.md:2:32   13 camps                13          camp\n"
        );
    }

    #[test]
    fn records_are_answered_in_scalars_and_exactly() {
        let (json, figures) =
            answer(r#"{"id":"a","text":"é 0.1 lb, a third of 13 camps"}"#, &Language::default()).unwrap();
        assert_eq!(figures, 3);
        assert_eq!(
            json,
            "{\"id\":\"a\",\"figures\":[{\"start\":2,\"end\":8,\"words\":\"0.1 lb\",\"value\":0.1,\"unit\":\"pound\"},\
             {\"start\":10,\"end\":17,\"words\":\"a third\",\"value\":0.333333333333333333,\"exact-value\":\"1/3\",\"unit\":null},\
             {\"start\":21,\"end\":23,\"words\":\"13\",\"value\":13,\"unit\":null,\"of\":\"camp\"}]}"
        );
        assert!(answer("[1]", &Language::default()).is_err());
        assert_eq!(
            answer(r#"{"id":1}"#, &Language::default()).unwrap_err(),
            "the record has no text under “text”"
        );
    }
}

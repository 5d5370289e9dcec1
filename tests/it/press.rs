//! The press: names come out as they are, files are accessible, the same bytes each time.

use packstring::finding::Finding;
use packstring::pieces::{Job, Make, Piece, Sheet, Shelf};
use packstring::press::{Press, PressError, Theme};
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;

/// Names that would do harm if they were ever read as code.
const NAMES: [&str; 7] = [
    "#panic(\"x\")",
    "<b>bold</b>",
    "*stars* and _lines_",
    "$x^2$",
    "\"], \"name\": \"other",
    "{{7*7}} {% raw %}",
    "`code` @ref <label> = ~ -- \\",
];

fn theme(template: &str) -> Theme {
    Theme::plain().with_file("sheets/trial.typ", template.as_bytes())
}

fn sheet(data: serde_json::Value) -> Job {
    let sheet = Sheet { template: "trial.typ".into(), data, ..Sheet::default() };
    Job { piece: Piece::Handout, shelf: Shelf::Open, path: "trial.pdf".into(), make: Make::Sheet(sheet) }
}

type Files = BTreeMap<String, Vec<u8>>;

fn make(press: &Press, job: &Job) -> Result<(Files, Vec<Finding>), PressError> {
    let mut files = Files::new();
    let findings = press.make(job, &|_| true, &mut |made| {
        files.insert(made.output.path.clone(), made.bytes.to_vec());
        Ok(())
    })?;
    Ok((files, findings))
}

const TRIAL: &str = r#"
#let piece = json("/data/piece.json")
#set document(title: piece.title, author: "Juniper Basin Open Lands")
#set text(font: ("Vollkorn", "Noto Serif Devanagari", "Noto Naskh Arabic"), lang: "en")
#heading(level: 1, piece.title)
#for name in piece.names { par(name) }
"#;

#[test]
fn a_sheet_is_a_pdf_for_everyone_and_the_same_each_time() {
    let job = sheet(json!({ "title": "Names", "names": NAMES }));
    let (files, findings) = make(&Press::open(theme(TRIAL), Path::new("")), &job).unwrap();
    assert_eq!(findings, []);
    let again = make(&Press::open(theme(TRIAL), Path::new("")), &job).unwrap();
    assert!(files == again.0, "two makings differ");
    assert!(files["trial.pdf"].starts_with(b"%PDF-1.7"));
}

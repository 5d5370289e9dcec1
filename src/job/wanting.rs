//! Words that a job wants: a link leaves them to a fact, and the fact has none.
//!
//! What stands in their place goes through a plan as text, and must never be printed. It is set between two
//! noncharacters of Unicode, which programs keep to themselves and no text holds by right, so that whatever a
//! plan makes of its words, the job that wants some is known.

use super::{Cell, Imposed, Job, Make};
use serde_json::Value;
use std::collections::BTreeSet;

const OPEN: char = '\u{fdd0}';
const CLOSE: char = '\u{fdd1}';

/// What stands for the words of a fact that has none.
pub fn wanted(fact: &str) -> String {
    format!("{OPEN}{fact}{CLOSE}")
}

impl Job {
    /// The facts whose words the job would print and that have none.
    pub fn wants(&self) -> BTreeSet<String> {
        let mut facts = BTreeSet::new();
        let mut look = |text: &str| {
            for rest in text.split(OPEN).skip(1) {
                facts.extend(rest.split(CLOSE).next().map(str::to_owned));
            }
        };
        match &self.make {
            Make::Sheet(sheet) | Make::Drawing(sheet) | Make::Imposed(Imposed { pages: sheet, .. }) => {
                each_text(&sheet.data, &mut look);
                sheet.parts.iter().for_each(|(_, part)| each_text(part, &mut look));
            }
            Make::Run(run) => {
                each_text(&run.data, &mut look);
                run.entries.iter().for_each(|entry| each_text(&entry.data, &mut look));
            }
            Make::Page { data, .. } => each_text(data, &mut look),
            Make::Tables(tables) => {
                for cell in tables.iter().flat_map(|table| table.rows.iter().flatten()) {
                    if let Cell::Text(text) = cell {
                        look(text);
                    }
                }
            }
            Make::Text(text) => look(text),
            Make::Copy { .. } => {}
        }
        facts
    }
}

fn each_text(data: &Value, look: &mut impl FnMut(&str)) {
    match data {
        Value::String(text) => look(text),
        Value::Array(values) => values.iter().for_each(|value| each_text(value, look)),
        Value::Object(node) => node.values().for_each(|value| each_text(value, look)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Piece, Shelf};
    use serde_json::json;

    #[test]
    fn what_a_job_wants_is_found_in_any_text_and_at_any_depth() {
        let data = json!({"rows": [[format!("Keep {} of rope, {}", wanted("rope"), wanted("lead"))]]});
        let make = Make::Page { template: "a".into(), data };
        let job = Job { piece: Piece::Site, shelf: Shelf::Open, path: "site/a.html".into(), make };
        assert_eq!(job.wants().into_iter().collect::<Vec<_>>(), ["lead", "rope"]);
        let whole = Job { make: Make::Text("Keep … of rope".into()), ..job };
        assert!(whole.wants().is_empty());
    }
}

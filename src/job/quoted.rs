//! Which facts a job's data quote: what tells a reader which pieces a changed fact touches.

use super::{Imposed, Job, Make};
use serde_json::Value;
use std::collections::BTreeSet;

impl Job {
    /// The facts that the job prints: backed figures, series, and entries of the facts page.
    pub fn quoted_facts(&self) -> BTreeSet<String> {
        let mut facts = BTreeSet::new();
        match &self.make {
            Make::Sheet(sheet) | Make::Drawing(sheet) | Make::Imposed(Imposed { pages: sheet, .. }) => {
                facts_in(&sheet.data, &mut facts);
                sheet.parts.iter().for_each(|(_, part)| facts_in(part, &mut facts));
            }
            Make::Run(run) => {
                facts_in(&run.data, &mut facts);
                run.entries.iter().for_each(|entry| facts_in(&entry.data, &mut facts));
            }
            Make::Page { data, .. } => facts_in(data, &mut facts),
            Make::Tables(_) | Make::Text(_) | Make::Copy { .. } => {}
        }
        facts
    }
}

/// The facts that data quote, wherever in it they stand.
fn facts_in(data: &Value, facts: &mut BTreeSet<String>) {
    match data {
        Value::Object(node) => {
            let quotes =
                matches!(node.get("kind").and_then(Value::as_str), Some("figure" | "series" | "fact"));
            if let (true, Some(Value::String(fact))) = (quotes, node.get("fact")) {
                facts.insert(fact.clone());
            }
            node.values().for_each(|value| facts_in(value, facts));
        }
        Value::Array(values) => values.iter().for_each(|value| facts_in(value, facts)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn quoted_facts_are_found_at_any_depth() {
        let mut facts = BTreeSet::new();
        facts_in(
            &json!({"rows": [[{"kind": "figure", "fact": "a", "words": "6 ft"}]],
                    "chart": {"kind": "series", "fact": "b"}, "other": {"kind": "text", "fact": "c"}}),
            &mut facts,
        );
        assert_eq!(facts.into_iter().collect::<Vec<_>>(), ["a", "b"]);
    }
}

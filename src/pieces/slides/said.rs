//! What a slide shows, said in words: for who cannot see its picture.

use crate::pieces::tree::words;
use serde_json::Value;

/// A slide's data as one line: its heading and everything on it.
pub fn in_words(slide: &Value) -> String {
    let mut said = vec![words(&slide["heading"])];
    say(&slide["blocks"], &mut said);
    let mut line = String::new();
    for words in said.iter().map(|words| words.trim()).filter(|words| !words.is_empty()) {
        if !line.is_empty() {
            line.push_str(if line.ends_with(['.', '?', '!', ':', ';', '…']) { " " } else { ". " });
        }
        line.push_str(words);
    }
    line
}

fn say(blocks: &Value, said: &mut Vec<String>) {
    for block in elements(blocks) {
        match block["kind"].as_str().unwrap_or_default() {
            "list" => elements(&block["items"]).for_each(|item| say(&item["blocks"], said)),
            "table" => {
                let row = |cells: &Value| elements(cells).map(words).collect::<Vec<_>>().join(", ");
                said.push(row(&block["head"]));
                said.extend(elements(&block["rows"]).map(row));
            }
            "cue" | "quote" => say(&block["blocks"], said),
            "code" => said.push(text(block, "text")),
            "picture" | "series" => said.push(text(block, "alt")),
            _ => said.push(words(&block["inlines"])),
        }
    }
}

fn elements(list: &Value) -> impl Iterator<Item = &Value> {
    list.as_array().into_iter().flatten()
}

fn text(node: &Value, key: &str) -> String {
    node[key].as_str().unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn everything_on_a_slide_is_said() {
        let line = |text: &str| json!([{"kind": "text", "text": text}]);
        let paragraph = |text: &str| json!([{"kind": "paragraph", "inlines": line(text)}]);
        let slide = json!({"heading": line("Keep apart"), "blocks": [
            {"kind": "list", "items": [{"blocks": paragraph("Stand off")}, {"blocks": paragraph("Wait.")}]},
            {"kind": "table", "head": [line("Who"), line("Where")], "rows": [[line("Sweep"), line("Last")]]},
            {"kind": "cue", "cue": "ask", "blocks": paragraph("Why?")},
            {"kind": "picture", "alt": "Two riders"},
            {"kind": "rule"},
        ]});
        assert_eq!(in_words(&slide), "Keep apart. Stand off. Wait. Who, Where. Sweep, Last. Why? Two riders");
    }
}

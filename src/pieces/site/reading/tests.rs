//! What becomes of single nodes on a small page.

use super::table::elements;
use super::*;

fn pages() -> Pages {
    let mut pages = Pages::default();
    pages.add_lesson("heat", ["shade", "été"].into_iter());
    pages.add_lesson("ropes", ["knots"].into_iter());
    pages.add_fact("lead-length", "facts.html");
    pages.add_picture("pictures/a b.svg", "pictures/a b.svg".into());
    pages
}

/// What becomes of `nodes` on the page of the lesson `heat`, with its quotes and notes.
fn read(nodes: Value) -> (Value, Vec<Quote>, Vec<Value>) {
    let (pages, page) = (pages(), PageAddress::of_lesson("heat"));
    let mut reader = ProseWalker::new(&pages, &page);
    let read = reader.read(nodes);
    (read, reader.quotes, reader.notes)
}

fn text(words: &str) -> Value {
    json!({"kind": "text", "text": words})
}

fn link(to: Value) -> Value {
    json!({"kind": "link", "to": to, "inlines": [text("words")]})
}

#[test]
fn links_lead_to_pages_and_sections() {
    let cases = [
        (json!({"lesson": "ropes", "section": "knots"}), "../lessons/ropes.html#knots"),
        (json!({"lesson": "ropes", "section": "gone"}), "../lessons/ropes.html"),
        (json!({"lesson": "heat", "section": "été"}), "#%C3%A9t%C3%A9"),
        (json!({"address": "https://basin.example/a b"}), "https://basin.example/a%20b"),
    ];
    for (to, href) in cases {
        let (read, ..) = read(json!([link(to)]));
        assert_eq!(read[0]["href"], href);
    }
}

#[test]
fn what_cannot_be_followed_is_shown_as_letters() {
    let (read, ..) = read(json!([link(json!({"address": "javascript:alert(1)"}))]));
    assert_eq!(read, json!([text("words"), text(" (javascript:alert(1))")]));
    let (read, ..) = super::tests::read(json!([link(json!({"lesson": "gone", "section": null}))]));
    assert_eq!(read, json!([text("words")]));
}

#[test]
fn each_quote_has_a_place_of_its_own() {
    let figure = json!({"kind": "figure", "fact": "lead-length", "words": "ten feet"});
    let (read, quotes, _) = read(json!([figure, {"kind": "strong", "inlines": [figure]}]));
    assert_eq!(read[0]["href"], "../facts.html#lead-length");
    assert_eq!(read[1]["inlines"][0]["id"], "quote.lead-length.2");
    let ids: Vec<&str> = quotes.iter().map(|quote| quote.id.as_str()).collect();
    assert_eq!(ids, ["quote.lead-length.1", "quote.lead-length.2"]);
    assert_eq!(quotes[0].page, "lessons/heat.html");
}

#[test]
fn a_figure_of_an_unknown_fact_is_plain_words() {
    let (read, quotes, _) = read(json!([{"kind": "figure", "fact": "gone", "words": "6 ft"}]));
    assert_eq!(read, json!([text("6 ft")]));
    assert_eq!(quotes, []);
}

#[test]
fn what_is_for_the_presenter_is_left_out() {
    let cue = |cue: &str| json!({"kind": "cue", "cue": cue, "blocks": []});
    let all = ["say", "ask", "bring", "try", "caution", "warning", "danger"].map(cue);
    let (read, ..) = read(json!([{"kind": "quote", "blocks": all}]));
    let kept: Vec<&str> = elements(&read[0]["blocks"]).iter().filter_map(|cue| cue["cue"].as_str()).collect();
    assert_eq!(kept, ["ask", "try", "caution", "warning", "danger"]);
}

#[test]
fn no_level_of_heading_is_skipped() {
    let heading = |level: u8| json!({"kind": "heading", "level": level, "inlines": [text("x")]});
    let empty = json!({"kind": "heading", "level": 3, "inlines": []});
    let (read, ..) = read(json!([heading(4), empty, heading(3), heading(6), heading(3)]));
    let levels: Vec<u64> = elements(&read).iter().filter_map(|heading| heading["level"].as_u64()).collect();
    assert_eq!(levels, [2, 3, 4, 3]);
}

#[test]
fn notes_are_numbered_in_reading_order_and_stand_outside_of_links() {
    let note = |blocks: Value| json!({"kind": "footnote", "blocks": blocks});
    let paragraph = |inlines: Value| json!([{"kind": "paragraph", "inlines": inlines}]);
    let nested = note(paragraph(json!([text("first"), note(paragraph(json!([text("nested")])))])));
    let linked = json!({
        "kind": "link", "to": {"lesson": "ropes", "section": null},
        "inlines": [text("knots"), note(paragraph(json!([text("third")])))],
    });
    let (read, _, notes) = read(json!([nested, linked]));
    assert_eq!(read[0], json!({"kind": "note", "number": 1}));
    assert_eq!(read[1]["inlines"], json!([text("knots")]));
    assert_eq!(read[2], json!({"kind": "note", "number": 3}));
    let said: Vec<String> = notes.iter().map(|note| words(&note[0]["inlines"])).collect();
    assert_eq!(said, ["first", "nested", "third"]);
}

#[test]
fn cells_know_their_column_and_wide_tables_stack() {
    let cell = |words: &str| json!([text(words)]);
    let row: Vec<Value> = ["a", "b", "c", "d"].map(cell).into();
    let (read, ..) = read(json!([{"kind": "table", "align": ["end"], "head": row, "rows": [row]}]));
    assert_eq!(read[0]["stacks"], true);
    assert_eq!(read[0]["rows"][0][0]["align"], "end");
    assert_eq!(read[0]["rows"][0][3]["align"], "start");
    assert_eq!(read[0]["rows"][0][3]["column"], "d");
}

#[test]
fn a_narrow_table_stacks_only_for_long_words() {
    let stacks = |words: &str| {
        let (read, ..) = read(json!([{"kind": "table", "align": [], "head": [], "rows": [[[text(words)]]]}]));
        read[0]["stacks"] == true
    };
    assert!(!stacks("Five seconds on the ground"));
    assert!(stacks("Incomprehensibly"));
    assert!(stacks("10\u{a0}US\u{a0}gallons\u{a0}a\u{a0}day"));
}

#[test]
fn pictures_are_encoded_and_one_that_cannot_be_shown_is_told_in_words() {
    let picture = |file: &str| json!({"kind": "picture", "file": file, "alt": "A mule", "caption": null});
    let (read, ..) = read(json!([picture("pictures/a b.svg"), picture("pictures/gone.svg")]));
    assert_eq!(read[0]["src"], "../pictures/a%20b.svg");
    assert_eq!(read[1], json!({"kind": "missing-picture", "alt": "A mule"}));
}

#[test]
fn no_depth_of_nesting_is_too_deep_for_a_page_and_no_words_are_lost() {
    let mut nodes = json!([{"kind": "paragraph", "inlines": [text("kernel")]}]);
    for level in 0..60 {
        nodes = match level % 3 {
            0 => json!([{"kind": "quote", "blocks": nodes}]),
            1 => json!([{"kind": "list", "start": null, "items": [{"task": null, "blocks": nodes}]}]),
            _ => json!([{"kind": "cue", "cue": "try", "blocks": nodes}]),
        };
    }
    fn deepest(value: &Value) -> usize {
        match value {
            Value::Array(values) => 1 + values.iter().map(deepest).max().unwrap_or(0),
            Value::Object(node) => node.values().map(deepest).max().unwrap_or(0),
            _ => 0,
        }
    }
    let (read, ..) = read(nodes);
    assert!(read.to_string().contains("kernel"));
    // A list has two arrays a level.
    assert!(deepest(&read) <= 2 * DEEPEST + 1, "{}", deepest(&read));
}

//! JSON held against a JSON Schema, for the forms that packstring publishes or promises to follow.
//!
//! A whole validator would bring features into crates that the typesetter shares, and with them a second
//! compiling of it. The schemas at hand need few keywords: these are held, and any other is a mistake of
//! the test, so that no condition is passed over.

use regex::Regex;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Fails with every way in which `value` does not follow `schema`.
pub fn assert_follows(schema: &Value, value: &Value) {
    let faults = Held { root: schema, files: &BTreeMap::new() }.faults(schema, value, "$");
    assert!(faults.is_empty(), "{faults:#?}");
}

/// Fails with every way in which `value` does not follow one of the schemas in `docs/`.
pub fn assert_follows_published(name: &str, value: &Value) {
    let text = fs::read_to_string(docs().join(name)).unwrap();
    let faults = faults(&serde_json::from_str(&text).unwrap(), &BTreeMap::new(), value);
    assert!(faults.is_empty(), "{name}: {faults:#?}");
}

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs")
}

/// The schemas in a folder of `docs/` are those that the types give; with `PACKSTRING_ACCEPT=1` they are written anew.
pub fn assert_made<'s>(folder: &str, schemas: impl IntoIterator<Item = (&'s str, &'s Value)>) {
    let accept = std::env::var_os("PACKSTRING_ACCEPT").is_some();
    let mut differ = Vec::new();
    for (name, schema) in schemas {
        let path = docs().join(folder).join(name);
        let text = serde_json::to_string_pretty(schema).unwrap() + "\n";
        if fs::read_to_string(&path).ok().as_ref() != Some(&text) {
            differ.push(name);
            if accept {
                fs::write(&path, text).unwrap();
            }
        }
    }
    assert!(accept || differ.is_empty(), "PACKSTRING_ACCEPT=1 writes {differ:?} anew");
}

#[test]
fn published_schemas_are_those_of_the_records() {
    let made = packstring::commands::schemas::all();
    assert_made("", made.iter().map(|(name, schema)| (*name, schema)));
}

/// Every way in which `value` does not follow a schema that may refer to others beside it, by their names.
pub fn faults(schema: &Value, files: &BTreeMap<String, Value>, value: &Value) -> Vec<String> {
    Held { root: schema, files }.faults(schema, value, "$")
}

struct Held<'s> {
    root: &'s Value,
    files: &'s BTreeMap<String, Value>,
}

impl Held<'_> {
    fn faults(&self, schema: &Value, value: &Value, at: &str) -> Vec<String> {
        let schema = match schema {
            Value::Bool(true) => return Vec::new(),
            Value::Bool(false) => return vec![format!("{at} must not be there")],
            Value::Object(schema) => schema,
            other => panic!("{other} is no schema"),
        };
        // Of a reference nothing beside it counts, but for the annotations.
        if let Some(to) = schema.get("$ref") {
            let (file, to) = to.as_str().unwrap().split_once('#').expect("a reference to a part of a schema");
            let root = if file.is_empty() { self.root } else { &self.files[file] };
            let part = root.pointer(to).unwrap_or_else(|| panic!("there is no {file}#{to}"));
            return Held { root, files: self.files }.faults(part, value, at);
        }
        schema.iter().flat_map(|(keyword, rule)| self.keyword(schema, keyword, rule, value, at)).collect()
    }

    fn keyword(
        &self,
        schema: &Map<String, Value>,
        keyword: &str,
        rule: &Value,
        value: &Value,
        at: &str,
    ) -> Vec<String> {
        let held = match (keyword, value) {
            ("$schema" | "$id" | "title" | "description" | "default" | "definitions" | "$defs", _) => true,
            ("type", _) => listed(rule).any(|kind| is_of(kind.as_str().unwrap(), value)),
            ("const", _) => value == rule,
            ("enum", _) => listed(rule).any(|known| known == value),
            ("minimum", Value::Number(number)) => number.as_f64() >= rule.as_f64(),
            ("maximum", Value::Number(number)) => number.as_f64() <= rule.as_f64(),
            ("minItems", Value::Array(items)) => items.len() as u64 >= rule.as_u64().unwrap(),
            ("maxItems", Value::Array(items)) => items.len() as u64 <= rule.as_u64().unwrap(),
            ("minLength", Value::String(text)) => text.chars().count() as u64 >= rule.as_u64().unwrap(),
            ("maxLength", Value::String(text)) => text.chars().count() as u64 <= rule.as_u64().unwrap(),
            ("uniqueItems", Value::Array(items)) => {
                !rule.as_bool().unwrap() || (1..items.len()).all(|at| !items[..at].contains(&items[at]))
            }
            ("pattern", Value::String(text)) => Regex::new(rule.as_str().unwrap()).unwrap().is_match(text),
            ("format", Value::String(text)) => has_format(rule.as_str().unwrap(), text),
            ("required", Value::Object(fields)) => {
                listed(rule).all(|key| fields.contains_key(key.as_str().unwrap()))
            }
            ("anyOf" | "oneOf", _) => {
                // What says its kind is held against that kind, so that its own fault is told.
                let own = listed(rule).find(|schema| {
                    let kind = schema.pointer("/properties/kind/const");
                    kind.is_some() && kind == value.get("kind")
                });
                if let Some(schema) = own {
                    return self.faults(schema, value, at);
                }
                let fit = listed(rule).filter(|schema| self.faults(schema, value, at).is_empty()).count();
                if keyword == "oneOf" { fit == 1 } else { fit > 0 }
            }
            ("properties", Value::Object(fields)) => return self.properties(rule, fields, at),
            ("additionalProperties", Value::Object(fields)) => {
                return self.others(schema.get("properties"), rule, fields, at);
            }
            ("items", Value::Array(items)) => {
                let each = items.iter().enumerate();
                return each.flat_map(|(n, item)| self.faults(rule, item, &format!("{at}[{n}]"))).collect();
            }
            (
                "minimum"
                | "maximum"
                | "minItems"
                | "maxItems"
                | "minLength"
                | "maxLength"
                | "uniqueItems"
                | "pattern"
                | "format"
                | "required"
                | "properties"
                | "additionalProperties"
                | "items",
                _,
            ) => true,
            (keyword, _) => panic!("the schema uses “{keyword}”, which this test does not know"),
        };
        if held { Vec::new() } else { vec![format!("{at} does not follow {keyword} {rule}: {value}")] }
    }

    fn properties(&self, known: &Value, fields: &Map<String, Value>, at: &str) -> Vec<String> {
        let fields = fields.iter().filter_map(|(name, value)| Some((name, value, known.get(name)?)));
        fields.flat_map(|(name, value, rule)| self.faults(rule, value, &format!("{at}.{name}"))).collect()
    }

    fn others(
        &self,
        known: Option<&Value>,
        rule: &Value,
        fields: &Map<String, Value>,
        at: &str,
    ) -> Vec<String> {
        let others = fields.iter().filter(|(name, _)| known.and_then(|known| known.get(name)).is_none());
        others.flat_map(|(name, value)| self.faults(rule, value, &format!("{at}.{name}"))).collect()
    }
}

/// One, or each of several.
fn listed(rule: &Value) -> impl Iterator<Item = &Value> {
    match rule {
        Value::Array(several) => several.iter(),
        one => std::slice::from_ref(one).iter(),
    }
}

fn is_of(kind: &str, value: &Value) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        kind => panic!("there is no type “{kind}”"),
    }
}

fn has_format(format: &str, text: &str) -> bool {
    let base = url::Url::parse("https://example.com/").unwrap();
    match format {
        "date" => text.parse::<jiff::civil::Date>().is_ok(),
        "uri" => url::Url::parse(text).is_ok(),
        "uri-reference" => {
            let marks =
                |letter: char| letter.is_ascii_alphanumeric() || "-._~:/?#[]@!$&'()*+,;=%".contains(letter);
            text.chars().all(marks) && base.join(text).is_ok()
        }
        "date-time" => text.parse::<jiff::Timestamp>().is_ok(),
        format => panic!("this test does not know the format “{format}”"),
    }
}

#[test]
fn what_does_not_follow_a_schema_is_told() {
    let schema = serde_json::json!({
        "definitions": { "place": { "type": "string", "format": "uri-reference" } },
        "type": "object",
        "required": ["at"],
        "properties": {
            "at": { "$ref": "#/definitions/place" },
            "lines": { "type": "array", "items": { "minimum": 1 }, "uniqueItems": true },
            "level": { "anyOf": [{ "const": 7 }, { "enum": ["note", "error"] }] },
        },
        "additionalProperties": false,
    });
    let faults = |value: Value| self::faults(&schema, &BTreeMap::new(), &value).len();
    assert_eq!(faults(serde_json::json!({ "at": "a/b%20c.md", "lines": [1, 2], "level": "note" })), 0);
    assert_eq!(faults(serde_json::json!({ "at": "a b.md" })), 1);
    assert_eq!(faults(serde_json::json!({ "lines": [0, 2, 2], "level": "off", "more": 1 })), 5);
    assert_eq!(faults(serde_json::json!([])), 1);
}

#[test]
fn a_reference_may_lead_into_another_file() {
    let common = serde_json::json!({ "$defs": {
        "word": { "oneOf": [{ "$ref": "#/$defs/text" }, { "type": "null" }] },
        "text": { "type": "object", "properties": { "kind": { "const": "text" }, "text": { "type": "string" } } },
    } });
    let files = BTreeMap::from([("common.json".to_owned(), common)]);
    let schema = serde_json::json!({ "items": { "$ref": "common.json#/$defs/word" } });
    let faults = |value: Value| faults(&schema, &files, &value).len();
    assert_eq!(faults(serde_json::json!([{ "kind": "text", "text": "a" }, null])), 0);
    assert_eq!(faults(serde_json::json!([{ "kind": "code", "text": "a" }, 7])), 2);
}

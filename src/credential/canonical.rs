//! JSON, read so that nobody can read it otherwise, and written in its one canonical form: the JSON
//! Canonicalization Scheme (RFC 8785).
//!
//! A signature is over the canonical form, so two readers must see the same members in the same text.
//! Therefore a doubled member name is refused, and so is a whole number that a double does not hold
//! exactly (I-JSON, RFC 7493). Depth is bounded by the JSON reader (127), length by [`MOST_BYTES`].

use super::Refused;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

/// The longest text that is looked at: many times the longest record.
pub const MOST_BYTES: usize = 64 * 1024;

/// The greatest whole number up to which a double holds every one: 2^53 − 1 (RFC 7493, section 2.2).
const GREATEST_WHOLE: u64 = (1 << 53) - 1;

/// Reads a JSON text. A byte order mark and white space around it do no harm.
pub fn read(text: &str) -> Result<Value, Refused> {
    if text.len() > MOST_BYTES {
        return Err(Refused::TooLarge { bytes: text.len() });
    }
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.is_empty() {
        return Err(Refused::NotJson { why: "there is nothing in it".into() });
    }
    let mut reader = serde_json::Deserializer::from_str(text);
    let value = Strict.deserialize(&mut reader).and_then(|value| reader.end().map(|()| value));
    value.map_err(|error| Refused::NotJson { why: plain(&error) })
}

/// The canonical form of a value that [`read`] gave, or that is made of texts, lists and objects.
pub fn text(value: &Value) -> String {
    serde_json_canonicalizer::to_string(value).expect("a JSON value always has a canonical form")
}

fn plain(error: &serde_json::Error) -> String {
    if error.is_eof() {
        return "it breaks off in the middle".into();
    }
    if error.is_data() {
        // Our own sentences below; the reader adds the place.
        return error.to_string();
    }
    if error.to_string().starts_with("recursion limit") {
        return "it is nested too deep".into();
    }
    format!("at line {}, character {}, it is not JSON", error.line(), error.column())
}

/// Reads a value and refuses what two readers could take for two things.
struct Strict;

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Value, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Bool(flag))
    }

    fn visit_u64<E: Error>(self, whole: u64) -> Result<Value, E> {
        if whole > GREATEST_WHOLE { Err(E::custom(too_exact(whole))) } else { Ok(whole.into()) }
    }

    fn visit_i64<E: Error>(self, whole: i64) -> Result<Value, E> {
        if whole.unsigned_abs() > GREATEST_WHOLE {
            Err(E::custom(too_exact(whole)))
        } else {
            Ok(whole.into())
        }
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Value, E> {
        Number::from_f64(number).map(Value::Number).ok_or_else(|| E::custom("it holds a number without end"))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::String(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(Strict)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(name) = members.next_key::<String>()? {
            let value = members.next_value_seed(Strict)?;
            if map.contains_key(&name) {
                return Err(A::Error::custom(format!("“{name}” stands in it twice")));
            }
            map.insert(name, value);
        }
        Ok(Value::Object(map))
    }
}

fn too_exact(whole: impl fmt::Display) -> String {
    format!("the number {whole} is too long to be read the same everywhere")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{folder, rows};
    use crate::digest::hex;
    use sha2::{Digest, Sha256};

    #[test]
    fn the_canonical_form_is_that_of_the_reference() {
        let mut looked_at = 0;
        for row in rows("jcs.csv") {
            let given = std::fs::read_to_string(folder().join(&row["input_file"])).unwrap();
            let expected = std::fs::read_to_string(folder().join(&row["expected_file"])).unwrap();
            let canonical = text(&read(&given).unwrap());
            assert_eq!(canonical, expected.trim_end_matches('\n'), "{}", row["id"]);
            let hash = hex(Sha256::digest(canonical.as_bytes()));
            assert_eq!(hash, row["expected_sha256"], "{}", row["id"]);
            looked_at += 1;
        }
        assert_eq!(looked_at, 11);
    }

    #[test]
    fn numbers_are_written_as_in_the_reference() {
        let mut looked_at = 0;
        for row in rows("jcs_numbers.csv") {
            let bits = u64::from_str_radix(&row["ieee754_hex"], 16).unwrap();
            let number = Number::from_f64(f64::from_bits(bits));
            match row["expected"].as_str() {
                "ERROR" => assert!(number.is_none(), "{}", row["id"]),
                expected => {
                    assert_eq!(text(&Value::Number(number.unwrap())), expected, "{}", row["id"]);
                    // Read from its own form, it is the same number.
                    if let Ok(again) = read(expected) {
                        assert_eq!(text(&again), expected, "{}", row["id"]);
                    }
                }
            }
            looked_at += 1;
        }
        assert_eq!(looked_at, 27);
    }

    #[test]
    fn what_could_be_read_in_two_ways_is_refused() {
        let why = |text: &str| read(text).unwrap_err().to_string();
        assert!(why(r#"{"name":"Elena","name":"Eve"}"#).contains("“name” stands in it twice"));
        assert!(why(r#"{"a":[{"b":1,"\u0062":2}]}"#).contains("“b” stands in it twice"));
        assert!(why("9007199254740993").contains("too long to be read the same"));
        assert!(why("-9007199254740992").contains("too long to be read the same"));
        assert!(why("1e400").contains("not JSON"));
        assert!(why("{\"name\":\"Elena").contains("breaks off"));
        assert!(why(r#"{} {}"#).contains("not JSON"));
        assert!(why(r#""\ud800""#).contains("not the record"));
        assert!(why(" \n").contains("nothing in it"));
        assert!(why(&"[".repeat(60_000)).contains("nested too deep"));
        assert_eq!(read(&" ".repeat(70_000)), Err(Refused::TooLarge { bytes: 70_000 }));
        assert!(why("JRHY-4P87").contains("not JSON"));
        assert_eq!(read("\u{feff}\n{}\n"), Ok(serde_json::json!({})));
    }
}

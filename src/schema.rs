//! JSON Schemas made from types: of what is serialized, with what doc comments say, and strict.

use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Value, json};

/// Describes what is serialized, so that a key is told to be there always unless it is left out somewhere.
pub fn generator() -> SchemaGenerator {
    SchemaSettings::draft2020_12().for_serialize().into_generator()
}

/// The whole schema of one type.
pub fn of<T: JsonSchema>() -> Value {
    strict(generator().into_root_schema_for::<T>().to_value())
}

/// No object takes another key than those that it is described with.
pub fn strict(mut schema: Value) -> Value {
    match &mut schema {
        Value::Object(fields) => {
            if fields.get("type").is_some_and(|kind| kind == "object") {
                fields.entry("properties").or_insert_with(|| json!({}));
                fields.entry("additionalProperties").or_insert(Value::Bool(false));
            }
            // How wide a number is in memory is nobody's matter.
            let is_width =
                |format: &str| ["int", "uint", "float", "double"].iter().any(|it| format.starts_with(it));
            if fields.get("format").and_then(Value::as_str).is_some_and(is_width) {
                fields.shift_remove("format");
                fields.shift_remove("maximum");
                fields.retain(|key, least| key != "minimum" || least.as_i64().is_none_or(|least| least >= 0));
            }
            fields.values_mut().for_each(|inner| *inner = strict(inner.take()));
        }
        Value::Array(several) => several.iter_mut().for_each(|inner| *inner = strict(inner.take())),
        _ => {}
    }
    schema
}

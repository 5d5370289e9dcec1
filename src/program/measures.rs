//! Measures in the files of a program: weights, and what is said of a unit that nobody knows.

use super::Written;
use super::form::Form;
use crate::finding::rules;
use crate::quantity::{self, Amount};

/// A message that something is no measure of its kind, with the unit that packstring does not know where that is why.
pub(super) fn unfit(message: impl Into<String>, text: &str) -> String {
    let message = message.into();
    let figure = quantity::read_one_anywhere(text).ok();
    match figure.as_ref().and_then(|figure| figure.quantity.unit.thing()) {
        Some(word) => format!("{message} packstring does not know the unit “{word}”."),
        None => message,
    }
}

/// A weight as written, where it is one; told where it is none.
pub(super) fn weight(table: &mut Form, key: &'static str) -> Option<Written> {
    let written = table.text(key)?;
    let gram = quantity::unit("g");
    let is_weight = |figure: &quantity::Figure| match &figure.quantity.amount {
        Amount::One(value) | Amount::Range(value, _) => {
            gram.as_ref().is_some_and(|gram| figure.quantity.unit.convert(value, gram).is_some())
        }
    };
    if quantity::read_one_anywhere(&written.text).as_ref().is_ok_and(is_weight) {
        return Some(written);
    }
    let message = unfit(format!("“{}” is not a weight.", written.text), &written.text);
    let mend = "Write a number with its unit, such as \"0.2 oz\".";
    table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
    None
}

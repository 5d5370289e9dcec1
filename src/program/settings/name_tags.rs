//! `[name-tags]`: how large a name tag is.

use crate::finding::rules;
use crate::program::form::Form;
use crate::program::measures::unfit;
use crate::quantity::{self, Amount, Exact};

#[derive(Clone, Debug)]
pub struct NameTags {
    pub width: Millimeters,
    pub height: Millimeters,
}

/// Exact.
pub type Millimeters = Exact;

/// Smaller than the first a name cannot be read on; larger than the second no sheet holds (width, height).
const LEAST: (i64, i64) = (40, 25);
const MOST: (i64, i64) = (180, 240);

/// 3½ by 2¼ inches: two by four on letter paper and on A4.
impl Default for NameTags {
    fn default() -> Self {
        let inches = |n: i64| Exact::new((n * 254).into(), 40.into());
        Self { width: inches(14), height: inches(9) }
    }
}

impl NameTags {
    pub(super) fn read(mut table: Form) -> Self {
        let usual = Self::default();
        let tags = Self {
            width: length(&mut table, "width", (LEAST.0, MOST.0)).unwrap_or(usual.width),
            height: length(&mut table, "height", (LEAST.1, MOST.1)).unwrap_or(usual.height),
        };
        table.finish();
        tags
    }
}

fn length(table: &mut Form, key: &'static str, (least, most): (i64, i64)) -> Option<Millimeters> {
    let written = table.text(key)?;
    let length = millimeters(&written.text);
    if length.as_ref().is_none_or(|length| *length < whole(least) || *length > whole(most)) {
        let message = match length {
            Some(_) => format!("A name tag of this {key} cannot be read, or does not fit on a sheet."),
            None => unfit(format!("“{}” is not a length.", written.text), &written.text),
        };
        let mend = format!("Write a length from {least} to {most} mm, such as \"90 mm\" or \"3.5 in\".");
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
        return None;
    }
    length
}

fn millimeters(text: &str) -> Option<Millimeters> {
    let figure = quantity::read_one(text).ok()?;
    match &figure.quantity.amount {
        Amount::One(value) => figure.quantity.unit.convert(value, &quantity::unit("mm")?),
        Amount::Range(..) => None,
    }
}

fn whole(value: i64) -> Exact {
    Exact::from_integer(value.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_in_either_measure() {
        assert_eq!(millimeters("3.5 in"), Some(NameTags::default().width));
        assert_eq!(millimeters("90 mm"), Some(whole(90)));
        assert_eq!(millimeters("wide"), None);
    }
}

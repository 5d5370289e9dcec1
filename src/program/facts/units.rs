//! `[units]` in `facts.toml`: units of the program's own, each with what it is worth.

use crate::finding::rules;
use crate::program::Written;
use crate::program::form::Value;
use crate::quantity::{OwnUnits, read_one};

/// Reads `[units]`: tables by the unit's name.
pub(super) fn read(units: Value) -> OwnUnits {
    let mut own = OwnUnits::default();
    let should_be = "units by their names, each with a heading such as [units.bale]";
    let Some(mut units) = units.form("list of units", should_be) else { return own };
    for (name, table) in units.take_all() {
        let should_be = "a table that says what one is worth, such as worth = \"60 lb\"";
        let Some(mut table) = table.form("unit", should_be) else { continue };
        table.place = name.place.clone();
        let plural =
            table.text("plural").map_or_else(|| format!("{}s", readable(&name)), |plural| plural.text);
        let symbol = table.text("symbol").map(|symbol| symbol.text);
        let worth = table.need_text("worth", "worth = \"60 lb\"");
        let added = read_one(&worth.text)
            .and_then(|worth| own.add(&readable(&name), &plural, symbol.as_deref(), &worth));
        if let Err(why) = added.as_ref()
            && !worth.text.is_empty()
        {
            let message = format!("“{}” cannot be a unit: {why}", name.text);
            let mend = "Give it a name of its own, and one exact figure as its worth.";
            table.tell(&rules::VALUE_UNFIT, name.place.clone(), message, mend);
        }
        table.finish();
    }
    own
}

/// `hay-bale` is written `hay bale` in prose.
fn readable(name: &Written) -> String {
    name.text.replace('-', " ")
}

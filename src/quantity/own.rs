//! Units of a program's own: a bale of so many pounds, a lap of so many yards.
//!
//! They are handed to whoever reads a text, by a [`Language`](super::Language), and are known there as those of the table
//! are: two programs in one process may call different things by one word.

use super::unit::{Atom, Known, TABLE, Unit};
use super::{Amount, Exact, Figure};
use num_traits::Signed;
use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

/// The units that a program defines, by every form in which they stand in prose.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnUnits {
    forms: HashMap<String, Arc<Known>>,
    /// The first word of every form in small letters.
    begins: Vec<String>,
}

/// Of texts that belong to no program.
pub(super) static NONE: LazyLock<Arc<OwnUnits>> = LazyLock::new(Arc::default);

impl OwnUnits {
    pub fn is_empty(&self) -> bool {
        self.forms.is_empty()
    }

    /// Adds a unit by its names and what one of it is worth.
    ///
    /// # Errors
    /// A sentence that says why it cannot be one.
    pub fn add(
        &mut self,
        name: &str,
        plural: &str,
        symbol: Option<&str>,
        worth: &Figure,
    ) -> Result<(), String> {
        for form in [name, plural].into_iter().chain(symbol) {
            if let Some(known) = TABLE.find(form) {
                return Err(format!(
                    "packstring knows “{form}” already, as the unit {}.",
                    Unit::of(known).name()
                ));
            }
            if self.forms.contains_key(&form.to_lowercase()) && !(form == plural && plural == name) {
                return Err(format!("“{form}” is the name of two units."));
            }
        }
        let Amount::One(value) = &worth.quantity.amount else {
            return Err("A unit is worth one quantity, and this is a range.".into());
        };
        let unit = &worth.quantity.unit;
        if !value.is_positive()
            || worth.hedge.is_some()
            || worth.limit.is_some()
            || unit.temperature().is_some()
        {
            return Err("A unit is worth an exact quantity above zero, of no scale of temperature.".into());
        }
        let known = Arc::new(Known {
            name: name.into(),
            plural: plural.into(),
            symbol: symbol.unwrap_or(name).into(),
            by_symbol: false,
            dimension: written(unit),
            factor: value * unit.factor(),
            offset: None::<Exact>,
        });
        self.put([name, plural].into_iter().chain(symbol), &known);
        Ok(())
    }

    /// The own units that a unit is made of: what is said in it reads back with these.
    pub(super) fn within(unit: &Unit) -> Arc<Self> {
        let mut own = None;
        for known in unit.own() {
            let own = own.get_or_insert_with(Self::default);
            own.put([&*known.name, &*known.plural, &*known.symbol].into_iter(), known);
        }
        own.map_or_else(|| Arc::clone(&NONE), Arc::new)
    }

    fn put<'f>(&mut self, forms: impl Iterator<Item = &'f str>, known: &Arc<Known>) {
        for form in forms {
            let form = form.to_lowercase();
            self.begins.push(form.split([' ', '-']).next().unwrap_or_default().to_owned());
            self.forms.insert(form, Arc::clone(known));
        }
    }

    pub(super) fn may_begin(&self, part: &str) -> bool {
        self.begins.iter().any(|known| known.eq_ignore_ascii_case(part) || *known == part.to_lowercase())
    }

    pub(super) fn find(&self, form: &str) -> Option<Atom> {
        self.forms.get(&form.to_lowercase()).map(|known| Atom::Own(Arc::clone(known)))
    }
}

/// A unit's dimension as the table writes it: `mass`, `length^3*time^-1`, `number`.
fn written(unit: &Unit) -> String {
    let bases = unit.dimension();
    if bases.is_empty() {
        return "number".into();
    }
    let base =
        |(name, power): (&String, &i32)| if *power == 1 { name.clone() } else { format!("{name}^{power}") };
    bases.iter().map(base).collect::<Vec<_>>().join("*")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Agreement, Held, Language, agree, plain, read, read_one};

    fn own() -> Language {
        let mut own = OwnUnits::default();
        own.add("bale", "bales", None, &read_one("60 lb").unwrap()).unwrap();
        own.add("pump turn", "pump turns", Some("pt."), &read_one("2 gallons a minute").unwrap()).unwrap();
        Language::default().with_units(&own)
    }

    #[test]
    fn they_are_read_and_converted_where_they_hold() {
        let own = own();
        let read_one = |text: &str| own.read_one(text).unwrap();
        let held = Held::stated(&read_one("2 bales"), None);
        assert_eq!(agree(&read_one("120 pounds"), &held), Agreement::Agrees);
        assert_eq!(agree(&read_one("2 bales"), &held), Agreement::Agrees);
        assert_ne!(agree(&read_one("130 pounds"), &held), Agreement::Agrees);
        let off = agree(&read_one("3 bales"), &held);
        assert_eq!(off, Agreement::Off { expected: "2 bales".into() });
        let turns = read_one("three pump turns");
        let gallons = crate::quantity::unit("gallons per minute").unwrap();
        let Amount::One(value) = &turns.quantity.amount else { panic!() };
        assert_eq!(turns.quantity.unit.convert(value, &gallons).map(|value| plain(&value)).unwrap(), "6");
        // each reads with its own, also while the other is at work
        let mut other = OwnUnits::default();
        other.add("bale", "bales", None, &crate::quantity::read_one("50 lb").unwrap()).unwrap();
        let other = Language::default().with_units(&other);
        let fifty = Held::stated(&crate::quantity::read_one("50 lb").unwrap(), None);
        assert_eq!(agree(&other.read_one("1 bale").unwrap(), &fifty), Agreement::Agrees);
        assert_ne!(agree(&read_one("1 bale"), &fifty), Agreement::Agrees);
        // elsewhere a bale is a thing that is counted
        assert_eq!(read("2 bales")[0].quantity.unit.counted(), Some("bale"));
    }

    #[test]
    fn what_cannot_be_a_unit_is_told() {
        let mut own = OwnUnits::default();
        let sixty = read_one("60 lb").unwrap();
        assert!(own.add("foot", "feet", None, &sixty).unwrap_err().contains("knows “foot” already"));
        assert!(own.add("bale", "bales", None, &read_one("5 to 6 lb").unwrap()).is_err());
        assert!(own.add("bale", "bales", None, &read_one("about 60 lb").unwrap()).is_err());
        own.add("bale", "bales", None, &sixty).unwrap();
        assert!(own.add("bale", "bales", None, &sixty).is_err());
    }
}

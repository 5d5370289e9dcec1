//! `[[rewards]]`: what people are given, at the end of a workshop or with an award.

use super::optional;
use crate::finding::Place;
use crate::program::form::Form;
use crate::program::measures::weight;
use crate::program::share::Share;

/// A thing that people are given.
#[derive(Clone, Debug)]
pub struct Reward {
    pub name: String,
    pub given: GivenFor,
    /// Whether it comes in the sizes that the roster asks for.
    pub sized: bool,
    /// How many more than are given are ordered, of each size.
    pub spares: Option<Share>,
    /// Of one, as written: `3 oz`.
    pub weight: Option<String>,
    pub place: Place,
}

/// What a reward is given for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GivenFor {
    /// To everybody who is credited, once a season.
    Completion,
    /// With the award that names it as its `reward`.
    Award,
}

impl Reward {
    pub(super) fn read(mut table: Form) -> Self {
        let name = table.need_text("name", "neckerchief");
        let given = [("completion", GivenFor::Completion), ("award", GivenFor::Award)];
        let reward = Self {
            name: name.text,
            given: table.choice("given", &given).unwrap_or(GivenFor::Completion),
            sized: table.flag("sized"),
            spares: table.share("spares"),
            weight: optional(weight(&mut table, "weight")),
            place: name.place,
        };
        table.finish();
        reward
    }
}

//! How packstring's own files beside the pieces are called: those of a run that makes all, and those of a part.

use crate::job::{Part, Shelf};
use std::path::{Path, PathBuf};

/// Files in the making; swept when a run starts and when it ends.
pub(super) const MAKING: &str = ".making";

pub(super) const PUBLIC_RECORD: &str = "made.json";

/// What stands in print, beside the record of what was made.
pub const PRINTED: &str = "printed.json";

/// The page that says what lies on the shelves. Nothing in it is personal.
pub const START_HERE: &str = "start-here.html";

pub(super) struct Names {
    /// The folder of files in the making, and of the lock.
    pub making: String,
    /// The record of what is not personal; none for a part, which makes only the private shelf.
    pub public: Option<&'static str>,
    pub private: PathBuf,
}

impl Names {
    pub fn whole() -> Self {
        let private = Path::new(Shelf::Private.name()).join("made.json");
        Self { making: MAKING.to_owned(), public: Some(PUBLIC_RECORD), private }
    }

    pub fn of_part(part: Part) -> Self {
        let name = part.in_names();
        let private = Path::new(Shelf::Private.name()).join(format!("made-{name}.json"));
        Self { making: format!("{MAKING}-{name}"), public: None, private }
    }

    /// The part whose record has this name.
    pub fn part_of_record(name: &str) -> Option<Part> {
        let (number, of) = name.strip_prefix("made-")?.strip_suffix(".json")?.split_once("-of-")?;
        Part::new(number.parse().ok()?, of.parse().ok()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parts_record_is_known_by_its_name() {
        let part: Part = "3/16".parse().unwrap();
        let name = Names::of_part(part).private;
        assert_eq!(Names::part_of_record(name.file_name().unwrap().to_str().unwrap()), Some(part));
        assert_eq!(["made.json", "made-17-of-16.json", "made-1-of-2"].map(Names::part_of_record), [None; 3]);
    }
}

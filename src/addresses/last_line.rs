//! Town, state and ZIP Code where they stand in one cell with the street, or in the town's.
//!
//! Forms on the web often give an address as one text: `12 Mill Road, Hollow Ford, OR 97000`. Read
//! from its end, as a sorter does: ZIP Code, state, town, and what is left is the street. Cells that
//! hold something already are never read over.

use super::tables::{Country, State};
use super::tidy;
use crate::addresses::Address;

/// The address with its parts in their own cells, and white space single. Line breaks of the street
/// stay.
pub(super) fn apart(address: &Address, home: &Country) -> Address {
    let lines = address.street.lines().map(tidy).filter(|line| !line.is_empty());
    let mut apart = Address {
        street: lines.collect::<Vec<_>>().join("\n"),
        town: tidy(&address.town).trim_matches([',', ' ']).to_owned(),
        state: tidy(&address.state).trim_matches([',', ' ']).to_owned(),
        postcode: tidy(&address.postcode),
        country: tidy(&address.country),
    };
    let (has_state, has_postcode) = (!apart.state.is_empty(), !apart.postcode.is_empty());
    if has_state || has_postcode || !is_home(&apart.country, home) {
        return apart;
    }
    let from_street = apart.town.is_empty();
    let mut parts = Parts::of(if from_street { &apart.street } else { &apart.town });
    if apart.country.is_empty() {
        apart.country = parts.country().unwrap_or_default();
    }
    let (postcode, state) = (parts.postcode(), parts.state());
    if postcode.is_none() && state.is_none() {
        return apart;
    }
    apart.postcode = postcode.unwrap_or_default();
    apart.state = state.unwrap_or_default();
    apart.town = parts.town();
    if from_street {
        apart.street = parts.rest();
    }
    apart
}

/// Only addresses of the United States are read so: elsewhere the order differs too much.
fn is_home(country: &str, home: &Country) -> bool {
    match country {
        "" => home.code == "US",
        named => Country::find(named).is_some_and(|country| country.code == "US"),
    }
}

/// The parts of a text between its commas and line breaks, taken from the end.
struct Parts(Vec<Part>);

struct Part {
    words: Vec<String>,
    /// Whether a line begins with it.
    begins_line: bool,
}

impl Parts {
    fn of(text: &str) -> Self {
        let mut parts = Vec::new();
        for line in text.lines() {
            for (at, part) in line.split(',').enumerate() {
                let words: Vec<String> = part.split_whitespace().map(str::to_owned).collect();
                if !words.is_empty() {
                    parts.push(Part { words, begins_line: at == 0 });
                }
            }
        }
        Self(parts)
    }

    fn country(&mut self) -> Option<String> {
        let last = self.0.last()?.words.join(" ");
        // Two letters are a state's, such as CA.
        let named = last.chars().count() > 2 && State::find(&last).is_none();
        Country::find(&last).filter(|_| named)?;
        self.0.pop();
        Some(last)
    }

    fn postcode(&mut self) -> Option<String> {
        let last = self.0.last_mut()?;
        let word = last.words.last()?;
        let is_zip = word.len() >= 3
            && word.starts_with(|first: char| first.is_ascii_digit())
            && word.chars().all(|letter| letter.is_ascii_digit() || matches!(letter, '-' | '–'));
        // The number of a house or a box alone is none.
        let alone = last.words.len() == 1;
        let stands_after_a_state = alone || State::find(&last.words[last.words.len() - 2]).is_some();
        let looks_like_one = stands_after_a_state || word.len() >= 5;
        if !is_zip || !looks_like_one {
            return None;
        }
        let word = last.words.pop();
        self.drop_empty();
        word
    }

    /// The longest name of a state at the end, or what stands in its place: two capitals.
    fn state(&mut self) -> Option<String> {
        let words = &mut self.0.last_mut()?.words;
        let known = (words.len().saturating_sub(4)..words.len())
            .find(|at| State::find(&words[*at..].join(" ")).is_some());
        let capitals =
            |word: &String| word.len() == 2 && word.chars().all(|letter| letter.is_ascii_uppercase());
        let at = known.or_else(|| words.last().filter(|word| capitals(word)).map(|_| words.len() - 1))?;
        let state = words.split_off(at).join(" ");
        self.drop_empty();
        Some(state)
    }

    /// What is left of the last part. A part that begins with a number is a street, not a town.
    fn town(&mut self) -> String {
        let is_town = self
            .0
            .last()
            .is_some_and(|part| !part.words[0].starts_with(|first: char| first.is_ascii_digit()));
        match self.0.pop_if(|_| is_town) {
            Some(part) => part.words.join(" "),
            None => String::new(),
        }
    }

    /// The street, with the line breaks that it had.
    fn rest(&self) -> String {
        let mut rest = String::new();
        for (at, part) in self.0.iter().enumerate() {
            let between = match (at, part.begins_line) {
                (0, _) => "",
                (_, true) => "\n",
                (_, false) => ", ",
            };
            rest += between;
            rest += &part.words.join(" ");
        }
        rest
    }

    fn drop_empty(&mut self) {
        self.0.pop_if(|part| part.words.is_empty());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(street: &str) -> [String; 4] {
        let written = Address { street: street.into(), ..Address::default() };
        let apart = apart(&written, Country::united_states());
        [apart.street, apart.town, apart.state, apart.postcode]
    }

    #[test]
    fn one_text_is_taken_apart_from_its_end() {
        assert_eq!(
            parts("12 Mill Road, Hollow Ford, OR 97000"),
            ["12 Mill Road", "Hollow Ford", "OR", "97000"]
        );
        assert_eq!(
            parts("Basin Tack Co., Inc.\n12 Mill Road\nHollow Ford ,West Virginia 24000-1234"),
            ["Basin Tack Co., Inc.\n12 Mill Road", "Hollow Ford", "West Virginia", "24000-1234"]
        );
        assert_eq!(parts("12 Mill Road\nHollow Ford OR 97000\nUSA")[1], "Hollow Ford");
    }

    #[test]
    fn a_street_alone_stays_a_street() {
        assert_eq!(parts("12 Mill Road"), ["12 Mill Road", "", "", ""]);
        assert_eq!(parts("PO Box 123"), ["PO Box 123", "", "", ""]);
        assert_eq!(parts("9901 State Highway 30"), ["9901 State Highway 30", "", "", ""]);
    }

    #[test]
    fn what_stands_in_a_cell_of_its_own_is_not_read_over() {
        let written =
            Address { street: "1 Way, Far Camp, NM 87000".into(), state: "OR".into(), ..Address::default() };
        assert_eq!(apart(&written, Country::united_states()).street, "1 Way, Far Camp, NM 87000");
    }
}

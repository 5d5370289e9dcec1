//! The delivery line of an address of the United States, and what stands above it.
//!
//! Sections of USPS Publication 28 that are followed: 213 and appendix C2 (units), 233 (directions),
//! 234 and appendix C1 (suffixes), 237 (highways are spelled out), 241–244 (rural routes), 251–254
//! (highway contract routes), 261 (general delivery), 281–283 (boxes), 291 (Puerto Rico). What a table
//! does not know stays as it is written. How each line is set is said in [`super::street_line`] and
//! [`super::boxes`]; here the parts of an address are told apart.

use super::boxes::{box_line, is_general, route, route_line};
use super::street_line::{part_units, street_line, units_of};
use super::tables::State;
use super::tidy;
use super::wording::{Word, given, has_digit, words};

/// The street of an address, parted into what its lines are for.
#[derive(Debug, Default)]
pub(super) struct Delivery {
    /// Above the name.
    pub attention: Vec<String>,
    /// Below the name: company, `c/o`, the second of two addresses.
    pub above: Vec<String>,
    pub line: String,
    /// Apartment, suite and the like.
    pub unit: Option<String>,
    pub is_general: bool,
    pub has_number: bool,
}

/// What stands between two commas or line breaks.
struct Part<'t> {
    text: &'t str,
    words: Vec<Word>,
    row: usize,
}

impl Delivery {
    /// Reads the street of an address; nothing where no line is one to deliver to.
    pub fn read(street: &str, state: &State) -> Option<Self> {
        let mut delivery = Self::default();
        let mut parts: Vec<Part> = Vec::new();
        for (row, line) in street.lines().enumerate() {
            if let Some(words) = after_attention(line) {
                delivery.attention.push(format!("Attn: {words}"));
            } else if let Some(words) = after_care_of(line) {
                delivery.above.push(format!("c/o {words}"));
            } else if state.is_military() {
                // Every part of a military line counts: "PSC 802, Box 74".
                parts.push(Part { text: line, words: words(line), row });
            } else {
                let of_line = line.split(',').map(|text| Part { text: text.trim(), words: words(text), row });
                of_line.for_each(|part| add(&mut parts, part));
            }
        }
        let at = place_of_delivery(&parts, state)?;
        let mut units: Vec<String> = Vec::new();
        let mut row_above = None;
        for part in &parts[..at] {
            match units_of(&part.words) {
                Some(unit) => units.push(unit),
                // Commas inside a company's name stay.
                None if row_above == Some(part.row) => {
                    let line = delivery.above.last_mut().expect("the row has begun");
                    *line += &format!(", {}", part.text);
                }
                None => {
                    delivery.above.push(part.text.to_owned());
                    row_above = Some(part.row);
                }
            }
        }
        let line = parts[at].words.clone();
        delivery.has_number = has_digit(&line);
        delivery.set_line(&line, state, &mut units);
        for part in &parts[at + 1..] {
            match after_care_of(part.text) {
                Some(words) => delivery.above.push(format!("c/o {words}")),
                None => units.push(units_of(&part.words).unwrap_or_else(|| given(&part.words))),
            }
        }
        delivery.unit = Some(units.join(" ")).filter(|unit| !unit.is_empty());
        delivery.set_urbanization();
        Some(delivery)
    }

    fn set_line(&mut self, line: &[Word], state: &State, units: &mut Vec<String>) {
        if is_general(line) {
            (self.line, self.is_general, self.has_number) = ("General Delivery".into(), true, true);
        } else if state.is_military() {
            self.line = given(line);
        } else if let Some(line) = box_line(line).or_else(|| route_line(line)) {
            self.line = line;
        } else {
            let (street, own) = part_units(line);
            if let Some(own) = own {
                units.insert(0, own);
            }
            self.line = street_line(street);
        }
    }

    /// Section 291: the urbanization's line stands right above the delivery line.
    fn set_urbanization(&mut self) {
        let found = self.above.iter().position(|line| is_urbanization(line));
        if let Some(at) = found {
            let line = self.above.remove(at);
            let name = line.split_once(' ').map_or("", |(_, name)| name);
            self.above.push(format!("Urb {name}"));
        }
    }
}

/// Adds a part. A route and its box are one, also with a comma or a line break between them.
fn add<'t>(parts: &mut Vec<Part<'t>>, part: Part<'t>) {
    if part.words.is_empty() {
        return;
    }
    if part.words.first().is_some_and(|word| word.key == "BOX")
        && let Some(last) = parts.last_mut()
    {
        let together = [&last.words[..], &part.words].concat();
        if route(&together).is_some() {
            last.words = together;
            return;
        }
    }
    parts.push(part);
}

fn is_urbanization(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or("").trim_end_matches('.');
    ["urb", "urbanizacion", "urbanización"].contains(&first.to_lowercase().as_str())
}

fn after_attention(line: &str) -> Option<String> {
    let (first, rest) = line.split_once([' ', ':'])?;
    let first = first.trim_end_matches(['.', ':']).to_lowercase();
    let is = matches!(first.as_str(), "attn" | "att" | "attention");
    is.then(|| rest.trim_start_matches([':', ' ']).to_owned())
}

fn after_care_of(line: &str) -> Option<String> {
    let lower = line.to_lowercase();
    let start =
        ["c/o ", "c/o: ", "care of ", "in care of "].into_iter().find(|start| lower.starts_with(start))?;
    line.get(start.len()..).map(tidy)
}

/// Which part is the one to deliver to: the last that reads like a street, a box or a route, as the
/// line right above the last one counts (section 281). Else the last that has a number, else the
/// last.
fn place_of_delivery(parts: &[Part], state: &State) -> Option<usize> {
    if state.is_military() {
        return parts.len().checked_sub(1);
    }
    let last = |fits: &dyn Fn(&Part) -> bool| parts.iter().rposition(fits);
    let is_more = |part: &Part| units_of(&part.words).is_some() || part.words[0].key == "BOX";
    last(&|part| units_of(&part.words).is_none() && is_delivery(&part.words))
        .or_else(|| last(&|part| part.words[0].key == "BOX"))
        .or_else(|| last(&|part| !is_more(part) && has_digit(&part.words)))
        .or_else(|| last(&|part| !is_more(part)))
}

fn is_delivery(words: &[Word]) -> bool {
    let starts_with_number = words[0].key.starts_with(|first: char| first.is_ascii_digit())
        // Wisconsin's grid: N6W23001 Mill Road.
        || (words[0].has_digit() && words[0].key.starts_with(['N', 'S', 'E', 'W']));
    let street = starts_with_number && words.len() > 1 && words[1..].iter().any(|word| !word.has_digit());
    street
        || is_general(words)
        || (words[0].key != "BOX" && box_line(words).is_some())
        || route(words).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line_in(street: &str, state: &str) -> String {
        let read = Delivery::read(street, State::find(state).unwrap()).unwrap();
        let mut lines = read.attention;
        lines.extend(read.above);
        let unit = read.unit.map(|unit| format!(" {unit}")).unwrap_or_default();
        lines.push(read.line + &unit);
        lines.join("|")
    }

    fn line(street: &str) -> String {
        line_in(street, "UT")
    }

    #[test]
    fn units_stand_at_the_end() {
        assert_eq!(line("Apartment 4B, 2210 West Juniper Avenue"), "2210 W Juniper Ave Apt 4B");
        assert_eq!(line("2210 W. Juniper Ave. #4"), "2210 W Juniper Ave # 4");
        assert_eq!(line("77 Ridge Road\nSuite # 200"), "77 Ridge Rd Ste 200");
        assert_eq!(line("77 Ridge Road 3rd Floor Room 12"), "77 Ridge Rd Fl 3 Rm 12");
        assert_eq!(line("77 Ridge Road, Rear"), "77 Ridge Rd Rear");
        assert_eq!(line("51 Granary Road, Barn 2"), "51 Granary Rd Barn 2");
    }

    #[test]
    fn a_street_may_be_named_like_a_unit_or_a_direction() {
        assert_eq!(line("15 Lower Road"), "15 Lower Rd");
        assert_eq!(line("39 Pier Street Slip 4"), "39 Pier St Slip 4");
        assert_eq!(line("100 North Street"), "100 North St");
        assert_eq!(line("100 North East Street"), "100 N East St");
        assert_eq!(line("12 Bay West Drive"), "12 Bay West Dr");
        assert_eq!(line("12 S. Fork Rd. N.E."), "12 S Fork Rd NE");
        assert_eq!(line("9 The Terrace"), "9 The Ter");
        assert_eq!(line("12 Avenue E"), "12 Avenue E");
    }

    #[test]
    fn capitals_stay_capitals() {
        assert_eq!(line("2210 WEST JUNIPER AVENUE, APARTMENT 4"), "2210 W JUNIPER AVE APT 4");
    }

    #[test]
    fn highways_are_spelled_out() {
        assert_eq!(line("9901 State Hwy 30"), "9901 State Highway 30");
        assert_eq!(line("12 Co. Rd. 7B, Lot 3"), "12 County Road 7B Lot 3");
        assert_eq!(line("12 CR 7"), "12 County Road 7");
        assert_eq!(line("12 US Highway 6 East"), "12 US Highway 6 E");
    }

    #[test]
    fn boxes_and_routes() {
        assert_eq!(line("P. O. Drawer 91"), "PO Box 91");
        assert_eq!(line("Box 91"), "PO Box 91");
        assert_eq!(line("Route 3, Box 9"), "RR 3 Box 9");
        assert_eq!(line("RR #02 Box #15"), "RR 2 Box 15");
        assert_eq!(line("HCR 68 Box 23A"), "HC 68 Box 23A");
        assert_eq!(line("Gen. Delivery"), "General Delivery");
        // Of two, the lower one counts.
        assert_eq!(line("12 Mill Road\nPO Box 9"), "12 Mill Road|PO Box 9");
    }

    #[test]
    fn what_belongs_to_the_recipient_stands_above() {
        assert_eq!(line("Basin Tack Co., Inc.\n77 Ridge Blvd"), "Basin Tack Co., Inc.|77 Ridge Blvd");
        assert_eq!(line("Basin Tack Co., 77 Ridge Blvd"), "Basin Tack Co.|77 Ridge Blvd");
        assert_eq!(line("12 Mill Road, c/o Ada Wren"), "c/o Ada Wren|12 Mill Rd");
        assert_eq!(line("Attention: Tack Room\n12 Mill Road"), "Attn: Tack Room|12 Mill Rd");
    }

    #[test]
    fn puerto_rico_keeps_its_streets_and_urbanizations() {
        assert_eq!(line_in("Urb. Las Lomas, 150 Calle A", "PR"), "Urb Las Lomas|150 Calle A");
        assert_eq!(line_in("23 Calle del Parque", "PR"), "23 Calle del Parque");
    }

    #[test]
    fn every_text_is_read_without_harm() {
        for text in ["#", "# #", ",,", "c/o x", "12", "Apt", "3rd", "N", "Box", "RR", "北京", "12 #", "St"]
        {
            for state in ["UT", "PR", "AE"] {
                let Some(read) = Delivery::read(text, State::find(state).unwrap()) else { continue };
                // Whatever it is taken for, no letter and no digit of it is lost.
                let lines =
                    [read.attention, read.above, vec![read.line], read.unit.into_iter().collect()].concat();
                let said = lines.concat().to_lowercase();
                let is_lost = |c: &char| c.is_alphanumeric() && !said.contains(*c);
                let lost: String = text.to_lowercase().chars().filter(is_lost).collect();
                assert_eq!(lost, "", "{text:?} in {state} is read as {lines:?}");
            }
        }
    }
}

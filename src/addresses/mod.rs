//! Mail: what stands on the outside of a packet.
//!
//! Takes a name and the [`Address`] that the roster gives, and gives a [`Block`]: its lines from the
//! top, or the reason why it cannot be mailed and the column to mend. Knows nothing of programs
//! otherwise, and neither reads, prints nor writes.
//!
//! | file | holds |
//! | --- | --- |
//! | `tables` | countries, states, provinces, street suffixes and units, from the CSV files beside it |
//! | `united_states` | addresses after USPS Publication 28, Postal Addressing Standards |
//! | `street` | what each part of such a street is for: the line to deliver to, the lines above it |
//! | `street_line` | the line of a street: directions, suffixes, units |
//! | `boxes` | the line of a box, a route or general delivery |
//! | `wording` | the words of a line, as all of these compare them |
//! | `last_line` | town, state and ZIP Code where they stand in one cell |
//! | `abroad` | addresses in the form of the Universal Postal Union, country by country |
//! | `packets` | who is mailed, and in which order |
//!
//! **Letters.** A name is printed exactly as the roster gives it, and so are the letters of the
//! address: only directions, suffixes, units and states are put into their standard form. With
//! [`Style::capitals`] the whole block is put into the form that Publication 28 prefers for reading
//! by machine: capitals, no accents on Latin and Greek letters, no punctuation but the hyphen and the
//! slash. Certificates never follow this; they keep the name.

mod abroad;
mod address;
mod boxes;
pub mod email;
mod last_line;
mod letters;
mod street;
mod street_line;
mod tables;
mod united_states;
mod wording;

pub use tables::Country;

pub use address::Address;

/// How blocks are written.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Where the mail is posted: its own country is left out of a block.
    pub home: &'static Country,
    /// Capitals without accents and punctuation, as machines read best.
    pub capitals: bool,
}

/// The lines of an address, from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    pub lines: Vec<String>,
    /// The same with the unit on a line of its own, where there is one: for a label on which the
    /// delivery line is too long.
    pub narrow: Option<Vec<String>>,
    pub country: &'static Country,
    /// In its country's form; packets are sorted by it.
    pub postcode: String,
    /// What was guessed, or looks wrong, though the block can be mailed.
    pub doubts: Vec<Doubt>,
}

/// Why an address cannot be mailed. Messages repeat nothing of the address, so that they may go
/// where the address may not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unmailable {
    NoStreet,
    NoTown,
    NoState {
        country: &'static str,
    },
    NoPostcode {
        country: &'static str,
    },
    CountryUnknown {
        near: Option<&'static str>,
    },
    StateUnknown {
        country: &'static str,
        near: Option<&'static str>,
    },
    /// The postcode has not the form that its country uses.
    PostcodeUnfit {
        country: &'static str,
        form: String,
    },
    /// The ZIP Code belongs to another state.
    PostcodeElsewhere {
        state: &'static str,
    },
    /// APO, FPO or DPO without AA, AE or AP, or the other way round.
    HalfMilitary,
}

/// Something that was guessed, or looks wrong, in an address that can be mailed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// A spreadsheet took the zeros in front of the ZIP Code away.
    LostZero { offer: String },
    /// The delivery line has no number.
    NoNumber,
}

/// What [`block`] would say of an address, without setting its lines: a roster may have very many.
pub fn doubts(address: &Address, style: &Style) -> Result<Vec<Doubt>, Unmailable> {
    let written = last_line::apart(address, style.home);
    let country = country(&written, style)?;
    match &*country.code {
        "US" => united_states::doubts(&written),
        _ => abroad::block("", &written, country).map(|block| block.doubts),
    }
}

fn country(written: &Address, style: &Style) -> Result<&'static Country, Unmailable> {
    match written.country.trim() {
        "" => Ok(style.home),
        country => Country::find(country)
            .ok_or_else(|| Unmailable::CountryUnknown { near: Country::nearest(country) }),
    }
}

/// The block of a person's address, or why there is none.
pub fn block(name: &str, address: &Address, style: &Style) -> Result<Block, Unmailable> {
    let written = last_line::apart(address, style.home);
    let country = country(&written, style)?;
    let mut block = if country.code == "US" {
        united_states::block(name, &written, country)?
    } else {
        abroad::block(name, &written, country)?
    };
    for lines in std::iter::once(&mut block.lines).chain(&mut block.narrow) {
        if style.capitals {
            lines.iter_mut().for_each(|line| *line = machine_line(line, &block.postcode));
        }
        if country.code != style.home.code {
            lines.push(country.name.to_uppercase());
        }
    }
    Ok(block)
}

/// The two spaces before a postcode stay.
fn machine_line(line: &str, postcode: &str) -> String {
    match line.strip_suffix(postcode).and_then(|before| before.strip_suffix("  ")) {
        Some(before) => format!("{}  {postcode}", letters::machine(before)),
        None => letters::machine(line),
    }
}

impl Unmailable {
    /// The roster's column to mend.
    pub fn column(&self) -> &'static str {
        match self {
            Self::NoStreet => "street",
            Self::NoTown | Self::HalfMilitary => "town",
            Self::NoState { .. } | Self::StateUnknown { .. } => "state",
            Self::NoPostcode { .. } | Self::PostcodeUnfit { .. } | Self::PostcodeElsewhere { .. } => {
                "postcode"
            }
            Self::CountryUnknown { .. } => "country",
        }
    }

    /// Which of them it is, as the theme's words call it, with what stands in the braces of its sentences; a country is
    /// called by its English name.
    pub fn key(&self) -> (&'static str, Vec<(&'static str, &str)>) {
        match self {
            Self::NoStreet => ("no-street", vec![]),
            Self::NoTown => ("no-town", vec![]),
            Self::NoState { country } => ("no-state", vec![("country", country)]),
            Self::NoPostcode { country } => ("no-postcode", vec![("country", country)]),
            Self::CountryUnknown { near: Some(near) } => ("country-near", vec![("country", near)]),
            Self::CountryUnknown { near: None } => ("country-unknown", vec![]),
            Self::StateUnknown { country, near: Some(near) } => {
                ("state-near", vec![("country", country), ("state", near)])
            }
            Self::StateUnknown { country, near: None } => ("state-unknown", vec![("country", country)]),
            Self::PostcodeUnfit { country, form } => {
                ("postcode-unfit", vec![("country", country), ("form", form)])
            }
            Self::PostcodeElsewhere { state } => ("postcode-elsewhere", vec![("state", state)]),
            Self::HalfMilitary => ("half-military", vec![]),
        }
    }

    /// What is wrong, in a sentence that stands alone.
    pub fn message(&self) -> String {
        match self {
            Self::NoStreet => "This address has no street or box, so nothing can be mailed to it.".into(),
            Self::NoTown => "This address has no town, so nothing can be mailed to it.".into(),
            Self::NoState { country } => {
                format!("This address has no state or province, which mail to {country} needs.")
            }
            Self::NoPostcode { country } => {
                format!("This address has no postcode, which mail to {country} needs.")
            }
            Self::CountryUnknown { .. } => "packstring does not know the country of this address.".into(),
            Self::StateUnknown { country, .. } => {
                format!("The state of this address is not one of {country}.")
            }
            Self::PostcodeUnfit { country, .. } => {
                format!("The postcode of this address does not have the form that {country} uses.")
            }
            Self::PostcodeElsewhere { state } => {
                format!("The ZIP Code of this address is not one of {state}: one of the two is wrong.")
            }
            Self::HalfMilitary => {
                "This address is only half a military one: APO, FPO or DPO goes with AA, AE or AP.".into()
            }
        }
    }

    /// How to mend it.
    pub fn mend(&self) -> String {
        let near = |near: &Option<&str>, otherwise: &str| match near {
            Some(near) => format!("Did you mean “{near}”?"),
            None => otherwise.to_owned(),
        };
        match self {
            Self::NoStreet => "Write the street and number, or the box, into the column “street”.".into(),
            Self::NoTown => "Write the town into the column “town”.".into(),
            Self::NoState { .. } => "Write it into the column “state”.".into(),
            Self::NoPostcode { .. } => "Write it into the column “postcode”.".into(),
            Self::CountryUnknown { near: name } => {
                near(name, "Write its name in English, or its two letters, such as “Canada” or “CA”.")
            }
            Self::StateUnknown { near: name, .. } => near(
                name,
                "Write its two letters or its name; for an address abroad fill in the column “country”.",
            ),
            Self::PostcodeUnfit { form, .. } => format!("It looks like this: {form}."),
            Self::PostcodeElsewhere { .. } => {
                "Ask for the right one; where a spreadsheet took a zero away, put it back in front.".into()
            }
            Self::HalfMilitary => {
                "Write APO, FPO or DPO into the column “town” and AA, AE or AP into the column “state”."
                    .into()
            }
        }
    }
}

impl Doubt {
    /// The roster's column to look at.
    pub fn column(&self) -> &'static str {
        match self {
            Self::LostZero { .. } => "postcode",
            Self::NoNumber => "street",
        }
    }

    /// What looks wrong, in a sentence that stands alone.
    pub fn message(&self) -> String {
        match self {
            Self::LostZero { .. } => {
                "This ZIP Code has lost the zero in front, as spreadsheets do; it is printed with it.".into()
            }
            Self::NoNumber => "The street of this address has no house number.".into(),
        }
    }

    /// How to mend it.
    pub fn mend(&self) -> String {
        match self {
            Self::LostZero { offer } => format!("Write {offer}, in a column whose cells hold text."),
            Self::NoNumber => "Ask for it; mail without one may come back.".into(),
        }
    }
}

/// White space made single, none at the ends.
fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

//! `[mailing]`: where mail is posted, on which labels and envelopes, and what a packet weighs.

use super::optional;
use crate::addresses::{Country, Style};
use crate::finding::{Place, rules};
use crate::imposition::label_grid::LabelGrid;
use crate::imposition::{Paper, points, two_lengths};
use crate::nearest::nearest;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::measures::{unfit, weight};
use crate::quantity::{self, Exact};
use num_traits::Zero;

#[derive(Clone, Debug)]
pub struct Mailing {
    /// The agency's address, line by line, as it is to be printed.
    pub return_address: Vec<String>,
    /// Of its first line.
    pub return_place: Option<Place>,
    pub country: &'static Country,
    pub capitals: bool,
    pub labels: LabelGrid,
    pub envelope: Envelope,
    /// How far everything on a sheet of labels is moved, in millimeters, for a printer that is off.
    pub nudge_right: Exact,
    pub nudge_down: Exact,
    /// Of one certificate, as written: `5 g`.
    pub certificate_weight: Option<String>,
    /// Of the envelope with all that goes into every packet, as written.
    pub envelope_weight: Option<String>,
}

/// The size of an envelope in points, the longer side lying.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Envelope {
    pub width: Exact,
    pub height: Exact,
}

/// Envelopes by name: what trade and ISO 269 call them, and the size.
const ENVELOPES: [(&str, &str); 10] = [
    ("no 10", "9 1/2 x 4 1/8 in"),
    ("no 9", "8 7/8 x 3 7/8 in"),
    ("A7", "7 1/4 x 5 1/4 in"),
    ("A2", "5 3/4 x 4 3/8 in"),
    ("6 x 9", "9 x 6 in"),
    ("9 x 12", "12 x 9 in"),
    ("DL", "220 x 110 mm"),
    ("C6", "162 x 114 mm"),
    ("C5", "229 x 162 mm"),
    ("C4", "324 x 229 mm"),
];

/// From the smallest that a post office takes to what no longer counts as a letter or a flat, with room at both
/// ends: the shorter side in millimeters, and the longer.
const SMALLEST: u32 = 60;
const LARGEST: u32 = 500;

/// The furthest that a printer may be off, in millimeters: more is a slip of the pen.
const FURTHEST: i32 = 20;

impl Mailing {
    /// What holds where the program says nothing of the mail.
    pub fn usual(paper: Paper) -> Self {
        let envelope = if paper == Paper::A4 { "DL" } else { "no 10" };
        Self {
            return_address: Vec::new(),
            return_place: None,
            country: Country::united_states(),
            capitals: false,
            labels: LabelGrid::usual(paper).clone(),
            envelope: Envelope::find(envelope).expect("the usual envelopes are built in"),
            nudge_right: Exact::zero(),
            nudge_down: Exact::zero(),
            certificate_weight: None,
            envelope_weight: None,
        }
    }

    pub(super) fn read(mut table: Form, paper: Paper) -> Self {
        let usual = Self::usual(paper);
        let return_address = table.texts("return-address");
        let mailing = Self {
            return_place: return_address.first().map(|line| line.place.clone()),
            return_address: return_address.into_iter().map(|line| line.text).collect(),
            country: country(&mut table).unwrap_or(usual.country),
            capitals: table.flag("capitals"),
            labels: labels(&mut table, paper).unwrap_or(usual.labels),
            envelope: envelope(&mut table).unwrap_or(usual.envelope),
            nudge_right: nudge(&mut table, "nudge-right"),
            nudge_down: nudge(&mut table, "nudge-down"),
            certificate_weight: optional(weight(&mut table, "certificate-weight")),
            envelope_weight: optional(weight(&mut table, "envelope-weight")),
        };
        table.finish();
        mailing
    }

    /// How address blocks are written.
    pub fn style(&self) -> Style {
        Style { home: self.country, capitals: self.capitals }
    }
}

impl Envelope {
    /// By its name, or by its sides: `9 1/2 x 4 1/8 in`.
    fn find(written: &str) -> Option<Self> {
        let plain = |name: &str| name.to_lowercase().replace(['.', ' ', '#'], "").replace('×', "x");
        let known = ENVELOPES.iter().find(|(name, _)| plain(name) == plain(written));
        let (one, other) = two_lengths(known.map_or(written, |(_, size)| size))?;
        Some(Self { width: one.clone().max(other.clone()), height: one.min(other) })
    }

    fn is_of_a_size(&self) -> bool {
        let millimeters = |count: u32| Exact::new((count * 720).into(), 254.into());
        self.height >= millimeters(SMALLEST) && self.width <= millimeters(LARGEST)
    }
}

fn country(table: &mut Form) -> Option<&'static Country> {
    let written = table.text("country")?;
    let country = Country::find(&written.text);
    if country.is_none() {
        let mend = match Country::nearest(&written.text) {
            Some(near) => format!("Did you mean \"{near}\"?"),
            None => "Write its two letters, such as \"US\", or its name in English.".to_owned(),
        };
        table.tell(
            &rules::VALUE_UNFIT,
            written.place,
            "“country” is no country that packstring knows.",
            mend,
        );
    }
    country
}

/// A grid that is built in, by name, or the program's own.
fn labels(table: &mut Form, paper: Paper) -> Option<LabelGrid> {
    let written = table.text("labels");
    let own = table.form("grid", "[mailing.grid] table");
    let Some(written) = written else { return own.and_then(|grid| own_grid(grid, paper)) };
    if let Some(own) = own {
        let message =
            "The labels are named by “labels” and laid out by [mailing.grid]: one of the two is too much.";
        table.tell(&rules::KEY_UNFIT, own.place, message, "Take one of them out.");
        return None;
    }
    let grid = LabelGrid::find(&written.text);
    if grid.is_none() {
        let names: Vec<&str> = LabelGrid::built_in().iter().map(|grid| grid.name.as_str()).collect();
        let near = nearest(&written.text, names.iter().copied());
        let mend = match near {
            Some(near) => format!("Did you mean \"{near}\"? Any other grid is laid out in [mailing.grid]."),
            None => format!(
                "Lay them out in [mailing.grid], or write one of these: {}.",
                names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
            ),
        };
        let message = "“labels” is no sheet of labels that packstring knows.";
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
    }
    grid.cloned()
}

fn own_grid(mut table: Form, paper: Paper) -> Option<LabelGrid> {
    let place = table.place.clone();
    let sheet = table.choice("sheet", &[("letter", Paper::Letter), ("a4", Paper::A4)]).unwrap_or(paper);
    let (columns, rows) = (table.need_count("columns", "3"), table.need_count("rows", "10"));
    let (width, height) = (table.need_text("width", "2 5/8 in"), table.need_text("height", "1 in"));
    let [gap_x, gap_y, left, top] = ["gap-x", "gap-y", "left", "top"].map(|key| table.text(key));
    let read = |written: &Written| {
        let length = points(&written.text);
        if length.is_none() && !written.text.is_empty() {
            let mend = "Write it with its unit, such as \"2 5/8 in\" or \"63.5 mm\".";
            table.tell(
                &rules::VALUE_UNFIT,
                written.place.clone(),
                unfit("This is not a length.", &written.text),
                mend,
            );
        }
        length
    };
    let (wide, high) = (read(&width), read(&height));
    let [gap_x, gap_y, left, top] = [gap_x, gap_y, left, top].map(|written| written.as_ref().and_then(read));
    let name = format!("{} x {}, {columns} by {rows}", width.text, height.text);
    let (width, height) = (wide?, high?);
    let gap = |gap: Option<Exact>| gap.unwrap_or_else(Exact::zero);
    let (gap_x, gap_y, zero) = (gap(gap_x), gap(gap_y), Exact::zero());
    let mut grid =
        LabelGrid { name, sheet, columns, rows, width, height, gap_x, gap_y, left: zero.clone(), top: zero };
    grid.center();
    grid.left = left.unwrap_or(grid.left);
    grid.top = top.unwrap_or(grid.top);
    let fits = tell_misfit(&table, &grid, place);
    table.finish();
    fits.then_some(grid)
}

fn tell_misfit(table: &Form, grid: &LabelGrid, place: Place) -> bool {
    let fits = grid.fits() && grid.width > Exact::zero() && grid.height > Exact::zero();
    if !fits {
        let message = "These labels do not fit on their sheet.";
        let mend =
            "Measure a sheet again: columns, rows, sizes, gaps and margins must come to its size at most.";
        table.tell(&rules::VALUE_UNFIT, place, message, mend);
    }
    fits
}

fn envelope(table: &mut Form) -> Option<Envelope> {
    let written = table.text("envelope")?;
    let envelope = Envelope::find(&written.text);
    if envelope.is_none() {
        let names: Vec<String> = ENVELOPES.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let mend =
            format!("Write its two sides, such as \"9 1/2 x 4 1/8 in\", or one of {}.", names.join(", "));
        table.tell(&rules::VALUE_UNFIT, written.place, "“envelope” is no size of an envelope.", mend);
    } else if !envelope.as_ref().is_some_and(Envelope::is_of_a_size) {
        let message = "An envelope cannot be this small or this large.";
        let mend = "Its shorter side is 2 3/8 in (60 mm) at least, its longer 19 3/4 in (500 mm) at most.";
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
        return None;
    }
    envelope
}

/// In millimeters.
fn nudge(table: &mut Form, key: &'static str) -> Exact {
    let Some(written) = table.decimal(key) else { return Exact::zero() };
    let value = quantity::read_one(&format!("{} mm", written.text.trim_start_matches('-')))
        .ok()
        .and_then(|figure| match figure.quantity.amount {
            quantity::Amount::One(value) => Some(value),
            quantity::Amount::Range(..) => None,
        })
        .filter(|value| *value <= Exact::from_integer(FURTHEST.into()));
    let Some(value) = value else {
        let message = format!("“{key}” is too large: no printer is off by that much.");
        table.tell(&rules::VALUE_UNFIT, written.place, message, "Write millimeters, such as 1.5 or -0.8.");
        return Exact::zero();
    };
    if written.text.starts_with('-') { -value } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn envelopes_are_known_by_name_and_by_their_sides() {
        let ten = Envelope::find("No. 10").unwrap();
        assert_eq!(Some(&ten), Envelope::find("4 1/8 x 9 1/2 in").as_ref());
        assert!(ENVELOPES.iter().all(|(name, _)| Envelope::find(name).is_some()));
        assert!(Envelope::find("big").is_none());
    }

    #[test]
    fn envelopes_are_of_a_size() {
        assert!(ENVELOPES.iter().all(|(name, _)| Envelope::find(name).unwrap().is_of_a_size()));
        for size in ["1e9 x 1 in", "900 x 200 mm", "9 x 1 in", "0 x 0 in"] {
            assert!(!Envelope::find(size).is_some_and(|it| it.is_of_a_size()), "{size}");
        }
    }
}

//! `[roster]`: how the people files are written, and what their headings mean.

use crate::finding::rules;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::mistakes::offer;
use crate::program::roster::Field;
use crate::program::settings::sizes::{self, USUAL};

/// `[roster.words]`: what cells say instead of yes and no.
#[derive(Clone, Debug, Default)]
pub struct OwnWords {
    pub yes: Vec<String>,
    pub no: Vec<String>,
}

impl OwnWords {
    pub fn is_empty(&self) -> bool {
        self.yes.is_empty() && self.no.is_empty()
    }

    fn read(mut table: Form) -> Self {
        let (yes, no) = (table.one_or_more("yes"), table.one_or_more("no"));
        for word in no.iter().filter(|word| yes.iter().any(|other| same(&other.text, &word.text))) {
            let message = format!("“{}” cannot mean both yes and no.", word.text);
            table.tell(&rules::NAME_DOUBLED, word.place.clone(), message, "Take one of them out.");
        }
        let texts = |words: Vec<Written>| words.into_iter().map(|word| word.text.trim().to_owned()).collect();
        let own = Self { yes: texts(yes), no: texts(no) };
        table.finish();
        own
    }
}

fn same(left: &str, right: &str) -> bool {
    left.trim().to_lowercase() == right.trim().to_lowercase()
}

/// What `program.toml` says of people files.
#[derive(Clone, Debug, Default)]
pub struct RosterSettings {
    /// For those that are neither UTF-8 nor marked as UTF-16.
    pub encoding: Option<&'static encoding_rs::Encoding>,
    /// For a field the headings of its columns: one, or several whose cells are joined by a space.
    pub headings: Vec<(Field, Vec<Written>)>,
    /// The sizes that are given out, where the program names them.
    sizes: Vec<String>,
    /// Those that are usual where the program is; none: [`sizes::USUAL`](sizes::USUAL).
    pub(super) usual: &'static [&'static str],
    pub words: OwnWords,
    /// Columns that are nothing to packstring and come out on lists of people.
    pub keep: Vec<KeptColumn>,
}

/// A column of the roster that is kept: as it is called on lists, and its heading.
#[derive(Clone, Debug)]
pub struct KeptColumn {
    pub called: Written,
    pub heading: Written,
}

/// How many columns are kept at most: a sign-in sheet has room for no more beside name and signature.
const MOST_KEPT: usize = 6;

impl RosterSettings {
    /// The sizes that are given out, the smallest first.
    pub fn sizes(&self) -> Vec<&str> {
        match (self.sizes.is_empty(), self.usual.is_empty()) {
            (false, _) => self.sizes.iter().map(String::as_str).collect(),
            (true, true) => USUAL.to_vec(),
            (true, false) => self.usual.to_vec(),
        }
    }

    /// Where the program names no sizes and its Spanish roster has them as they are called in Mexico, these are given
    /// out: an order that says L is no answer to somebody who wrote G.
    pub(in crate::program) fn learn_sizes<'c>(
        &mut self,
        language: &str,
        mut cells: impl Iterator<Item = &'c str>,
    ) {
        let is_spanish = language.split('-').next().is_some_and(|primary| primary.eq_ignore_ascii_case("es"));
        if self.sizes.is_empty() && is_spanish && cells.any(sizes::is_of_mexico) {
            self.usual = &sizes::IN_MEXICO;
        }
    }

    pub(super) fn read(mut table: Form) -> Self {
        let encoding = encoding(&mut table);
        let sizes = table.texts("sizes").into_iter().map(|size| size.text).collect();
        let headings = table.form("headings", "[roster.headings] table").map(headings).unwrap_or_default();
        let words = table.form("words", "[roster.words] table").map(OwnWords::read).unwrap_or_default();
        let keep = table.form("keep", "[roster.keep] table").map(keep).unwrap_or_default();
        table.finish();
        Self { encoding, headings, sizes, usual: &[], words, keep }
    }
}

fn encoding(table: &mut Form) -> Option<&'static encoding_rs::Encoding> {
    let name = table.text("encoding")?;
    let encoding = encoding_rs::Encoding::for_label(name.text.as_bytes());
    if encoding.is_none() {
        let known =
            ["windows-1250", "windows-1251", "windows-1252", "windows-1254", "iso-8859-2", "macintosh"];
        let message = format!("“{}” is not the name of an encoding.", name.text);
        let all = format!("Write a name such as {} (of the WHATWG Encoding Standard).", known.join(", "));
        table.tell(&rules::VALUE_UNFIT, name.place, message, offer(&name.text, known, &all));
    }
    encoding
}

/// `allergies = "Do you have any allergies?"`: as it is called, and the heading of its column.
fn keep(mut table: Form) -> Vec<KeptColumn> {
    let mut kept = Vec::new();
    for (called, value) in table.take_all() {
        let Some(heading) = value.text() else { continue };
        if kept.len() == MOST_KEPT {
            let message = format!("More than {MOST_KEPT} columns are to be kept.");
            let mend = "A sign-in sheet has no room for more: take those out that nobody needs on paper.";
            table.tell(&rules::VALUE_UNFIT, called.place, message, mend);
            break;
        }
        kept.push(KeptColumn { called, heading });
    }
    kept
}

fn headings(mut table: Form) -> Vec<(Field, Vec<Written>)> {
    let mut headings = Vec::new();
    for (key, value) in table.take_all() {
        let field = Field::ALL.into_iter().find(|field| field.word() == key.text);
        let Some(field) = field else {
            let words: Vec<&str> = Field::ALL.iter().map(|field| field.word()).collect();
            let message = format!("packstring does not read “{}” from a roster.", key.text);
            let all = format!("It may be: {}.", words.join(", "));
            let mend = offer(&key.text, words, &all);
            table.tell(&rules::KEY_UNKNOWN, key.place, message, mend);
            continue;
        };
        let named = if value.is_list() {
            let of = "headings, such as [\"First name\", \"Last name\"]";
            value.list(of).into_iter().filter_map(|value| value.text()).collect()
        } else {
            value.text().into_iter().collect()
        };
        headings.push((field, named));
    }
    headings
}

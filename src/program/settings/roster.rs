//! `[roster]`: how the people files are written, and what their headings mean.

use crate::finding::rules;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::mistakes::offer;
use crate::program::roster::Field;
use crate::program::settings::sizes::USUAL;

/// What `program.toml` says of people files.
#[derive(Clone, Debug, Default)]
pub struct RosterSettings {
    /// For those that are neither UTF-8 nor marked as UTF-16.
    pub encoding: Option<&'static encoding_rs::Encoding>,
    /// For a field the headings of its columns: one, or several whose cells are joined by a space.
    pub headings: Vec<(Field, Vec<Written>)>,
    /// The sizes that are given out, where the program names them.
    sizes: Vec<String>,
}

impl RosterSettings {
    /// The sizes that are given out, the smallest first.
    pub fn sizes(&self) -> Vec<&str> {
        if self.sizes.is_empty() { USUAL.to_vec() } else { self.sizes.iter().map(String::as_str).collect() }
    }

    pub(super) fn read(mut table: Form) -> Self {
        let encoding = encoding(&mut table);
        let sizes = table.texts("sizes").into_iter().map(|size| size.text).collect();
        let headings = table.form("headings", "[roster.headings] table").map(headings).unwrap_or_default();
        table.finish();
        Self { encoding, headings, sizes }
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

fn headings(mut table: Form) -> Vec<(Field, Vec<Written>)> {
    let mut headings = Vec::new();
    for (key, value) in table.take_all() {
        let field = Field::ALL.into_iter().find(|field| field.word() == key.text);
        let Some(field) = field else {
            let words: Vec<&str> = Field::ALL.iter().map(|field| field.word()).collect();
            let message = format!("“{}” is nothing that packstring reads from a roster.", key.text);
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

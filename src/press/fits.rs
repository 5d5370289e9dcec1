//! What fitting found: a template that measures something at several settings leaves what it chose, and is handed that
//! back where the same is laid out again, in this run or a later one.
//!
//! A template reads `/data/fits/KEY.json`, which is `null` or `{"value": …}`, and leaves `#metadata((key: KEY, value: …))
//! <fit>`, whether it measured or not. What stands for the theme and for the bytes of pictures is put to the key here.

use super::engine::{Engine, Root};
use super::{Press, json};
use crate::digest::{absorb, hex};
use crate::job::{Fit, Sheet};
use serde_json::Value;
use sha2::Digest;
use std::collections::{BTreeMap, BTreeSet};
use typst::foundations::{self, Label, Selector};
use typst::introspection::{Introspector, MetadataElem};
use typst::text::Font;
use typst::utils::PicoStr;
use typst_layout::PagedDocument;

/// By the fingerprint of all that decides it.
#[derive(Default)]
pub(super) struct Fits {
    known: BTreeMap<String, Value>,
    /// What was asked for since the press was opened.
    asked: BTreeSet<String>,
}

/// What a sheet fits.
pub(super) struct Handed {
    /// The fingerprint of each thing, by the name that the template gives it.
    keys: BTreeMap<String, String>,
    /// Whether the template was handed anything that was found before.
    pub any_known: bool,
}

impl Press {
    /// Takes what was found by an earlier run. What is not there is measured.
    pub fn take_fits(&self, fits: impl IntoIterator<Item = (String, Value)>) {
        self.fits.lock().unwrap().known.extend(fits);
    }

    /// What was asked for, with what was found: to be handed to the next press.
    pub fn fits(&self) -> Vec<(String, Value)> {
        let fits = self.fits.lock().unwrap();
        let found = fits.asked.iter().filter_map(|key| Some((key.clone(), fits.known.get(key)?.clone())));
        found.collect()
    }

    /// Lays what is known of a sheet's fits beside its data.
    pub(super) fn place_fits(&self, engine: &Engine, sheet: &Sheet, helpers: &[Font]) -> Handed {
        let keys = self.fit_keys(sheet, helpers);
        let mut fits = self.fits.lock().unwrap();
        let mut any_known = false;
        for (name, key) in &keys {
            let known = fits.known.get(key);
            any_known |= known.is_some();
            place(engine, name, known);
            fits.asked.insert(key.clone());
        }
        Handed { keys, any_known }
    }

    /// Remembers what a sheet's template found.
    pub(super) fn note_fits(&self, handed: &Handed, document: &PagedDocument) {
        if handed.keys.is_empty() {
            return;
        }
        let mut fits = self.fits.lock().unwrap();
        for (name, value) in left_in(document) {
            if let Some(key) = handed.keys.get(&name) {
                fits.known.insert(key.clone(), value);
            }
        }
    }

    fn fit_keys(&self, sheet: &Sheet, helpers: &[Font]) -> BTreeMap<String, String> {
        if sheet.fits.is_empty() {
            return BTreeMap::new();
        }
        let common = {
            let mut hash = self.fresh_fingerprint();
            absorb(&mut hash, sheet.template.as_bytes());
            absorb(&mut hash, self.template_fingerprint(&sheet.template).as_bytes());
            self.absorb_fonts(&mut hash, helpers);
            for said in ["/paper", "/ink", "/program/language"] {
                absorb(&mut hash, &json(sheet.data.pointer(said).unwrap_or(&Value::Null)));
            }
            hash
        };
        let key_of = |fit: &Fit| {
            let mut hash = common.clone();
            absorb(&mut hash, fit.key.as_bytes());
            for name in &fit.pictures {
                absorb(&mut hash, name.as_bytes());
                absorb(&mut hash, self.pictures.get(name).as_deref().unwrap_or_default());
            }
            (fit.key.clone(), hex(hash.finalize()))
        };
        sheet.fits.iter().map(key_of).collect()
    }
}

fn place(engine: &Engine, name: &str, known: Option<&Value>) {
    let known = known
        .map_or(Value::Null, |value| Value::Object([("value".into(), value.clone())].into_iter().collect()));
    engine.place(Root::Common, &format!("data/fits/{name}.json"), json(&known));
}

/// Lays none where what was known was laid.
pub(super) fn place_none(engine: &Engine, handed: &Handed) {
    handed.keys.keys().for_each(|name| place(engine, name, None));
}

fn left_in(document: &PagedDocument) -> Vec<(String, Value)> {
    let Some(label) = Label::new(PicoStr::intern("fit")) else { return Vec::new() };
    let marks = document.introspector().query(&Selector::Label(label));
    let left = marks.iter().filter_map(|content| {
        let foundations::Value::Dict(mark) = &content.to_packed::<MetadataElem>()?.value else { return None };
        let Ok(foundations::Value::Str(key)) = mark.get("key") else { return None };
        Some((key.to_string(), serde_json::to_value(mark.get("value").ok()?).ok()?))
    });
    left.collect()
}

//! Fingerprints: what stands for all that a file is made from, so that what is current is kept.

use super::pictures::is_black;
use super::{Press, imposed, json, strings};
use crate::digest::{absorb, hex};
use crate::job::{Make, Original, Sheet};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::sync::atomic::Ordering;
use typst::text::Font;

impl Press {
    pub(super) fn fingerprint(&self, make: &Make) -> String {
        let mut hash = self.fresh_fingerprint();
        match make {
            Make::Sheet(sheet) => self.absorb_sheet(&mut hash, "sheet", sheet),
            Make::Drawing(sheet) => self.absorb_sheet(&mut hash, "drawing", sheet),
            Make::Imposed(imposed) => {
                self.absorb_sheet(&mut hash, "imposed", &imposed.pages);
                absorb(&mut hash, format!("{:?}", imposed.onto).as_bytes());
                absorb(&mut hash, self.template_fingerprint(imposed::template(&imposed.onto)).as_bytes());
            }
            Make::Page { template, data } => {
                for part in ["page", &self.pages_fingerprint, template] {
                    absorb(&mut hash, part.as_bytes());
                }
                absorb(&mut hash, &json(data));
            }
            Make::Tables(tables) => absorb(&mut hash, format!("{tables:?}").as_bytes()),
            Make::Text(text) => absorb(&mut hash, text.as_bytes()),
            Make::Copy { of: Original::Theme(name) } => {
                absorb(&mut hash, self.theme.file(name).map_or(b"", |bytes| bytes.as_slice()));
            }
            Make::Copy { of: Original::Program(name) } => {
                absorb(&mut hash, self.pictures.get(name).as_deref().unwrap_or_default());
            }
            Make::Run(_) => unreachable!("the files of a run have fingerprints of their own"),
        }
        hex(hash.finalize())
    }

    pub(super) fn fresh_fingerprint(&self) -> Sha256 {
        let mut hash = Sha256::new();
        absorb(&mut hash, env!("CARGO_PKG_VERSION").as_bytes());
        hash
    }

    fn absorb_sheet(&self, hash: &mut Sha256, kind: &str, sheet: &Sheet) {
        self.absorb_template(hash, kind, &sheet.template, &sheet.data, &sheet.pictures);
        for (name, part) in &sheet.parts {
            absorb(hash, name.as_bytes());
            absorb(hash, &json(part));
        }
        let values = std::iter::once(&sheet.data).chain(sheet.parts.iter().map(|(_, part)| part));
        self.absorb_helpers(hash, values.flat_map(strings));
    }

    pub(super) fn absorb_template(
        &self,
        hash: &mut Sha256,
        kind: &str,
        template: &str,
        data: &Value,
        pictures: &[String],
    ) {
        for part in [kind, &self.template_fingerprint(template), template] {
            absorb(hash, part.as_bytes());
        }
        absorb(hash, &json(data));
        for name in pictures {
            absorb(hash, name.as_bytes());
            absorb(hash, self.pictures.get(name).as_deref().unwrap_or_default());
            // What was made before pictures lost their color in black is made again.
            if is_black(data) {
                absorb(hash, b"gray");
            }
        }
    }

    /// What a template reads does not change while a press is open.
    pub(super) fn template_fingerprint(&self, template: &str) -> String {
        let mut known = self.template_fingerprints.lock().unwrap();
        let new = || self.theme.sheet_fingerprint(template);
        known.entry(template.to_owned()).or_insert_with(new).clone()
    }

    /// Fonts of this machine change what is made where the theme lacks a letter.
    fn absorb_helpers<'a>(&self, hash: &mut Sha256, texts: impl Iterator<Item = &'a str>) {
        self.absorb_fonts(hash, &self.letters.helpers(self.letters.outside_theme(texts)));
    }

    pub(super) fn absorb_fonts(&self, hash: &mut Sha256, helpers: &[Font]) {
        for font in helpers {
            absorb(hash, font.data());
            self.has_borrowed.store(true, Ordering::Relaxed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press::Theme;
    use std::path::Path;

    #[test]
    fn fonts_of_the_machine_are_part_of_what_a_file_is_made_from() {
        let press = Press::open(Theme::plain(), Path::new("."));
        let with = |fonts: &[Font]| {
            let mut hash = press.fresh_fingerprint();
            press.absorb_fonts(&mut hash, fonts);
            hex(hash.finalize())
        };
        let (one, other) = (press.letters.theme()[0].clone(), press.letters.theme()[1].clone());
        assert_ne!(one.data(), other.data());
        let none = with(&[]);
        assert!(!press.has_borrowed());
        let [one, other] = [with(&[one]), with(&[other])];
        assert!(none != one && none != other && one != other, "each font counts by its bytes");
        assert!(press.has_borrowed(), "what takes letters of this machine is told");
        // Where a letter is outside of the theme, they get there: of whichever this machine has a font for.
        let outside = (0x1200..0x1_0000u32).filter_map(char::from_u32).map(String::from);
        let found = outside
            .map(|letter| (press.letters.helpers(press.letters.outside_theme([letter.as_str()])), letter));
        if let Some((helpers, letter)) = found.into_iter().find(|(helpers, _)| !helpers.is_empty()) {
            let of = |title: &str| {
                press.fingerprint(&Make::Sheet(Sheet {
                    template: "handout.typ".into(),
                    data: serde_json::json!({ "title": title }),
                    ..Sheet::default()
                }))
            };
            let mut without = press.fresh_fingerprint();
            press.absorb_template(
                &mut without,
                "sheet",
                "handout.typ",
                &serde_json::json!({ "title": letter }),
                &[],
            );
            assert_ne!(
                of(&letter),
                hex(without.clone().finalize()),
                "{letter} is set in a font of this machine"
            );
            press.absorb_fonts(&mut without, &helpers);
            assert_eq!(of(&letter), hex(without.finalize()));
        }
    }
}

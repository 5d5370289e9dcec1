//! The code on a certificate: what a checker rebuilds its signed record from ([`packed`]), else a few words that a
//! telephone shows.
//!
//! A record packed takes about 41 to 53 modules a side (ISO/IEC 18004, versions 6 to 9), 20.5 to 26.5 mm at the
//! smallest module that reads at arm's length, 0.5 mm; with a very long name up to 61, and rarely more. It has the strongest correction with which it stays within the
//! room of its design. Where the site has an address, the code is a link to the page that checks it, if the design has
//! room for that. A record that cannot be packed, for it is not of today's form, stands in the code as it is.

use crate::credential::{canonical, packed};
use crate::job::{Code, Correction};
use crate::program::settings::{CodeForm, Design};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// A symbol of more modules than this takes more room than any design has (version 30).
const MOST_MODULES: usize = 137;

/// A link is no larger than 31 mm (version 11).
const MOST_OF_LINK: usize = 61;

/// A record with all its words is no larger than 39 mm (version 15).
const MOST_OF_WHOLE: usize = 77;

/// The code of a certificate; the press draws it beside the data.
#[derive(Serialize, JsonSchema)]
pub struct CodeSize {
    /// How many modules it has a side, without the quiet zone.
    pub size: usize,
}

/// How the certificates of a program carry their codes.
#[derive(Clone)]
pub struct Codes {
    pub design: Design,
    pub form: CodeForm,
    /// The address on the web of the page that checks certificates.
    pub page: Option<String>,
}

/// The modules of a code that a design has room for by the side of its signatures.
fn room(design: Design) -> usize {
    match design {
        Design::Landscape | Design::Portrait | Design::HalfSheet => 53,
        Design::Child => 45,
    }
}

impl Codes {
    /// The code of a certificate; none where even the few words are too long for one.
    pub fn code(&self, record: Option<&Value>, words: String) -> Option<Code> {
        let of_record = record.and_then(|record| self.of_record(record));
        of_record.or_else(|| strongest(&words, [Correction::Medium], MOST_MODULES))
    }

    fn of_record(&self, record: &Value) -> Option<Code> {
        use Correction::{Low, Medium, Quartile};
        let form = match self.form {
            CodeForm::Short => packed::Form::Short,
            CodeForm::Whole => packed::Form::Whole,
        };
        let Some(bytes) = packed::pack(record, form) else {
            let has_room = self.design != Design::Child;
            return has_room.then(|| strongest(&canonical::text(record), [Low], MOST_MODULES)).flatten();
        };
        let room = room(self.design);
        if let Some(page) = &self.page {
            let most = if self.design == Design::Child { room } else { MOST_OF_LINK };
            let link = packed::link(page, &bytes);
            let code = strongest(&link, [Quartile], room).or_else(|| strongest(&link, [Medium], most));
            if code.is_some() {
                return code;
            }
        }
        let text = packed::text(&bytes);
        let in_room = strongest(&text, [Quartile, Medium], room);
        let most = if form == packed::Form::Whole { MOST_OF_WHOLE } else { MOST_OF_LINK };
        // A long name in a script of many bytes a letter takes more room, and is not left without its proof for that.
        in_room
            .or_else(|| strongest(&text, [Medium, Low], most))
            .or_else(|| strongest(&text, [Low], MOST_OF_WHOLE))
    }
}

/// The code with the first of these corrections that is no larger than `most` modules a side.
fn strongest<const COUNT: usize>(says: &str, corrections: [Correction; COUNT], most: usize) -> Option<Code> {
    let codes = corrections.into_iter().filter_map(|correction| Code::of(says.to_owned(), correction));
    codes.into_iter().find(|code| code.size() <= most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{given, key};
    use crate::credential::{Claims, sign_given};

    const WORDS: &str = "Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\nJRHY-4P87";
    const PAGE: &str = "https://stewards.juniperbasin.example/site/check-certificate.html";
    const DESIGNS: [Design; 4] = [Design::Landscape, Design::Portrait, Design::HalfSheet, Design::Child];

    fn of(design: Design) -> Codes {
        Codes { design, form: CodeForm::Short, page: None }
    }

    fn code(codes: Codes, record: &Value) -> Code {
        codes.code(Some(record), WORDS.to_owned()).unwrap()
    }

    fn record(holder: &str) -> Value {
        sign_given(&Claims { holder, ..given() }, &key())
    }

    #[test]
    fn words_too_long_for_a_code_give_none() {
        assert!(of(Design::Landscape).code(None, "long ".repeat(1000)).is_none());
    }

    #[test]
    fn every_design_carries_the_record() {
        for holder in ["Elena Márquez", "Wilhelmina Featherstonehaugh-Montgomery"] {
            let record = record(holder);
            for design in DESIGNS {
                let code = code(of(design), &record);
                assert!(code.says().starts_with(packed::PREFIX) && code.is_close());
                assert!(packed::read(code.says()).is_ok());
                // At 0.5 mm a module.
                assert!(code.size() as f64 * 0.5 <= 26.5, "{holder}, {design:?}: {}", code.size());
            }
            assert_eq!(code(of(Design::Landscape), &record).correction(), Correction::Quartile);
        }
        // 24.5 mm is the next size of a code, which a child's name may take.
        assert!(code(of(Design::Child), &record("Elena Márquez")).size() <= 45);
    }

    /// What the guide says of its size, in millimetres.
    #[test]
    fn the_largest_code_is_as_large_as_the_guide_says() {
        let side = |design, bytes: usize| {
            let name = "Ann ".repeat(100);
            let record = record(name[..bytes].trim_end());
            let code = code(of(design), &record);
            assert!(packed::read(code.says()).is_ok(), "{bytes} bytes still carry the record");
            code.size() as f64 * 0.5
        };
        let largest = |bytes: std::ops::RangeInclusive<usize>| {
            let sides = bytes.flat_map(|bytes| DESIGNS.map(|design| side(design, bytes)));
            sides.fold((f64::MAX, 0.0), |(least, most): (f64, f64), side| (least.min(side), most.max(side)))
        };
        assert_eq!(largest(1..=60), (20.5, 26.5));
        assert_eq!(largest(61..=220).1, 30.5);
        assert!(largest(221..=250).1 <= 38.5);
        let guide = include_str!("../../../docs/certificates.md");
        for words in ["20 to 27 mm a side", "60 letters", "at most 31 mm", "220 letters", "at most 39 mm"] {
            assert!(guide.contains(words), "the guide says “{words}”");
        }
    }

    #[test]
    fn with_an_address_it_is_a_link_that_is_no_larger_than_31_mm() {
        let record = record("Elena Márquez");
        let linked = |design, page: &str| code(Codes { page: Some(page.to_owned()), ..of(design) }, &record);
        for design in [Design::Landscape, Design::Portrait, Design::HalfSheet] {
            let code = linked(design, PAGE);
            assert!(code.says().starts_with(&format!("{PAGE}#z")), "{}", code.says());
            assert!(code.size() as f64 * 0.5 < 31.0);
            let far = format!("https://{}.example/check-certificate.html", "basin.".repeat(30));
            assert!(linked(design, &far).says().starts_with(packed::PREFIX));
        }
        // The child's has no room for one.
        assert!(linked(Design::Child, PAGE).says().starts_with(packed::PREFIX));
    }

    #[test]
    fn the_form_with_all_words_is_about_33_mm() {
        for design in DESIGNS {
            let code = code(Codes { form: CodeForm::Whole, ..of(design) }, &record("Elena Márquez"));
            let side = code.size() as f64 * 0.5;
            assert!((30.0..=35.0).contains(&side), "{side}");
            assert!(packed::read(code.says()).unwrap().record([]).is_ok());
        }
    }

    #[test]
    fn a_record_of_another_form_stands_in_the_code_as_it_is() {
        let mut other = record("Elena Márquez");
        other["issuer"]["url"] = "https://lands.example".into();
        assert!(code(of(Design::Landscape), &other).says().starts_with('{'));
        assert_eq!(code(of(Design::Child), &other).says(), WORDS);
    }
}

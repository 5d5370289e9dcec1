//! A record in few bytes: what the code on a certificate's paper holds.
//!
//! The signed record itself is text of more than a thousand bytes. Here stands only what cannot be derived from what a
//! checker has, and the record is rebuilt from it, to the byte. What is so packed is a record of our own form alone:
//! one that is not the same once it is rebuilt is not packed.
//!
//! | bytes | hold |
//! | --- | --- |
//! | 1 | the version: 1 where the [`Occasion`] is known to the checker, 2 where it stands here |
//! | 4 | in version 1, the start of a hash over the occasion ([`Occasion::id`]) |
//! | … | in version 2, the occasion: key (32), date (4), last day (4, zeros for none), and agency, title, achievement, description and criteria with a length each |
//! | 5 | the number ([`Number::to_bytes`]) |
//! | … | the person's name, with its length |
//! | … | the companion, with its length, which is 0 where there is none |
//! | 64 | the signature |
//!
//! A length is one byte below 128; else two, the lower seven bits first, with the first byte's highest bit set. Texts
//! are UTF-8, dates a year in two bytes, a month and a day. Nothing is signed anew: a wrong bit gives another
//! record, and the signature does not fit that one.
//!
//! As a text it is base45 after [`PREFIX`], or, at the end of a web address, multibase (`z`, base58btc) after `#`.

use super::number::Number;
use super::{Claims, PublicKey, Refused, badge, base45, key, proof};
use crate::digest::absorb;
use jiff::civil::Date;
use proof::SIGNATURE;
use serde_json::Value;
use sha2::{Digest, Sha256};

/// What the code on a certificate begins with.
pub const PREFIX: &str = "PS:";

const SHORT: u8 = 1;
const WHOLE: u8 = 2;

/// All that certificates of one event or award and one day have in common.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Occasion {
    pub agency: String,
    pub title: String,
    pub achievement: String,
    pub description: String,
    pub criteria: String,
    pub date: Date,
    /// The last day on which they hold, where they do not hold for good.
    pub until: Option<Date>,
    /// Whose signature is on them, `z6Mk…`.
    pub key: String,
}

/// The start of a hash over an occasion. Two occasions may have one: which is meant, the signature tells.
pub type OccasionId = [u8; 4];

/// How much of a record is packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Without the occasion: who checks it must know that.
    Short,
    /// With all words.
    Whole,
}

/// What was packed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    of: Of,
    number: Number,
    holder: String,
    companion: Option<String>,
    signature: [u8; SIGNATURE],
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Of {
    Known(OccasionId),
    Told(Box<Occasion>),
}

impl Occasion {
    /// The occasion of a record of our own form.
    pub fn of(record: &Value) -> Option<Self> {
        let claims = badge::claims(record)?;
        let key = proof::named_key(record).ok()?;
        Some(Self::new(&claims, &key))
    }

    fn new(claims: &Claims, key: &PublicKey) -> Self {
        Self {
            agency: claims.agency.to_owned(),
            title: claims.title.to_owned(),
            achievement: claims.achievement.to_owned(),
            description: claims.description.to_owned(),
            criteria: claims.criteria.to_owned(),
            date: claims.date,
            until: claims.until,
            key: key.to_string(),
        }
    }

    pub fn id(&self) -> OccasionId {
        let mut hash = Sha256::new();
        hash.update(b"packstring occasion 1\n");
        let (date, until) = (self.date.to_string(), self.until.map(|day| day.to_string()));
        let texts = [&self.agency, &self.title, &self.achievement, &self.description, &self.criteria];
        let texts = texts.into_iter().map(String::as_str);
        for part in texts.chain([date.as_str(), until.as_deref().unwrap_or_default(), &self.key]) {
            absorb(&mut hash, part.as_bytes());
        }
        hash.finalize()[..4].try_into().expect("a digest has more than 4 bytes")
    }
}

/// The bytes of a record. Nothing where it is not of our own form, so that nobody could rebuild it from them.
pub fn pack(record: &Value, form: Form) -> Option<Vec<u8>> {
    let claims = badge::claims(record)?;
    let key = proof::named_key(record).ok()?;
    let occasion = Occasion::new(&claims, &key);
    let packed = Packed {
        number: Number::parse(claims.number).ok()?,
        holder: claims.holder.to_owned(),
        companion: claims.companion.map(str::to_owned),
        signature: proof::signature(record)?,
        of: match form {
            Form::Short => Of::Known(occasion.id()),
            Form::Whole => Of::Told(Box::new(occasion.clone())),
        },
    };
    let bytes = packed.bytes()?;
    let rebuilt = Packed::of(&bytes).and_then(|packed| packed.rebuilt(&occasion));
    rebuilt.is_ok_and(|rebuilt| rebuilt == *record).then_some(bytes)
}

/// The text of a code.
pub fn text(bytes: &[u8]) -> String {
    format!("{PREFIX}{}", base45::encode(bytes))
}

/// The address of a page that checks certificates, with what it is to check.
pub fn link(page: &str, bytes: &[u8]) -> String {
    format!("{page}#{}", key::multibase(bytes))
}

/// Whether a text is meant as the code of a certificate.
pub fn is_code(text: &str) -> bool {
    let text = text.trim();
    text.starts_with(PREFIX) || of_link(text).is_some()
}

/// What follows `#z` in a web address of a page that checks.
fn of_link(text: &str) -> Option<&str> {
    let is_web = text.starts_with("https://") || text.starts_with("http://");
    let (_, part) = text.split_once('#').filter(|_| is_web)?;
    part.strip_prefix('z').filter(|digits| digits.chars().all(|digit| digit.is_ascii_alphanumeric()))
}

/// Reads the text of a code, or the address in one.
///
/// # Errors
/// [`Refused::CodeUnread`], where a part of it is missing or is not what it must be.
pub fn read(text: &str) -> Result<Packed, Refused> {
    const LONGEST: usize = 8000;
    let text = text.trim();
    if text.len() > LONGEST {
        return Err(Refused::TooLarge { bytes: text.len() });
    }
    let unread =
        Err(Refused::CodeUnread { why: "it has letters that no such code has, or a part is missing" });
    if let Some(digits) = of_link(text) {
        let bytes = bs58::decode(digits).into_vec();
        return bytes.map_or(unread, |bytes| Packed::of(&bytes));
    }
    let Some(letters) = text.strip_prefix(PREFIX) else { return unread };
    base45::decode(letters).map_or(unread, |bytes| Packed::of(&bytes))
}

impl Packed {
    /// The number, before anything is proved.
    pub fn number(&self) -> &Number {
        &self.number
    }

    /// The record that was packed, and whose signature on it fits; `known` are the occasions that whoever asks knows.
    ///
    /// # Errors
    /// Where the occasion is not known, or the signature does not fit.
    pub fn record<'o>(&self, known: impl IntoIterator<Item = &'o Occasion>) -> Result<Value, Refused> {
        let fits = |occasion: &Occasion| {
            let record = self.rebuilt(occasion)?;
            proof::verify(&record).map(|_| record)
        };
        let id = match &self.of {
            Of::Told(occasion) => return fits(occasion),
            Of::Known(id) => id,
        };
        let meant = known.into_iter().filter(|occasion| occasion.id() == *id);
        let mut why = Refused::OccasionUnknown;
        for occasion in meant {
            match fits(occasion) {
                Ok(record) => return Ok(record),
                Err(refused) => why = refused,
            }
        }
        Err(why)
    }

    /// Whatever its signature says.
    fn rebuilt(&self, occasion: &Occasion) -> Result<Value, Refused> {
        let key = PublicKey::parse(&occasion.key)?;
        let number = self.number.to_string();
        let claims = Claims {
            agency: &occasion.agency,
            title: &occasion.title,
            number: &number,
            holder: &self.holder,
            companion: self.companion.as_deref(),
            achievement: &occasion.achievement,
            description: &occasion.description,
            criteria: &occasion.criteria,
            date: occasion.date,
            until: occasion.until,
        };
        Ok(proof::with_signature(badge::draft(&claims, &key), &key, &self.signature))
    }

    /// Nothing where a text in it is too long.
    fn bytes(&self) -> Option<Vec<u8>> {
        let mut bytes = Vec::new();
        match &self.of {
            Of::Known(id) => {
                bytes.push(SHORT);
                bytes.extend(id);
            }
            Of::Told(occasion) => {
                bytes.push(WHOLE);
                bytes.extend(PublicKey::parse(&occasion.key).ok()?.as_bytes());
                put_day(&mut bytes, Some(occasion.date));
                put_day(&mut bytes, occasion.until);
                for text in [
                    &occasion.agency,
                    &occasion.title,
                    &occasion.achievement,
                    &occasion.description,
                    &occasion.criteria,
                ] {
                    put_text(&mut bytes, text)?;
                }
            }
        }
        bytes.extend(self.number.to_bytes());
        put_text(&mut bytes, &self.holder)?;
        put_text(&mut bytes, self.companion.as_deref().unwrap_or_default())?;
        bytes.extend(self.signature);
        Some(bytes)
    }

    fn of(bytes: &[u8]) -> Result<Self, Refused> {
        let read = || {
            let mut rest = bytes;
            let packed = Self {
                of: match take_all::<1>(&mut rest)? {
                    [SHORT] => Of::Known(take_all(&mut rest)?),
                    [WHOLE] => {
                        let key = PublicKey::from_bytes(&take_all(&mut rest)?).ok()?.to_string();
                        let date = take_day(&mut rest)??;
                        let until = take_day(&mut rest)?;
                        let [agency, title, achievement, description, criteria] =
                            [(); 5].map(|()| take_text(&mut rest));
                        Of::Told(Box::new(Occasion {
                            agency: agency?,
                            title: title?,
                            achievement: achievement?,
                            description: description?,
                            criteria: criteria?,
                            date,
                            until,
                            key,
                        }))
                    }
                    _ => return None,
                },
                number: Number::from_bytes(take_all(&mut rest)?)?,
                holder: take_text(&mut rest)?,
                companion: Some(take_text(&mut rest)?).filter(|companion| !companion.is_empty()),
                signature: take_all(&mut rest)?,
            };
            rest.is_empty().then_some(packed)
        };
        if bytes.first().is_some_and(|version| *version > WHOLE) {
            return Err(Refused::CodeUnread { why: "it is of a form that this packstring does not know" });
        }
        read().ok_or(Refused::CodeUnread { why: "a part of it is missing, or was read wrong" })
    }
}

/// The longest text: what a length in two bytes says.
const LONGEST_TEXT: usize = 0x3fff;

fn put_text(bytes: &mut Vec<u8>, text: &str) -> Option<()> {
    match text.len() {
        length @ 0..=0x7f => bytes.push(length as u8),
        length @ 0x80..=LONGEST_TEXT => bytes.extend([(length & 0x7f) as u8 | 0x80, (length >> 7) as u8]),
        _ => return None,
    }
    bytes.extend(text.as_bytes());
    Some(())
}

fn take_text(rest: &mut &[u8]) -> Option<String> {
    let length = match take_all::<1>(rest)? {
        [low] if low & 0x80 == 0 => usize::from(low),
        [low] => match take_all::<1>(rest)? {
            // There is one way to write a length.
            [high @ 1..=0x7f] => usize::from(low & 0x7f) | usize::from(high) << 7,
            _ => return None,
        },
    };
    let (text, after) = rest.split_at_checked(length)?;
    *rest = after;
    String::from_utf8(text.to_vec()).ok()
}

fn take_all<const COUNT: usize>(rest: &mut &[u8]) -> Option<[u8; COUNT]> {
    let (first, after) = rest.split_first_chunk::<COUNT>()?;
    *rest = after;
    Some(*first)
}

fn put_day(bytes: &mut Vec<u8>, day: Option<Date>) {
    let day = day.map(|day| (day.year().to_be_bytes(), day.month() as u8, day.day() as u8));
    let ([high, low], month, day) = day.unwrap_or_default();
    bytes.extend([high, low, month, day]);
}

/// The inner one is nothing where there is none.
fn take_day(rest: &mut &[u8]) -> Option<Option<Date>> {
    match take_all::<4>(rest)? {
        [0, 0, 0, 0] => Some(None),
        [high, low, month, day] => {
            let (month, day) = (i8::try_from(month).ok()?, i8::try_from(day).ok()?);
            Date::new(i16::from_be_bytes([high, low]), month, day).ok().map(Some)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{given, key};
    use crate::credential::{SecretKey, canonical, sign_given};
    use serde_json::json;

    /// Every kind of record, each with its occasion.
    fn records() -> Vec<(Value, Occasion)> {
        let long = "Wilhelmina ".repeat(30);
        let claims = [
            given(),
            Claims { companion: None, ..given() },
            Claims {
                holder: "Анастасия Белозёрова", companion: Some("Буран and Freja."), ..given()
            },
            Claims { until: Some(jiff::civil::date(2028, 5, 16)), ..given() },
            Claims { holder: &long, companion: Some(&long), title: "", ..given() },
            Claims { holder: &long[..127], companion: Some(&long[..128]), ..given() },
        ];
        let signed = claims.iter().map(|claims| sign_given(claims, &key()));
        signed.map(|record| (record.clone(), Occasion::of(&record).unwrap())).collect()
    }

    #[test]
    fn a_record_is_rebuilt_to_the_byte() {
        let all = records();
        let known: Vec<&Occasion> = all.iter().map(|(_, occasion)| occasion).collect();
        for (record, _) in &all {
            for form in [Form::Short, Form::Whole] {
                let bytes = pack(record, form).unwrap();
                for text in [text(&bytes), link("https://lands.example/check.html", &bytes)] {
                    assert!(is_code(&text) && is_code(&format!("\n{text}\r\n")));
                    let packed = read(&text).unwrap();
                    let rebuilt = packed.record(known.iter().copied()).unwrap();
                    assert_eq!(canonical::text(&rebuilt), canonical::text(record));
                    // Where the occasion is not known, only the form with all words can be rebuilt.
                    assert_eq!(packed.record([]).is_ok(), form == Form::Whole);
                }
            }
        }
    }

    /// The layout is what paper holds that people have: a change here makes it unreadable.
    #[test]
    fn the_bytes_are_those_of_the_table() {
        let (record, occasion) = records().swap_remove(0);
        let bytes = pack(&record, Form::Short).unwrap();
        let signature = proof::signature(&record).unwrap();
        let names = ["\u{e}Elena Márquez".as_bytes(), b"\x07Biscuit"].concat();
        // "JRHY4P8" in the 25 letters of numbers, worked out by hand with Python.
        let number = [0x00, 0xc8, 0x89, 0x44, 0x8d];
        let expected = [&[SHORT][..], &occasion.id(), &number, &names, &signature].concat();
        assert_eq!(bytes, expected);
        assert_eq!(bytes.len(), 97);
        let whole = pack(&record, Form::Whole).unwrap();
        assert_eq!(&whole[1..33], key().public().as_bytes());
        assert_eq!(&whole[33..42], b"\x07\xea\x05\x10\0\0\0\0\x18");
    }

    #[test]
    fn every_bit_that_is_turned_is_refused() {
        let (record, occasion) = records().swap_remove(0);
        for form in [Form::Short, Form::Whole] {
            let bytes = pack(&record, form).unwrap();
            for bit in 0..bytes.len() * 8 {
                let mut other = bytes.clone();
                other[bit / 8] ^= 1 << (bit % 8);
                let found = read(&text(&other)).and_then(|packed| packed.record([&occasion]));
                assert!(found.is_err(), "bit {bit} of {form:?}");
            }
        }
    }

    #[test]
    fn what_is_cut_short_or_has_more_is_refused() {
        let (record, occasion) = records().swap_remove(0);
        let bytes = pack(&record, Form::Short).unwrap();
        let found = |bytes: &[u8]| read(&text(bytes)).and_then(|packed| packed.record([&occasion]));
        assert!(found(&bytes).is_ok());
        for length in 0..bytes.len() {
            assert!(found(&bytes[..length]).is_err(), "{length}");
        }
        assert!(found(&[&bytes[..], &[0]].concat()).is_err());
        // A length that is written longer than it must be.
        let mut padded = bytes.clone();
        padded.splice(10..11, [0x8e, 0x00]);
        assert!(found(&padded).is_err());
        for text in ["PS:", "PS:a", "PS:%69 VD92EX0", "https://lands.example/#z", "https://lands.example/#z0"]
        {
            assert!(is_code(text) && matches!(read(text), Err(Refused::CodeUnread { .. })), "{text}");
        }
        let newer = read(&text(&[3; 90])).unwrap_err();
        assert!(newer.to_string().contains("does not know"), "{newer}");
        assert!(matches!(read(&format!("PS:{}", "A".repeat(9000))), Err(Refused::TooLarge { .. })));
    }

    #[test]
    fn what_could_not_be_rebuilt_is_not_packed() {
        let record = sign_given(&given(), &key());
        let spoils: [fn(&mut Value); 8] = [
            |it| it["issuer"]["url"] = "https://lands.example".into(),
            |it| it["id"] = "urn:uuid:1".into(),
            |it| it["validFrom"] = "2026-05-16T09:00:00Z".into(),
            |it| it["credentialSubject"]["narrative"] = "Without Biscuit.".into(),
            |it| it["credentialSubject"]["narrative"] = "With .".into(),
            |it| it["credentialSubject"]["licenseNumber"] = "7".into(),
            |it| it["proof"] = it["proof"][0].clone(),
            |it| it["proof"][0]["created"] = "2026-05-16T09:00:00Z".into(),
        ];
        for (at, spoil) in spoils.iter().enumerate() {
            let mut other = record.clone();
            spoil(&mut other);
            assert_eq!(pack(&other, Form::Short), None, "{at}");
        }
        assert_eq!(pack(&json!({}), Form::Short), None);
        let name = "N".repeat(LONGEST_TEXT + 1);
        let long = sign_given(&Claims { holder: &name, ..given() }, &key());
        assert_eq!(pack(&long, Form::Short), None);
    }

    #[test]
    fn occasions_that_are_otherwise_have_other_ids() {
        let (_, occasion) = records().swap_remove(0);
        let others = [
            Occasion { agency: "Another".into(), ..occasion.clone() },
            Occasion { title: "Another".into(), ..occasion.clone() },
            Occasion { criteria: "Another".into(), ..occasion.clone() },
            Occasion { date: jiff::civil::date(2026, 5, 17), ..occasion.clone() },
            Occasion { until: Some(occasion.date), ..occasion.clone() },
            Occasion { key: SecretKey::from_seed([1; 32]).public().to_string(), ..occasion.clone() },
        ];
        let ids: std::collections::BTreeSet<OccasionId> =
            others.iter().chain([&occasion]).map(Occasion::id).collect();
        assert_eq!(ids.len(), 7);
    }
}

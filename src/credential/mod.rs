//! The signed record of a certificate: an Open Badges 3.0 credential (1EdTech), which is a W3C
//! Verifiable Credential, with an Ed25519 signature by the W3C's suite `eddsa-jcs-2022`.
//!
//! Knows nothing of rosters and registers: words and a key go in, JSON comes out, and the other way
//! round. Nothing here reads a file, looks at a clock or asks a network; who is credited and which
//! key is the program's is known elsewhere.
//!
//! | file | holds |
//! | --- | --- |
//! | [`canonical`] | reading JSON strictly, and its one canonical form (RFC 8785) |
//! | [`key`] | keys and how they are written: Multikey and `did:key` |
//! | [`proof`] | signing and verifying any JSON document (`eddsa-jcs-2022`) |
//! | [`statement`] | signing what is no credential |
//! | [`packed`] | a record in few bytes, for the code on paper, and how it is rebuilt |
//! | [`base45`] | bytes as letters that a code holds closely (RFC 9285) |
//! | [`badge`] | what a certificate says, as an Open Badges 3.0 credential, and what every such credential must have |
//!
//! ```
//! use packstring::credential::{Claims, SecretKey, badge, canonical, verify};
//!
//! let key = SecretKey::from_seed([7; 32]);
//! let given = Claims {
//!     agency: "Juniper Basin Open Lands",
//!     title: "Certificate of Completion",
//!     number: "JRHY-4P87",
//!     holder: "Elena Márquez",
//!     companion: Some("Biscuit"),
//!     achievement: "North Camp Spring Workshop",
//!     description: "Trail Rider Stewards, 2026",
//!     criteria: "Attended and passed.",
//!     date: jiff::civil::date(2026, 5, 16),
//!     until: None,
//! };
//! let signed = badge::sign_given(&given, &key);
//! let checked = verify(&canonical::text(&signed)).unwrap();
//! assert_eq!(checked.holder, "Elena Márquez");
//! assert_eq!(checked.key, key.public());
//! ```

pub mod badge;
pub mod base45;
pub mod canonical;
pub mod key;
pub mod number;
pub mod packed;
pub mod proof;
pub mod statement;

pub use badge::{Checked, Claims, sign_given, verify, verify_value};
pub use key::{KeyUnread, PublicKey, SecretKey};

use std::fmt;

/// Why a text is not a record that somebody signed. Each says so in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// More bytes than any certificate has.
    TooLarge { bytes: usize },
    /// Not JSON, or JSON that can be read in two ways.
    NotJson { why: String },
    /// JSON, but not what an Open Badges credential must be; `member` is its path, `issuer.name`.
    NotACredential { member: String, why: &'static str },
    /// There is no signature in it, or more than one.
    NoProof { why: &'static str },
    /// A signature of a kind that is not known here.
    ProofUnknown { why: String },
    /// The key that it names cannot be read.
    KeyUnread(KeyUnread),
    /// It begins as the code on a certificate begins, and does not go on so.
    CodeUnread { why: &'static str },
    /// The code is sound, and what it was given for is not known to who reads it.
    OccasionUnknown,
    /// Read and understood, and the signature is not that of this text: something was changed.
    SignatureWrong,
}

impl fmt::Display for Refused {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { bytes } => {
                write!(
                    out,
                    "This is {bytes} bytes long; no certificate's record is longer than {}.",
                    canonical::MOST_BYTES
                )
            }
            Self::NotJson { why } => write!(out, "This is not the record of a certificate: {why}."),
            Self::NotACredential { member, why } => {
                write!(out, "This is not the record of a certificate: {member} {why}.")
            }
            Self::NoProof { why } => write!(out, "Nobody signed this record: {why}."),
            Self::ProofUnknown { why } => write!(out, "The signature cannot be checked here: {why}."),
            Self::KeyUnread(why) => write!(out, "The signature cannot be checked: {why}"),
            Self::CodeUnread { why } => {
                write!(out, "This begins as the code of a certificate and cannot be read: {why}. Scan it once more, all of it.")
            }
            Self::OccasionUnknown => out.write_str(
                "This is the code of a certificate that was given for something which is not known here, so its signature cannot be checked.",
            ),
            Self::SignatureWrong => out
                .write_str("The signature does not fit: what stands in this record is not what was signed."),
        }
    }
}

impl std::error::Error for Refused {}

impl From<KeyUnread> for Refused {
    fn from(why: KeyUnread) -> Self {
        Self::KeyUnread(why)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::{Claims, SecretKey};
    use std::collections::BTreeMap;
    use std::path::PathBuf;

    /// Published and computed values, with their origin in the folder's README.
    pub fn folder() -> PathBuf {
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/credentials")
    }

    /// The rows of a table there, by heading.
    pub fn rows(table: &str) -> Vec<BTreeMap<String, String>> {
        let mut reader = csv::Reader::from_path(folder().join(table)).unwrap();
        reader.deserialize().map(|row| row.unwrap()).collect()
    }

    /// What a certificate of the demo says.
    pub fn given() -> Claims<'static> {
        Claims {
            agency: "Juniper Basin Open Lands",
            title: "Certificate of Completion",
            number: "JRHY-4P87",
            holder: "Elena Márquez",
            companion: Some("Biscuit"),
            achievement: "North Camp Spring Workshop",
            description: "Trail Rider Stewards, 2026",
            criteria: "Attended the workshop and passed its questions.",
            date: jiff::civil::date(2026, 5, 16),
            until: None,
        }
    }

    pub fn key() -> SecretKey {
        SecretKey::from_seed([9; 32])
    }

    pub fn bytes(hex: &str) -> Vec<u8> {
        (0..hex.len()).step_by(2).map(|at| u8::from_str_radix(&hex[at..at + 2], 16).unwrap()).collect()
    }
}

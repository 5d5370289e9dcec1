//! Ed25519 keys (RFC 8032) and how they are written: as Multikey, `z6Mk…`, and as `did:key:z6Mk…`.
//!
//! A Multikey is the multibase prefix `z` and base58btc over two bytes that name the kind and the 32
//! bytes of the key (W3C Controlled Identifiers 1.0, section 2.2.2; base58btc as Bitcoin writes it).

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use std::fmt;

/// Multicodec of an Ed25519 public key, 0xed, as a varint.
const PUBLIC: [u8; 2] = [0xed, 0x01];
/// Multicodec of an Ed25519 secret key, 0x1300, as a varint.
const SECRET: [u8; 2] = [0x80, 0x26];
const DID: &str = "did:key:";

/// Who can tell whether a record is signed by the program.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct PublicKey(VerifyingKey);

/// Who can sign. It is never shown: not in a message, and not in what `{:?}` gives.
pub struct SecretKey(SigningKey);

/// Why a text is no key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeyUnread {
    /// It is not base58btc with the prefix `z`.
    NotMultibase,
    /// A key, but not one for Ed25519 signatures, or of a wrong length.
    OtherKind,
    /// 32 bytes that are no point of the curve, or one of the few with which anything verifies.
    NoPoint,
    /// It names its key in another way than by `did:key`.
    NotDidKey,
}

impl fmt::Display for KeyUnread {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::NotMultibase => "The key is not written as a key: it has letters that no key has.",
            Self::OtherKind => "The key is not one for Ed25519 signatures.",
            Self::NoPoint => "The key has the right length but is not a valid key.",
            Self::NotDidKey => {
                "The key is not given in the record itself, and nothing is looked up elsewhere."
            }
        })
    }
}

impl std::error::Error for KeyUnread {}

impl PublicKey {
    pub fn from_bytes(bytes: &[u8; 32]) -> Result<Self, KeyUnread> {
        let key = VerifyingKey::from_bytes(bytes).map_err(|_| KeyUnread::NoPoint)?;
        if key.is_weak() { Err(KeyUnread::NoPoint) } else { Ok(Self(key)) }
    }

    /// Reads a Multikey, `z6Mk…`, or a `did:key` of one.
    pub fn parse(written: &str) -> Result<Self, KeyUnread> {
        let written = written.trim();
        Self::from_bytes(&unpack(written.strip_prefix(DID).unwrap_or(written), PUBLIC)?)
    }

    /// Reads the key that a proof names, `did:key:z6Mk…#z6Mk…`: both halves must be the same key.
    pub fn of_method(method: &str) -> Result<Self, KeyUnread> {
        let (did, fragment) = method.split_once('#').ok_or(KeyUnread::NotDidKey)?;
        let key = did.strip_prefix(DID).ok_or(KeyUnread::NotDidKey)?;
        if key == fragment { Self::parse(key) } else { Err(KeyUnread::NotDidKey) }
    }

    /// `did:key:z6Mk…`, the name of who holds the key.
    pub fn did(&self) -> String {
        format!("{DID}{self}")
    }

    /// `did:key:z6Mk…#z6Mk…`, the name of the key as a proof gives it.
    pub fn method(&self) -> String {
        format!("{DID}{self}#{self}")
    }

    pub fn as_bytes(&self) -> &[u8; 32] {
        self.0.as_bytes()
    }

    /// Whether the signature is this key's over the message. Strict: no second form of a signature,
    /// and none by a point of small order, is taken for one (RFC 8032, section 5.1.7).
    pub fn verifies(&self, message: &[u8], signature: &[u8]) -> bool {
        let Ok(signature) = Signature::from_slice(signature) else { return false };
        self.0.verify_strict(message, &signature).is_ok()
    }
}

/// As a Multikey, `z6Mk…`.
impl fmt::Display for PublicKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&pack(PUBLIC, self.as_bytes()))
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "PublicKey({self})")
    }
}

impl SecretKey {
    /// From 32 bytes that nobody can guess.
    pub fn from_seed(seed: [u8; 32]) -> Self {
        Self(SigningKey::from_bytes(&seed))
    }

    /// Reads the Multikey of a secret key, `z3u2…`, as [`SecretKey::to_file_text`] writes it.
    pub fn parse(written: &str) -> Result<Self, KeyUnread> {
        Ok(Self::from_seed(unpack(written.trim(), SECRET)?))
    }

    /// For the file that keeps it, and for nothing else.
    pub fn to_file_text(&self) -> String {
        pack(SECRET, self.0.as_bytes())
    }

    pub fn public(&self) -> PublicKey {
        PublicKey(self.0.verifying_key())
    }

    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.0.sign(message).to_bytes()
    }
}

impl fmt::Debug for SecretKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "SecretKey(of {})", self.public())
    }
}

/// Multibase with base58btc: `z` and the digits.
pub fn multibase(bytes: &[u8]) -> String {
    format!("z{}", bs58::encode(bytes).into_string())
}

/// Reads what [`multibase`] writes. Anything longer than a signature is not even looked at.
pub fn of_multibase(written: &str) -> Option<Vec<u8>> {
    const LONGEST: usize = 200;
    let digits = written.strip_prefix('z').filter(|digits| digits.len() <= LONGEST)?;
    bs58::decode(digits).into_vec().ok()
}

fn pack(kind: [u8; 2], key: &[u8; 32]) -> String {
    multibase(&[&kind[..], key].concat())
}

fn unpack(written: &str, kind: [u8; 2]) -> Result<[u8; 32], KeyUnread> {
    let bytes = of_multibase(written).ok_or(KeyUnread::NotMultibase)?;
    let key = bytes.strip_prefix(&kind).ok_or(KeyUnread::OtherKind)?;
    key.try_into().map_err(|_| KeyUnread::OtherKind)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{bytes, rows};

    #[test]
    fn signatures_are_those_of_the_reference() {
        let (mut signed, mut refused) = (0, 0);
        for row in rows("ed25519.csv") {
            let id = &row["id"];
            let (message, signature) = (bytes(&row["message_hex"]), bytes(&row["signature_hex"]));
            let public: [u8; 32] = bytes(&row["public_key_hex"]).try_into().unwrap();
            let verified = PublicKey::from_bytes(&public).is_ok_and(|key| key.verifies(&message, &signature));
            assert_eq!(verified, row["expect_verify"] == "true", "{id}");
            refused += usize::from(!verified);
            if !row["secret_key_hex"].is_empty() {
                let key = SecretKey::from_seed(bytes(&row["secret_key_hex"]).try_into().unwrap());
                assert_eq!(key.public().as_bytes(), &public, "{id}");
                assert_eq!(key.sign(&message)[..], signature, "{id}");
                signed += 1;
            }
        }
        assert_eq!((signed, refused), (5, 54));
    }

    #[test]
    fn keys_are_written_as_in_the_reference() {
        let mut looked_at = 0;
        for row in rows("multikey.csv") {
            let key = SecretKey::from_seed(bytes(&row["secret_key_hex"]).try_into().unwrap());
            assert_eq!(key.public().as_bytes()[..], bytes(&row["public_key_hex"]));
            assert_eq!(key.to_file_text(), row["secretKeyMultibase"]);
            assert_eq!(key.public().to_string(), row["publicKeyMultibase"]);
            assert_eq!(key.public().did(), row["did_key"]);
            assert_eq!(PublicKey::parse(&row["publicKeyMultibase"]), Ok(key.public()));
            assert_eq!(PublicKey::parse(&row["did_key"]), Ok(key.public()));
            assert_eq!(SecretKey::parse(&row["secretKeyMultibase"]).unwrap().public(), key.public());
            looked_at += 1;
        }
        assert_eq!(looked_at, 3);
    }

    #[test]
    fn base58btc_is_that_of_the_reference() {
        let mut looked_at = 0;
        for row in rows("multibase.csv") {
            let (given, expected) = (bytes(&row["input_hex"]), &row["expected"]);
            match row["encoding"].as_str() {
                "base58btc" => assert_eq!(&multibase(&given), expected),
                "base58btc (no prefix)" => assert_eq!(multibase(&given), format!("z{expected}")),
                "base58btc (no prefix), decode" => {
                    let text = row["note"].split('\'').nth(1).expect("a quoted text to decode");
                    assert_eq!(of_multibase(&format!("z{text}")), None, "{}", row["id"]);
                    looked_at += 1;
                    continue;
                }
                _ => {
                    // Other bases are not what a key or signature is written in here.
                    assert_eq!(of_multibase(expected), None, "{}", row["id"]);
                    looked_at += 1;
                    continue;
                }
            }
            let written =
                if row["encoding"] == "base58btc" { expected.clone() } else { format!("z{expected}") };
            assert_eq!(of_multibase(&written), Some(given), "{}", row["id"]);
            looked_at += 1;
        }
        assert_eq!(looked_at, 41);
    }

    #[test]
    fn what_is_no_key_says_why() {
        let secret = SecretKey::from_seed([1; 32]);
        assert_eq!(PublicKey::parse("z6Mk0"), Err(KeyUnread::NotMultibase));
        assert_eq!(PublicKey::parse(""), Err(KeyUnread::NotMultibase));
        assert_eq!(PublicKey::parse(&secret.to_file_text()), Err(KeyUnread::OtherKind));
        assert_eq!(PublicKey::parse(&"z".repeat(100_000)), Err(KeyUnread::NotMultibase));
        // The neutral point: with it as a key, one signature fits every text.
        let mut neutral = [0; 32];
        neutral[0] = 1;
        assert_eq!(PublicKey::from_bytes(&neutral), Err(KeyUnread::NoPoint));
        let (one, other) = (secret.public(), SecretKey::from_seed([2; 32]).public());
        assert_eq!(PublicKey::of_method(&one.method()), Ok(one));
        assert_eq!(PublicKey::of_method(&format!("{}#{other}", one.did())), Err(KeyUnread::NotDidKey));
        assert_eq!(PublicKey::of_method("https://basin.example/keys#1"), Err(KeyUnread::NotDidKey));
    }

    #[test]
    fn a_secret_key_is_not_shown() {
        let key = SecretKey::from_seed([3; 32]);
        let shown = format!("{key:?}");
        assert!(!shown.contains(&key.to_file_text()) && !shown.contains("3, 3"), "{shown}");
    }
}

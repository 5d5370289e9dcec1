//! Signing and verifying any JSON document by the W3C's `eddsa-jcs-2022` (Data Integrity EdDSA
//! Cryptosuites 1.0, section 3.3).
//!
//! What is signed is SHA-256 of the canonical proof without its value, followed by SHA-256 of the
//! canonical document without its proof. The proof carries the document's `@context`.

use super::{PublicKey, Refused, SecretKey, canonical, key};
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

const SUITE: &str = "eddsa-jcs-2022";
const KIND: &str = "DataIntegrityProof";
const PURPOSE: &str = "assertionMethod";

/// How many bytes an Ed25519 signature has (RFC 8032, section 5.1.6).
pub const SIGNATURE: usize = 64;

/// The document with a proof added, in an array of one: Open Badges 3.0 wants an array, and the W3C
/// data model takes either.
///
/// The proof has no `created`: the specification leaves it open, and a document says itself from when
/// it holds.
pub fn sign(mut document: Map<String, Value>, key: &SecretKey) -> Value {
    document.remove("proof");
    let proof = unsigned(&document, &key.public());
    let signature = key.sign(&signed_bytes(&proof, &document));
    with_value(document, proof, &signature)
}

/// The same document as [`sign`] gives, from a signature that was made before. Whether it fits is not looked at.
pub fn with_signature(document: Map<String, Value>, key: &PublicKey, signature: &[u8; SIGNATURE]) -> Value {
    let proof = unsigned(&document, key);
    with_value(document, proof, signature)
}

/// The value of a document's one proof; whether it fits is not looked at.
pub fn signature(document: &Value) -> Option<[u8; SIGNATURE]> {
    let (proof, _) = parts(document).ok()?;
    key::of_multibase(proof.get("proofValue")?.as_str()?)?.try_into().ok()
}

/// A proof without its value.
fn unsigned(document: &Members, key: &PublicKey) -> Members {
    let mut proof = Map::new();
    for (name, value) in [
        ("type", KIND),
        ("cryptosuite", SUITE),
        ("verificationMethod", &key.method()),
        ("proofPurpose", PURPOSE),
    ] {
        proof.insert(name.into(), value.into());
    }
    if let Some(context) = document.get("@context") {
        proof.insert("@context".into(), context.clone());
    }
    proof
}

fn with_value(mut document: Members, mut proof: Members, signature: &[u8; SIGNATURE]) -> Value {
    proof.insert("proofValue".into(), key::multibase(signature).into());
    document.insert("proof".into(), json!([proof]));
    Value::Object(document)
}

/// The key that the document's proof names; whether the signature fits is not looked at.
pub fn named_key(document: &Value) -> Result<PublicKey, Refused> {
    let (proof, _) = parts(document)?;
    Ok(PublicKey::of_method(proof.get("verificationMethod").and_then(Value::as_str).unwrap_or_default())?)
}

/// Whose signature the document carries, if it fits.
pub fn verify(document: &Value) -> Result<PublicKey, Refused> {
    let (proof, mut document) = parts(document)?;
    for (name, known) in [("type", KIND), ("cryptosuite", SUITE), ("proofPurpose", PURPOSE)] {
        match proof.get(name).and_then(Value::as_str) {
            Some(given) if given == known => {}
            given => return Err(Refused::ProofUnknown { why: unknown(name, given, known) }),
        }
    }
    let text = |name: &str| proof.get(name).and_then(Value::as_str).unwrap_or_default();
    let signer = PublicKey::of_method(text("verificationMethod"))?;
    let signature = key::of_multibase(text("proofValue")).ok_or(Refused::SignatureWrong)?;

    // A context in the proof must be what the document's starts with; it is the one that was signed.
    let mut unsigned = proof.clone();
    unsigned.remove("proofValue");
    if let Some(context) = proof.get("@context") {
        if !starts_with(document.get("@context"), context) {
            return Err(Refused::SignatureWrong);
        }
        document.insert("@context".into(), context.clone());
    }
    if signer.verifies(&signed_bytes(&unsigned, &document), &signature) {
        Ok(signer)
    } else {
        Err(Refused::SignatureWrong)
    }
}

/// The 64 bytes that are signed.
fn signed_bytes(proof: &Map<String, Value>, document: &Map<String, Value>) -> Vec<u8> {
    let hash = |part: &Map<String, Value>| {
        Sha256::digest(canonical::text(&Value::Object(part.clone())).as_bytes()).to_vec()
    };
    [hash(proof), hash(document)].concat()
}

type Members = Map<String, Value>;

/// The one proof of a document, and the document without it.
fn parts(document: &Value) -> Result<(&Members, Members), Refused> {
    let Value::Object(members) = document else {
        return Err(Refused::NotACredential { member: "the whole".into(), why: "is not an object" });
    };
    let proof = match members.get("proof") {
        None => return Err(Refused::NoProof { why: "there is no signature in it" }),
        Some(Value::Object(proof)) => proof,
        Some(Value::Array(proofs)) => match proofs.as_slice() {
            [Value::Object(proof)] => proof,
            [] => return Err(Refused::NoProof { why: "its list of signatures is empty" }),
            [_] => return Err(Refused::NoProof { why: "its signature cannot be read" }),
            _ => {
                return Err(Refused::ProofUnknown {
                    why: "it has several signatures, and one is looked for".into(),
                });
            }
        },
        Some(_) => return Err(Refused::NoProof { why: "its signature cannot be read" }),
    };
    let mut rest = members.clone();
    rest.remove("proof");
    Ok((proof, rest))
}

fn starts_with(document: Option<&Value>, proof: &Value) -> bool {
    match (document, proof) {
        (Some(Value::Array(all)), Value::Array(first)) => all.starts_with(first),
        (document, proof) => document == Some(proof),
    }
}

fn unknown(name: &str, given: Option<&str>, known: &str) -> String {
    match given {
        // A text from outside is told only in part.
        Some(given) => {
            format!("its {name} is “{}” and not “{known}”", given.chars().take(40).collect::<String>())
        }
        None => format!("it has no {name}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::tests::{bytes, folder, rows};

    fn document(file: &str) -> Value {
        canonical::read(&std::fs::read_to_string(folder().join(file)).unwrap()).unwrap()
    }

    #[test]
    fn every_step_is_that_of_the_reference() {
        let mut looked_at = 0;
        for row in rows("eddsa_jcs_2022.csv").into_iter().filter(|row| !row["unsigned_file"].is_empty()) {
            let id = &row["id"];
            let (Value::Object(unsigned), Value::Object(config)) =
                (document(&row["unsigned_file"]), document(&row["proof_config_file"]))
            else {
                panic!("{id}: objects");
            };
            let signed = signed_bytes(&config, &unsigned);
            assert_eq!(signed, bytes(&row["combined_hash"]), "{id}");
            assert_eq!(signed[..32], bytes(&row["proof_hash"]), "{id}");
            assert_eq!(signed[32..], bytes(&row["doc_hash"]), "{id}");
            let key = SecretKey::parse(&row["secretKeyMultibase"]).unwrap();
            let signature = key.sign(&signed);
            assert_eq!(signature[..], bytes(&row["signature_hex"]), "{id}");
            assert_eq!(key::multibase(&signature), row["proof_value"], "{id}");
            looked_at += 1;
        }
        assert_eq!(looked_at, 4);
    }

    #[test]
    fn what_was_changed_is_refused_and_what_was_reordered_is_not() {
        let mut looked_at = 0;
        for row in rows("eddsa_jcs_2022.csv") {
            let expected = match row["expect_verify"].as_str() {
                "true" => Ok(PublicKey::parse(&row["publicKeyMultibase"]).unwrap()),
                _ => Err(Refused::SignatureWrong),
            };
            assert_eq!(verify(&document(&row["signed_file"])), expected, "{}", row["id"]);
            looked_at += 1;
        }
        assert_eq!(looked_at, 13);
    }

    #[test]
    fn every_changed_letter_is_noticed() {
        let key = SecretKey::from_seed([5; 32]);
        let mut unsigned = Map::new();
        unsigned.insert("@context".into(), json!(["https://one.example", "https://two.example"]));
        unsigned.insert("name".into(), json!("Elena Márquez"));
        let signed = sign(unsigned, &key);
        assert_eq!(verify(&signed), Ok(key.public()));
        let text = canonical::text(&signed);
        for (at, letter) in text.char_indices().filter(|(_, letter)| letter.is_ascii_alphanumeric()) {
            let other = if letter == 'x' { "y" } else { "x" };
            let changed = format!("{}{other}{}", &text[..at], &text[at + 1..]);
            assert!(canonical::read(&changed).map_or(true, |value| verify(&value).is_err()), "{changed}");
        }
    }

    #[test]
    fn what_is_no_proof_says_why() {
        let signed = sign(Map::new(), &SecretKey::from_seed([5; 32]));
        let with = |change: &dyn Fn(&mut Value)| {
            let mut other = signed.clone();
            change(&mut other);
            verify(&other).unwrap_err().to_string()
        };
        assert!(with(&|it| it["proof"] = json!([])).contains("empty"));
        assert!(with(&|it| it["proof"] = json!(7)).contains("cannot be read"));
        assert!(with(&|it| it["proof"] = json!([it["proof"][0], it["proof"][0]])).contains("several"));
        assert!(with(&|it| it["proof"][0]["cryptosuite"] = json!("other")).contains("“other”"));
        assert!(with(&|it| it["proof"][0]["proofPurpose"] = json!(null)).contains("no proofPurpose"));
        assert!(
            with(&|it| it["proof"][0]["verificationMethod"] = json!("did:web:basin.example"))
                .contains("looked up")
        );
        assert!(with(&|it| it["proof"][0]["proofValue"] = json!("0")).contains("does not fit"));
        assert!(verify(&json!({})).unwrap_err().to_string().contains("no signature"));
        assert!(verify(&json!([])).unwrap_err().to_string().contains("not an object"));
    }
}

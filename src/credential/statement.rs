//! Statements: a few members that are signed and are no credential, such as how long a register is.
//!
//! What is signed begins with words that no credential's signed bytes begin with, so that a signature made here
//! is never one of a certificate, nor the other way round.

use super::{PublicKey, SecretKey, canonical, key};
use serde_json::Value;

const MARK: &[u8] = b"packstring statement 1\n";

/// The signature over a statement, as multibase.
pub fn sign(statement: &Value, with: &SecretKey) -> String {
    key::multibase(&with.sign(&signed_bytes(statement)))
}

/// Whether a signature is of the key whose public half is `public`, over just this statement.
pub fn fits(statement: &Value, public: &str, signature: &str) -> bool {
    let Ok(public) = PublicKey::parse(public) else { return false };
    let Some(signature) = key::of_multibase(signature) else { return false };
    public.verifies(&signed_bytes(statement), &signature)
}

fn signed_bytes(statement: &Value) -> Vec<u8> {
    [MARK, canonical::text(statement).as_bytes()].concat()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_signature_fits_its_statement_and_its_key_alone() {
        let (key, other) = (SecretKey::from_seed([1; 32]), SecretKey::from_seed([2; 32]));
        let statement = json!({"lines": 3, "hash": "ab"});
        let signature = sign(&statement, &key);
        let public = key.public().to_string();
        assert!(fits(&statement, &public, &signature));
        assert!(
            fits(&json!({"hash": "ab", "lines": 3}), &public, &signature),
            "the order of keys is nothing"
        );
        assert!(!fits(&json!({"lines": 4, "hash": "ab"}), &public, &signature));
        assert!(!fits(&statement, &other.public().to_string(), &signature));
        assert!(!fits(&statement, "z6Mk", &signature) && !fits(&statement, &public, "z1"));
    }
}

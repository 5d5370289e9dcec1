//! Digests: parts taken into a hash, and bytes as hexadecimal digits.

use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Takes a part into a fingerprint with its length before it, so that no two lists of parts run
/// together into the same bytes.
pub fn absorb(hash: &mut Sha256, part: &[u8]) {
    hash.update((part.len() as u64).to_le_bytes());
    hash.update(part);
}

/// Two digits a byte.
pub fn hex(bytes: impl AsRef<[u8]>) -> String {
    bytes.as_ref().iter().fold(String::new(), |mut digits, byte| {
        let _ = write!(digits, "{byte:02x}");
        digits
    })
}

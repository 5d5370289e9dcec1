//! Base45 (RFC 9285): two bytes as three letters, a last one by itself as two, of the 45 that a QR code holds closely
//! (ISO/IEC 18004, alphanumeric mode). One of them is a space, which whatever hands a text on may drop at its end; the
//! last letter is never that.

const LETTERS: &[u8; 45] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

pub fn encode(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(2) * 3);
    for pair in bytes.chunks(2) {
        let mut value = pair.iter().fold(0, |value, byte| value << 8 | usize::from(*byte));
        for _ in 0..=pair.len() {
            text.push(char::from(LETTERS[value % 45]));
            value /= 45;
        }
    }
    text
}

/// Nothing where a text is none that [`encode`] gives.
pub fn decode(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::with_capacity(text.len() / 3 * 2 + 1);
    for letters in text.as_bytes().chunks(3) {
        let mut digits = letters.iter().rev().map(|letter| LETTERS.iter().position(|known| known == letter));
        let value = digits.try_fold(0, |value, digit| Some(value * 45 + digit?))?;
        match letters.len() {
            3 => bytes.extend(u16::try_from(value).ok()?.to_be_bytes()),
            2 => bytes.push(u8::try_from(value).ok()?),
            _ => return None,
        }
    }
    Some(bytes)
}

/// Whether a code holds a text letter by letter in 5½ bits each.
pub fn is_of_its_letters(text: &str) -> bool {
    text.bytes().all(|letter| LETTERS.contains(&letter))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 9285, sections 4.3 and 4.4.
    #[test]
    fn it_is_that_of_the_rfc() {
        for (plain, text) in
            [("AB", "BB8"), ("Hello!!", "%69 VD92EX0"), ("base-45", "UJCLQE7W581"), ("ietf!", "QED8WEX0")]
        {
            assert_eq!(encode(plain.as_bytes()), text);
            assert_eq!(decode(text).as_deref(), Some(plain.as_bytes()));
        }
    }

    /// RFC 9285, section 6: what is no text of the encoding is refused, and so are values above what two bytes hold
    /// ("GGW" is 65,536) and above what one holds (":::" is 91,124).
    #[test]
    fn what_no_bytes_give_is_refused() {
        for text in ["GGW", ":::", "::", "B", "BB8B", "bb8", "BB8é", "a"] {
            assert_eq!(decode(text), None, "{text}");
        }
        assert_eq!(decode("FGW").as_deref(), Some(&[0xff, 0xff][..]));
        assert_eq!(decode("").as_deref(), Some(&[][..]));
    }

    #[test]
    fn the_last_letter_is_never_a_space() {
        for last in 0..=u16::MAX {
            assert!(!encode(&last.to_be_bytes()).ends_with(' '), "{last}");
            assert!(!encode(&[0, 0, last as u8]).ends_with(' '), "{last}");
        }
    }

    #[test]
    fn all_bytes_come_back() {
        let bytes: Vec<u8> = (0..=255).chain((0..=255).rev()).collect();
        for length in 0..bytes.len() {
            let text = encode(&bytes[length / 3..length]);
            assert!(is_of_its_letters(&text) && !text.ends_with(' '));
            assert_eq!(decode(&text).as_deref(), Some(&bytes[length / 3..length]));
        }
    }
}

//! From bytes to text and back: UTF-8, UTF-16 with or without its mark, Windows-1252 where the bytes can
//! be nothing else, and what the ranger names.
//!
//! Bytes that are not UTF-8 are some encoding of one byte a letter, and the bytes do not say which. They
//! are taken for Windows-1252, the one of Western Europe and the Americas, only where every word that
//! holds such a byte could then be written in one language there. Else the ranger is asked.

use std::borrow::Cow;

/// How the text of a file is written as bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    Utf8,
    Utf16Le,
    Utf16Be,
    /// One of the encodings of the WHATWG Encoding Standard other than those.
    Other(&'static encoding_rs::Encoding),
}

/// How sure the encoding of a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Confidence {
    Sure,
    /// Taken for Windows-1252, or for UTF-16 without its mark; the first letter that tells stands at the
    /// byte of the text.
    Guessed(usize),
    /// Could be several; the first word that shows it stands at the byte of the text.
    Unclear(usize),
    /// Not of the encoding that its mark or the ranger names; the first such place.
    Broken(usize),
}

pub(super) struct Decoded {
    /// With its byte order mark, if it has one.
    pub text: String,
    pub encoding: Encoding,
    pub sureness: Confidence,
}

impl Encoding {
    /// As the Encoding Standard names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16Le => "UTF-16LE",
            Self::Utf16Be => "UTF-16BE",
            Self::Other(encoding) => encoding.name(),
        }
    }

    /// The bytes of a text.
    ///
    /// # Errors
    /// The first letter that the encoding does not have.
    pub fn encode(self, text: &str) -> Result<Cow<'_, [u8]>, char> {
        match self {
            Self::Utf8 => Ok(text.as_bytes().into()),
            Self::Utf16Le => Ok(text.encode_utf16().flat_map(u16::to_le_bytes).collect()),
            Self::Utf16Be => Ok(text.encode_utf16().flat_map(u16::to_be_bytes).collect()),
            Self::Other(encoding) => {
                let (bytes, _, lacks) = encoding.encode(text);
                let mut letters = text.chars();
                match letters.find(|letter| lacks && encoding.encode(&letter.to_string()).2) {
                    Some(letter) => Err(letter),
                    None => Ok(bytes),
                }
            }
        }
    }
}

/// Reads bytes; `named` is what the ranger says of a file that is neither marked nor UTF-8.
pub(super) fn decode(bytes: Vec<u8>, named: Option<&'static encoding_rs::Encoding>) -> Decoded {
    match bytes.as_slice() {
        [0xff, 0xfe, ..] => return utf_16(&bytes, Encoding::Utf16Le, Confidence::Sure),
        [0xfe, 0xff, ..] => return utf_16(&bytes, Encoding::Utf16Be, Confidence::Sure),
        _ => {}
    }
    if let Some(encoding) = unmarked_utf_16(&bytes) {
        return utf_16(&bytes, encoding, Confidence::Guessed(0));
    }
    let bytes = match String::from_utf8(bytes) {
        Ok(text) => return Decoded { text, encoding: Encoding::Utf8, sureness: Confidence::Sure },
        Err(error) => error.into_bytes(),
    };
    if bytes.starts_with(&[0xef, 0xbb, 0xbf]) {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let at = text.find(char::REPLACEMENT_CHARACTER).unwrap_or(0);
        return Decoded { text, encoding: Encoding::Utf8, sureness: Confidence::Broken(at) };
    }
    let encoding = named.unwrap_or(encoding_rs::WINDOWS_1252);
    let (text, broken) = encoding.decode_without_bom_handling(&bytes);
    let text = text.into_owned();
    let sureness = if broken {
        Confidence::Broken(text.find(char::REPLACEMENT_CHARACTER).unwrap_or(0))
    } else if named.is_some() {
        Confidence::Sure
    } else if let Some(at) = not_western(&text) {
        Confidence::Unclear(at)
    } else {
        Confidence::Guessed(text.find(|letter: char| !letter.is_ascii()).unwrap_or(0))
    };
    Decoded { text, encoding: Encoding::Other(encoding), sureness }
}

fn utf_16(bytes: &[u8], encoding: Encoding, sureness: Confidence) -> Decoded {
    let with = match encoding {
        Encoding::Utf16Be => encoding_rs::UTF_16BE,
        _ => encoding_rs::UTF_16LE,
    };
    let (text, broken) = with.decode_without_bom_handling(bytes);
    let text = text.into_owned();
    let at = text.find(char::REPLACEMENT_CHARACTER).filter(|_| broken);
    Decoded { sureness: at.map_or(sureness, Confidence::Broken), text, encoding }
}

/// UTF-16 without its mark. No text of bytes has a zero in it; in UTF-16 every comma, digit and line break has one,
/// in the second byte or in the first. It is read in the order in which it comes out whole, with more such letters.
fn unmarked_utf_16(bytes: &[u8]) -> Option<Encoding> {
    const LOOKED_AT: usize = 64 * 1024;
    let start = &bytes[..bytes.len().min(LOOKED_AT)];
    if !bytes.len().is_multiple_of(2) || !start.contains(&0) {
        return None;
    }
    let plain = |order: fn([u8; 2]) -> u16| {
        let units = start.chunks_exact(2).map(|pair| order([pair[0], pair[1]]));
        let (mut plain, mut all) = (0, 0);
        for unit in units {
            all += 1;
            match unit {
                0x20..=0x7e | 0x09 | 0x0a | 0x0d => plain += 1,
                // What no table holds: controls, and the ends of the range.
                0..=0x1f | 0x7f..=0x9f | 0xfffe | 0xffff => return None,
                _ => {}
            }
        }
        // A row of one letter beyond ASCII a cell still has its commas.
        (plain * 20 >= all).then_some(plain)
    };
    match (plain(u16::from_le_bytes), plain(u16::from_be_bytes)) {
        (Some(little), Some(big)) if little == big => None,
        (Some(little), big) if big.is_none_or(|big| little > big) => Some(Encoding::Utf16Le),
        (_, Some(_)) => Some(Encoding::Utf16Be),
        _ => None,
    }
}

/// The letters beyond ASCII of languages that are written in Windows-1252, each in lower case. Icelandic
/// is not among them: its þ, ð and ý are ş, ğ and ı in Turkish files. Common orthography, no source.
const ALPHABETS: [&str; 9] = [
    "àâæçéèêëîïôœùûüÿ", // French
    "áéíñóúü",          // Spanish, Irish
    "áâãàçéêíóôõúü",    // Portuguese
    "äöüßé",            // German
    "åäöæøéü",          // Danish, Norwegian, Swedish, Finnish
    "àèéìîòóù",         // Italian
    "äëéèïöü",          // Dutch
    "àçèéíïòóúü",       // Catalan
    "ñáéíóúàèìòùâêîôû", // Filipino, Welsh, Gaelic
];

/// The first word of a text, read as Windows-1252, that no language there would write so.
fn not_western(text: &str) -> Option<usize> {
    let words = text.split(|letter: char| letter.is_ascii() && !letter.is_ascii_alphabetic());
    words.filter(|word| !word.is_ascii()).find_map(|word| {
        let at = word.as_ptr() as usize - text.as_ptr() as usize;
        let beside_digit = text[..at].ends_with(|letter: char| letter.is_ascii_digit())
            || text[at + word.len()..].starts_with(|letter: char| letter.is_ascii_digit());
        let fits = is_western(word) || (beside_digit && word.chars().all(is_beside_digits));
        (!fits).then_some(at)
    })
}

/// Whether what stands between two characters of ASCII that are no letters could be words of one of
/// [`ALPHABETS`].
fn is_western(words: &str) -> bool {
    let words = words.strip_suffix(['ª', 'º']).filter(|rest| rest.len() < 3).unwrap_or(words);
    let opened = words.trim_start_matches(['¿', '¡']);
    let opens_well = opened.len() == words.len() || opened.starts_with(char::is_uppercase);
    opens_well && opened.split(is_between).all(is_western_word)
}

fn is_western_word(word: &str) -> bool {
    let beyond: Vec<char> =
        word.chars().filter(|letter| !letter.is_ascii()).flat_map(char::to_lowercase).collect();
    // A capital behind small letters is a small letter of another encoding.
    let mut behind = word.chars().skip_while(|letter| !letter.is_lowercase());
    let is_even = behind.all(|letter| letter.is_ascii() || !letter.is_uppercase());
    // A word of three and more letters has some of ASCII, except where the script is another.
    let has_plain = beyond.len() < 3 || word.chars().any(|letter| letter.is_ascii());
    // French has œ before u and i only (cœur, œil); the same byte is ś in Central Europe.
    let mut ligatures = word.match_indices(['œ', 'Œ']).map(|(at, ligature)| &word[at + ligature.len()..]);
    let are_french = ligatures.all(|rest| rest.starts_with(['u', 'i', 'U', 'I']));
    let fits = |alphabet: &&str| beyond.iter().all(|letter| alphabet.contains(*letter));
    is_even && has_plain && are_french && ALPHABETS.iter().any(fits)
}

/// Punctuation that stands around words and between them.
fn is_between(letter: char) -> bool {
    matches!(letter, '“' | '”' | '„' | '‘' | '’' | '‚' | '«' | '»' | '–' | '—' | '…' | '\u{a0}' | '\u{ad}')
        || matches!(letter, '•' | '·' | '®' | '©' | '™' | '€' | '°' | '§')
}

fn is_beside_digits(letter: char) -> bool {
    is_between(letter)
        || matches!(letter, '£' | '¥' | '¢' | 'ª' | 'º' | '²' | '³' | '¼' | '½' | '¾' | '×' | '±')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(bytes: &[u8]) -> Decoded {
        decode(bytes.to_vec(), None)
    }

    fn sureness_in(encoding: &'static encoding_rs::Encoding, text: &str) -> Confidence {
        of(&encoding.encode(text).0).sureness
    }

    #[test]
    fn western_names_are_read_as_windows_1252() {
        for name in [
            "René O’Hara",
            "Übermut",
            "Seán Ó Dálaigh",
            "“Duke”",
            "£3",
            "€5",
            "Marisol Peñaloza",
            "Søren Bjerregård",
            "Noémie Garçonnet",
            "João Simões",
            "Große Straße 4",
            "PEÑA",
            "Ålesund",
            "Zoë",
            "Niccolò",
            "l’Étoile",
            "¿Sí?",
            "Nº 4",
            "3ª",
            "Sacré-Cœur",
            "40 °F",
            "6½ h",
        ] {
            let sureness = sureness_in(encoding_rs::WINDOWS_1252, name);
            assert!(matches!(sureness, Confidence::Guessed(_)), "{name}: {sureness:?}");
        }
    }

    #[test]
    fn what_could_be_another_encoding_is_asked() {
        for (encoding, name) in [
            (encoding_rs::WINDOWS_1250, "Łukasz Żak"),
            (encoding_rs::WINDOWS_1250, "Świt"),
            (encoding_rs::WINDOWS_1250, "żaba"),
            (encoding_rs::WINDOWS_1250, "Tomaş"),
            (encoding_rs::WINDOWS_1250, "Kaźmierczak"),
            (encoding_rs::WINDOWS_1250, "Jiří Dvořák"),
            (encoding_rs::WINDOWS_1250, "Małgorzata"),
            (encoding_rs::WINDOWS_1251, "Анастасия"),
            (encoding_rs::WINDOWS_1253, "Θεοδώρα"),
            (encoding_rs::WINDOWS_1254, "Tuğçe Yıldırımoğlu"),
            (encoding_rs::MACINTOSH, "René"),
            (encoding_rs::ISO_8859_2, "Łukasz"),
        ] {
            let sureness = sureness_in(encoding, name);
            assert!(matches!(sureness, Confidence::Unclear(_)), "{name}: {sureness:?}");
        }
    }

    #[test]
    fn a_named_encoding_holds_where_the_bytes_are_not_utf_8() {
        let named = Some(encoding_rs::WINDOWS_1250);
        let bytes = encoding_rs::WINDOWS_1250.encode("Łukasz").0.into_owned();
        assert_eq!(decode(bytes, named).text, "Łukasz");
        assert_eq!(decode("Łukasz".into(), named).encoding, Encoding::Utf8);
    }

    #[test]
    fn utf_16_is_read_with_and_without_its_mark() {
        let text = "name,companion\nZoë,馬\n";
        for (marked, encoding) in
            [(true, Encoding::Utf16Le), (true, Encoding::Utf16Be), (false, Encoding::Utf16Le)]
        {
            let written = if marked { format!("\u{feff}{text}") } else { text.to_owned() };
            let bytes = encoding.encode(&written).unwrap();
            let decoded = of(&bytes);
            assert_eq!((decoded.text.as_str(), decoded.encoding), (written.as_str(), encoding));
            assert_eq!(decoded.sureness == Confidence::Sure, marked);
        }
    }

    #[test]
    fn every_text_is_written_back_as_the_same_bytes() {
        let all: Vec<u8> = (1..=255).collect();
        let decoded = decode(all.clone(), Some(encoding_rs::WINDOWS_1252));
        assert_eq!(&*decoded.encoding.encode(&decoded.text).unwrap(), &all[..]);
        assert_eq!(decoded.encoding.encode("Łukasz"), Err('Ł'));
    }
}

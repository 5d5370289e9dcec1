//! Letters that a wrong decoding has left: “MarÃ\u{ad}a” for “María”.
//!
//! Text in UTF-8 that was read as if each byte were a letter shows each letter beyond ASCII as two or
//! three. Writing those as bytes again and reading them as UTF-8 undoes it; that this gives UTF-8 at all
//! is the proof, for hardly any other text does. It may have happened more than once.

use super::scripts;
use encoding_rs::{Encoding, MACINTOSH, WINDOWS_1250, WINDOWS_1251, WINDOWS_1252};

/// As what text in UTF-8 is read wrongly, the most usual first, and the characters one of which a
/// letter then starts with. In Windows-1252 it may be any; in the others letters of real names might
/// seem to be bytes of one (the Polish “WĘŻYK” in Windows-1250).
const READ_AS: [(&Encoding, &str); 4] =
    [(WINDOWS_1252, ""), (MACINTOSH, "¬√ƒ≈∆‚"), (WINDOWS_1250, "ÂĂÄĹ"), (WINDOWS_1251, "РСВГДЕ")];

/// How often a text may have been read wrongly, one time on top of the other.
const TIMES: usize = 3;

/// What stood there before the wrong decoding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undone {
    pub words: String,
    /// All of the words agree, and reading them wrongly again gives exactly what stands there.
    pub is_certain: bool,
    /// Characters stood as HTML writes them, and not for letters that were read wrongly.
    pub is_html: bool,
}

/// Undoes a wrong decoding; `None` where nothing hints at one.
pub fn undo(words: &str) -> Option<Undone> {
    if words.is_ascii() {
        return from_escapes(words);
    }
    let mut undone = Undone { words: words.to_owned(), is_certain: true, is_html: false };
    for _ in 0..TIMES {
        match READ_AS.iter().find_map(|(encoding, starts)| once(&undone.words, encoding, starts)) {
            Some(once) => {
                undone.is_certain &= once.is_certain;
                undone.words = once.words;
            }
            None => break,
        }
    }
    if undone.words == words {
        return from_escapes(words).or_else(|| from_a_mac(words));
    }
    Some(undone)
}

/// Whether a letter was lost for good: the sign that decoders put in its place, or a question mark
/// between letters.
pub fn has_lost_letters(words: &str) -> bool {
    if words.contains('\u{fffd}') {
        return true;
    }
    let letters: Vec<char> = words.chars().collect();
    letters.windows(3).any(|three| three[1] == '?' && three[0].is_alphabetic() && three[2].is_alphabetic())
}

/// The same of a name, in which a question mark stands for nothing else: “Jos? Lee”.
pub fn has_lost_letters_of_name(words: &str) -> bool {
    let letters: Vec<char> = words.chars().collect();
    let beside = |pair: &[char]| {
        (pair[0] == '?' && pair[1].is_alphabetic()) || (pair[1] == '?' && pair[0].is_alphabetic())
    };
    has_lost_letters(words) || letters.windows(2).any(beside)
}

/// Undoes one wrong reading as an encoding, where that gives letters that people's names have.
fn once(words: &str, encoding: &'static Encoding, starts: &str) -> Option<Undone> {
    let mut text = String::new();
    let (mut undone, mut left) = (false, false);
    for run in words.split_inclusive(|c: char| c.is_ascii()) {
        let (beyond, last) = match run.chars().next_back() {
            Some(c) if c.is_ascii() => run.split_at(run.len() - 1),
            _ => (run, ""),
        };
        match as_utf_8(beyond, encoding, starts) {
            Some(read) if !beyond.is_empty() => {
                undone = true;
                text.push_str(&read);
            }
            _ => {
                left |= !beyond.is_empty();
                text.push_str(beyond);
            }
        }
        text.push_str(last);
    }
    if !undone || scripts::mixed(&text).is_some() {
        return None;
    }
    let (again, ..) = encoding.decode_without_bom_handling(text.as_bytes());
    Some(Undone { is_certain: !left && again == words, is_html: false, words: text })
}

/// The letters as bytes of an encoding, read as UTF-8.
fn as_utf_8(letters: &str, encoding: &'static Encoding, starts: &str) -> Option<String> {
    let first = letters.chars().next()?;
    // In Russian, ё is the one letter that could also be the second byte of another.
    let is_russian = letters.chars().all(|c| matches!(c, 'А'..='я' | 'Ё' | 'ё'));
    if is_russian || !(starts.is_empty() || starts.contains(first)) {
        return None;
    }
    let (bytes, _, unencodable) = encoding.encode(letters);
    let read = (!unencodable).then(|| String::from_utf8(bytes.into_owned()).ok()).flatten()?;
    // Some of it may have been read wrongly once more.
    let is_step =
        |c: char| READ_AS.iter().any(|(encoding, _)| !encoding.encode(c.encode_utf8(&mut [0; 4])).2);
    (read.chars().all(is_likely) || read.chars().count() > 1 && read.chars().all(is_step)).then_some(read)
}

/// A character beyond ASCII that stands in names and addresses of the languages that are written
/// most. Bytes read the wrong way give others too: letters of phonetics, signs, marks without a letter.
fn is_likely(c: char) -> bool {
    let is_letter = matches!(c,
        'À'..='Ö' | 'Ø'..='ö' | 'ø'..='ſ' | 'Ơ'..='ơ' | 'Ư'..='ư' | 'Ș'..='ț' | 'ə' | 'Ə'
        | 'Ά'..='ώ' | 'Ѐ'..='џ' | 'Ґ'..='ґ' | 'Ա'..='և' | 'א'..='ת' | 'ء'..='ۿ' | '\u{900}'..='\u{e7f}'
        | '\u{1000}'..='\u{10ff}' | 'Ḁ'..='ỹ' | '\u{3040}'..='\u{30ff}' | '\u{3400}'..='\u{9fff}'
        | '가'..='힣');
    let is_sign = matches!(
        c,
        '’' | '‘' | '“' | '”' | '–' | '—' | '·' | '…' | 'º' | 'ª' | '°' | '№' | '\u{a0}' | '\u{3000}'
    );
    is_letter || is_sign
}

/// Characters that a web form has left as HTML wrote them: `O&#39;Brien`.
fn from_escapes(words: &str) -> Option<Undone> {
    let mut text = String::new();
    let mut rest = words;
    while let Some(at) = rest.find('&') {
        text.push_str(&rest[..at]);
        let after = &rest[at + 1..];
        let escape = after.split(';').next().filter(|escape| escape.len() < after.len());
        let letter = escape.and_then(|escape| match escape.strip_prefix('#') {
            Some(code) => match code.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16).ok(),
                None => code.parse().ok(),
            }
            .and_then(char::from_u32)
            .filter(|c| !c.is_control()),
            None => named(escape),
        });
        match (letter, escape) {
            (Some(letter), Some(escape)) => {
                text.push(letter);
                rest = &after[escape.len() + 1..];
            }
            _ => {
                text.push('&');
                rest = after;
            }
        }
    }
    text.push_str(rest);
    (text != words).then_some(Undone { words: text, is_certain: false, is_html: true })
}

/// A character by its name in HTML (its named character references): those of names of people.
fn named(name: &str) -> Option<char> {
    const NAMED: [(&str, char); 18] = [
        ("amp", '&'),
        ("apos", '\''),
        ("quot", '"'),
        ("lt", '<'),
        ("gt", '>'),
        ("nbsp", ' '),
        ("rsquo", '’'),
        ("lsquo", '‘'),
        ("ndash", '–'),
        ("szlig", 'ß'),
        ("aelig", 'æ'),
        ("AElig", 'Æ'),
        ("oelig", 'œ'),
        ("OElig", 'Œ'),
        ("oslash", 'ø'),
        ("Oslash", 'Ø'),
        ("thorn", 'þ'),
        ("eth", 'ð'),
    ];
    const MARKS: [(&str, char); 8] = [
        ("acute", '\u{301}'),
        ("grave", '\u{300}'),
        ("circ", '\u{302}'),
        ("uml", '\u{308}'),
        ("tilde", '\u{303}'),
        ("cedil", '\u{327}'),
        ("ring", '\u{30a}'),
        ("caron", '\u{30c}'),
    ];
    if let Some((_, letter)) = NAMED.iter().find(|(known, _)| *known == name) {
        return Some(*letter);
    }
    // A letter and its mark: `eacute`.
    let (letter, mark) = MARKS.iter().find_map(|(mark, sign)| Some((name.strip_suffix(mark)?, *sign)))?;
    let mut letters = letter.chars().filter(char::is_ascii_alphabetic);
    let letter =
        letters.next().filter(|first| letters.next().is_none() && first.len_utf8() == letter.len())?;
    unicode_normalization::char::compose(letter, mark)
}

/// One letter for another, as where a file of Windows was read as one of an old Mac: a capital with an
/// accent between small letters, “MarÌa” for “María”.
fn from_a_mac(words: &str) -> Option<Undone> {
    let letters: Vec<char> = words.chars().collect();
    let is_odd = |at: usize| {
        let small = |at: Option<&char>| at.is_some_and(|c| c.is_lowercase());
        !letters[at].is_ascii()
            && letters[at].is_uppercase()
            && small(at.checked_sub(1).and_then(|at| letters.get(at)))
            && small(letters.get(at + 1))
    };
    if !(0..letters.len()).any(is_odd) {
        return None;
    }
    let (bytes, _, unencodable) = MACINTOSH.encode(words);
    let (read, _) = WINDOWS_1252.decode_without_bom_handling(&bytes);
    let fits =
        !unencodable && read.chars().zip(&letters).all(|(now, was)| now == *was || matches!(now, 'ß'..='ÿ'));
    fits.then(|| Undone { words: read.into_owned(), is_certain: false, is_html: false })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn certain(words: &str) -> Option<Undone> {
        Some(Undone { words: words.to_owned(), is_certain: true, is_html: false })
    }

    #[test]
    fn a_wrong_decoding_is_undone() {
        assert_eq!(undo("MarÃ\u{ad}a PeÃ±aloza"), certain("María Peñaloza"));
        assert_eq!(undo("Oâ€™Dowd"), certain("O’Dowd"));
        assert_eq!(undo("Mar√≠a"), certain("María"));
        assert_eq!(undo("РњР°СЂРёСЏ"), certain("Мария"));
        assert_eq!(undo("ŁØ§Ų„ŪŒ"), None);
        assert_eq!(undo("Ã\u{81}lvaro"), certain("Álvaro"));
        // twice
        assert_eq!(undo("MarÃƒÂ\u{ad}a"), certain("María"));
    }

    #[test]
    fn lines_of_other_scripts_come_back() {
        for name in
            ["Ελένη Παπά", "अनीता", "ليلى", "Nguyễn Thị Ánh", "山田　太郎", "Žofia Dvořáková", "김민준"]
        {
            let (read, _) = WINDOWS_1252.decode_without_bom_handling(name.as_bytes());
            assert_eq!(undo(&read).map(|undone| undone.words).as_deref(), Some(name));
        }
        for name in ["María", "Łucja Dvořáková", "Müller"] {
            for (encoding, _) in READ_AS {
                let (read, _) = encoding.decode_without_bom_handling(name.as_bytes());
                assert_eq!(undo(&read), certain(name), "{} {read}", encoding.name());
            }
        }
    }

    #[test]
    fn what_was_only_partly_read_wrongly_is_offered_and_not_certain() {
        let partly = undo("MarÃ\u{ad}a Núñez").unwrap();
        assert_eq!((partly.words.as_str(), partly.is_certain), ("María Núñez", false));
        let html = undo("O&#39;Brien &amp; Mar&#xED;a & Co; &bogus;").unwrap();
        assert_eq!((html.words.as_str(), html.is_certain), ("O'Brien & María & Co; &bogus;", false));
        let mac = undo("MarÌa PeÒaloza").unwrap();
        assert_eq!((mac.words.as_str(), mac.is_certain), ("María Peñaloza", false));
    }

    #[test]
    fn real_names_are_left() {
        for name in [
            "María",
            "Ciarán O’Dowd",
            "Žofia Dvořáková",
            "Łucja",
            "Дмитрий",
            "Ελένη",
            "अनीता",
            "ليلى",
            "João",
            "Nguyễn Thị Ánh",
            "Sørenß",
            "山田　太郎",
            "Ærø Ãngela",
            "McÉwan",
            "Zoë & Björk",
            "Ñandú",
        ] {
            assert_eq!(undo(name), None, "{name}");
            assert!(!has_lost_letters(name));
        }
    }

    #[test]
    fn lost_letters_are_seen() {
        assert!(has_lost_letters("Mar\u{fffd}a"));
        assert!(has_lost_letters("Mar?a"));
        assert!(!has_lost_letters("Maria?"));
    }

    proptest! {
        /// Whatever name is read wrongly as one of the encodings, undoing it gives the name.
        #[test]
        fn undoing_gives_back_what_was_read_wrongly(name in "[A-Z][a-zá-öø-ÿ]{1,6}[áéíóúñüøß][a-z]{0,4}( [A-Z][a-zà-öø-ÿ]{1,8})?") {
            let (read, _) = WINDOWS_1252.decode_without_bom_handling(name.as_bytes());
            prop_assert_eq!(undo(&read), certain(&name));
        }
    }

    /// Names of the HTML standard, from memory.
    #[test]
    fn letters_that_stand_as_a_web_page_writes_them_are_known() {
        for (written, meant) in [
            ("Jos&eacute; Lee", "José Lee"),
            ("Pe&ntilde;aloza", "Peñaloza"),
            ("Fran&ccedil;ois", "François"),
            ("&Aring;sa Bj&ouml;rk", "Åsa Björk"),
            ("Gro&szlig;", "Groß"),
            ("&Scaron;&aacute;rka", "Šárka"),
            ("O&rsquo;Brien &amp; Co", "O’Brien & Co"),
        ] {
            let undone = undo(written).unwrap_or_else(|| panic!("{written}"));
            assert_eq!((undone.words.as_str(), undone.is_html), (meant, true));
        }
        for sound in ["Salt & Pepper; Co", "A&B; C", "Lee &xacute; Ray", "&acute;"] {
            assert_eq!(undo(sound), None, "{sound}");
        }
    }
}

//! Names that are nearly the same: whether two rows may mean one person.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A name as it is compared: without accents, capitals, punctuation and white space around its words.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Folded {
    words: Vec<String>,
}

impl Folded {
    pub fn of(name: &str) -> Self {
        if name.is_ascii() {
            return Self::of_plain(name);
        }
        let mut words = vec![String::new()];
        // Compatibility forms too: full-width letters and ligatures.
        for c in name.nfkd().flat_map(char::to_lowercase).filter(|&c| !is_combining_mark(c)) {
            match c {
                c if c.is_alphanumeric() => words.last_mut().expect("never empty").extend(plain_letter(c)),
                // O’Dowd, Odowd and O Dowd differ by more than a reader would swear to; so does D. from D.
                '\'' | '’' | '‘' | '`' | '´' | 'ʻ' | 'ʼ' => {}
                _ => words.push(String::new()),
            }
        }
        words.retain(|word| !word.is_empty());
        Self { words }
    }

    /// The same of a name in ASCII, as most of a long roster are.
    fn of_plain(name: &str) -> Self {
        let name = name.replace(['\'', '`'], "").to_ascii_lowercase();
        let words = name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
        Self { words: words.map(str::to_owned).collect() }
    }

    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }

    /// The words in the order of the alphabet: “Ortega, Jon” and “Jon Ortega” have one key.
    pub fn key(&self) -> String {
        let mut words: Vec<&str> = self.words.iter().map(String::as_str).collect();
        words.sort_unstable();
        words.join(" ")
    }
}

/// A letter without the strokes that are no accents of their own in Unicode.
fn plain_letter(c: char) -> impl Iterator<Item = char> {
    let plain = match c {
        'ø' => "o",
        'ł' => "l",
        'đ' | 'ð' => "d",
        'ı' => "i",
        'ß' => "ss",
        'æ' => "ae",
        'œ' => "oe",
        'þ' => "th",
        _ => "",
    };
    plain.chars().chain(plain.is_empty().then_some(c))
}

/// Whether two names may be one person's, given that something else speaks for it (one e-mail address):
/// the same words in another order, one more name between, an initial or a short form for the first
/// name, or a slip of the hand in one word.
pub fn are_near(left: &Folded, right: &Folded) -> bool {
    if left.is_empty() || right.is_empty() {
        return false;
    }
    if left.key() == right.key() || left.words.concat() == right.words.concat() {
        return true;
    }
    let (shorter, longer) = if left.words.len() <= right.words.len() { (left, right) } else { (right, left) };
    if shorter.words.len() > 1 && shorter.words.iter().all(|word| longer.words.contains(word)) {
        return true;
    }
    let ends = |name: &Folded| (name.words[0].clone(), name.words[name.words.len() - 1].clone());
    let ((first, last), (other_first, other_last)) = (ends(left), ends(right));
    if left.words.len() == 1 || right.words.len() == 1 {
        return left.words.len() == right.words.len() && is_slip(&first, &other_first);
    }
    (last == other_last && (is_short_for(&first, &other_first) || is_slip(&first, &other_first)))
        || (first == other_first && is_slip(&last, &other_last))
}

/// An initial or the beginning of a name: “J” and “Jon” for “Jonathan”.
fn is_short_for(left: &str, right: &str) -> bool {
    left.starts_with(right) || right.starts_with(left)
}

/// One letter lost, added, swapped or mistaken; two in a long word.
fn is_slip(left: &str, right: &str) -> bool {
    let shortest = left.chars().count().min(right.chars().count());
    let reach = match shortest {
        0..3 => 0,
        3..8 => 1,
        _ => 2,
    };
    reach > 0 && strsim::osa_distance(left, right) <= reach
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(left: &str, right: &str) -> bool {
        are_near(&Folded::of(left), &Folded::of(right))
    }

    #[test]
    fn one_person_written_in_two_ways_is_near() {
        for (left, right) in [
            ("Jon Ortega", "John Ortega"),
            ("J. Ortega", "John Ortega"),
            ("Jon Ortega", "Jonathan Ortega"),
            ("Ortega, John", "John Ortega"),
            ("JOHN ORTEGA", "John Ortega"),
            ("Maria Penaloza", "María Peñaloza"),
            ("Ana Ruiz", "Ana María Ruiz"),
            ("Ana Ruiz", "Ana Ruiz-Lopez"),
            ("Siobhan OHanrahan", "Siobhán O'Hanrahan"),
            ("Wendell Achterberg", "Wendell Acterburg"),
            ("Soren Thor", "Søren Thor"),
            ("De Luca Ana", "Deluca Ana"),
        ] {
            assert!(near(left, right), "{left} / {right}");
        }
    }

    #[test]
    fn a_family_is_not_one_person() {
        for (left, right) in [
            ("Ana Ruiz", "Luis Ruiz"),
            ("Ana Ruiz", "Ana Gomez"),
            ("Theo Abbott", "Lena Abbott"),
            ("Ana", "Luis"),
            ("Ana", "Ana Ruiz"),
            ("Bo Li", "Jo Li"),
            ("", "Ana"),
        ] {
            assert!(!near(left, right), "{left} / {right}");
        }
    }
}

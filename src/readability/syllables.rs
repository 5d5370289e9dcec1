//! Syllables of English words, by rules of spelling and a short list of words that they get wrong.

use crate::languages;

/// Parts of compounds before which an e is silent: "horseback", "campfires", "safely".
const SECOND_PARTS: [&str; 24] = [
    "ly", "ful", "fully", "less", "ness", "ment", "ments", "back", "wood", "work", "ware", "man", "men",
    "time", "times", "thing", "where", "fore", "line", "lines", "place", "side", "shoe", "hair",
];

/// The syllables of a word; figures and what has no vowel have one.
pub fn syllables(word: &str) -> usize {
    let parts = word.split(['-', '\u{2010}', '\u{2011}']);
    let of_part = |part: &str| {
        let letters: String = part.to_lowercase().chars().filter(char::is_ascii_alphabetic).collect();
        if letters.is_empty() { 0 } else { of_letters(&letters) }
    };
    parts.map(of_part).sum::<usize>().max(1)
}

fn of_letters(word: &str) -> usize {
    if let Some(count) = odd(word) {
        return count;
    }
    if let Some((first, second)) = compound(word) {
        return of_letters(first) + of_letters(second);
    }
    let letters = word.as_bytes();
    (groups(letters) + parted(word)).saturating_sub(silent_ending(word)).max(1)
}

/// Of a word that the rules get wrong; forms with an s follow it.
fn odd(word: &str) -> Option<usize> {
    let listed = |word: &str| languages::syllables().get(word).copied();
    listed(word).or_else(|| word.strip_suffix('s').and_then(listed))
}

/// A word whose first part ends on a silent e.
fn compound(word: &str) -> Option<(&str, &str)> {
    SECOND_PARTS.iter().find_map(|part| {
        let first = word.strip_suffix(part)?;
        let [.., before, consonant, b'e'] = first.as_bytes() else { return None };
        let syllabic = *consonant == b'l' && !is_vowel(*before);
        (!is_vowel(*consonant) && !syllabic).then_some((first, *part))
    })
}

fn is_vowel(letter: u8) -> bool {
    matches!(letter, b'a' | b'e' | b'i' | b'o' | b'u' | b'y')
}

/// Runs of vowels; a y between two of them opens a new one ("layer").
fn groups(word: &[u8]) -> usize {
    let mut count = 0;
    for (at, letter) in word.iter().enumerate() {
        let after_vowel = at > 0 && is_vowel(word[at - 1]);
        let opens = *letter == b'y' && after_vowel && word.get(at + 1).is_some_and(|next| is_vowel(*next));
        if is_vowel(*letter) && (!after_vowel || opens) {
            count += 1;
        }
    }
    count
}

/// 1 where the word ends on an e that is not spoken: "ride", "rides", "tied".
fn silent_ending(word: &str) -> usize {
    let Some((stem, ending)) = ["es", "ed", "e"]
        .iter()
        .find_map(|ending| word.strip_suffix(ending).map(|stem| (stem.as_bytes(), *ending)))
    else {
        return 0;
    };
    let (last, before) = match stem {
        [.., before, last] => (*last, *before),
        _ => return 0,
    };
    if is_vowel(last) {
        return 0;
    }
    // "table", "tables", "settled" keep a syllable by their l; "curl" and "owl" have it already.
    let keeps_l = last == b'l' && !is_vowel(before) && before != b'l';
    let is_spoken = match ending {
        "e" => keeps_l && !matches!(before, b'r' | b'w'),
        "es" if last == b'h' => matches!(before, b'c' | b's'),
        "es" => matches!(last, b's' | b'x' | b'z' | b'c' | b'g') || keeps_l && !matches!(before, b'r' | b'w'),
        _ => matches!(last, b't' | b'd') || keeps_l,
    };
    usize::from(!is_spoken)
}

/// Neighboring vowels that are spoken apart: "radio", "dryer", "quiet", "mutual", "going".
fn parted(word: &str) -> usize {
    let inside = (0..word.len()).filter(|at| parts_at(&word[..*at], &word[*at..])).count();
    inside + usize::from(word.ends_with("ism"))
}

/// Whether two vowels at the start of `rest` are spoken apart, after what stands `before` them.
fn parts_at(before: &str, rest: &str) -> bool {
    let after = |letters: &[char]| before.ends_with(letters);
    // "million", "nation", "special", "familiar": the i is a consonant or belongs to the one before.
    let i_stays = before.ends_with("ll") || after(&['c', 't', 's', 'g', 'x']);
    let pairs = ["iet", "iest", "iu", "uou", "ying", "iing", "oing", "eing"];
    match rest.as_bytes() {
        [b'i', b'a', b'n' | b'r', ..] if after(&['l']) => false,
        [b'i', b'a', ..] => !i_stays && !rest.starts_with("iag"),
        [b'i', b'o', ..] => !i_stays && !after(&['n']),
        [b'u', b'a', ..] => !after(&['g', 'q']) && !rest.starts_with("uar"),
        [b'u', b'i', b'n', b'g', ..] => !after(&['g', 'q']),
        [b'e', b'o', ..] => !before.is_empty() && !rest.starts_with("eou") && rest != "eon",
        [b'i', b'e', b'r'] | [b'i', b'e', b'r', b's'] => !after(&['r', 'n', 'd']),
        _ => pairs.iter().any(|pair| rest.starts_with(pair)),
    }
}

#[cfg(test)]
mod tests {
    use super::syllables;

    #[test]
    fn endings_compounds_and_neighbors_are_counted_as_spoken() {
        let words = [
            ("ride", 1),
            ("rides", 1),
            ("tied", 1),
            ("wanted", 2),
            ("table", 2),
            ("tables", 2),
            ("settled", 2),
            ("horses", 2),
            ("horse's", 2),
            ("horseback", 2),
            ("safely", 2),
            ("management", 3),
            ("layer", 2),
            ("radio", 3),
            ("nation", 2),
            ("million", 2),
            ("quiet", 2),
            ("mutual", 3),
            ("going", 2),
            ("tourism", 3),
            ("don't", 1),
            ("six-foot", 2),
            ("1,200", 1),
            ("lb", 1),
            ("the", 1),
            ("a", 1),
        ];
        let wrong: Vec<_> = words.iter().filter(|(word, count)| syllables(word) != *count).collect();
        assert!(
            wrong.is_empty(),
            "{:?}",
            wrong.iter().map(|(word, _)| (word, syllables(word))).collect::<Vec<_>>()
        );
    }
}

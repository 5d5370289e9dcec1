//! Sizes of what is given to wear: which ones there are, and which one a cell means.

/// The sizes where the program names none.
pub const USUAL: [&str; 7] = ["XS", "S", "M", "L", "XL", "2XL", "3XL"];

/// The same as they are called in Mexico.
pub const IN_MEXICO: [&str; 7] = ["XCH", "CH", "M", "G", "XG", "2XG", "3XG"];

/// The sizes where a program in a language of a country names none.
pub fn usual(language: &str) -> &'static [&'static str] {
    if language.eq_ignore_ascii_case("es-MX") { &IN_MEXICO } else { &USUAL }
}

/// Other ways in which people write the usual sizes in English. Common usage, no source, here and below.
const OTHERWISE: [(&str, &str); 20] = [
    ("extra small", "XS"),
    ("xsmall", "XS"),
    ("x small", "XS"),
    ("sm", "S"),
    ("small", "S"),
    ("med", "M"),
    ("medium", "M"),
    ("lg", "L"),
    ("large", "L"),
    ("xlarge", "XL"),
    ("x large", "XL"),
    ("extra large", "XL"),
    ("xxl", "2XL"),
    ("2x", "2XL"),
    ("xx large", "2XL"),
    ("2x large", "2XL"),
    ("xxxl", "3XL"),
    ("3x", "3XL"),
    ("xxx large", "3XL"),
    ("3x large", "3XL"),
];

/// The same in the Spanish of Mexico.
const OTHERWISE_IN_MEXICO: [(&str, &str); 16] = [
    ("xch", "XS"),
    ("extra chica", "XS"),
    ("ch", "S"),
    ("chica", "S"),
    ("chico", "S"),
    ("mediana", "M"),
    ("mediano", "M"),
    ("g", "L"),
    ("gde", "L"),
    ("grande", "L"),
    ("xg", "XL"),
    ("extra grande", "XL"),
    ("xxg", "2XL"),
    ("2xg", "2XL"),
    ("3xg", "3XL"),
    ("xxxg", "3XL"),
];

/// The size that a cell means, as the program's list has it; `None` where it is not on the list.
/// Capitals, hyphens and dots do not count.
pub fn meant<'s, S: AsRef<str>>(cell: &str, sizes: &'s [S]) -> Option<&'s str> {
    let plain = plain(cell);
    let find = |wanted: &str| sizes.iter().map(AsRef::as_ref).find(|size| self::plain(size) == wanted);
    find(&plain).or_else(|| {
        let otherwise = other_ways().find(|(words, _)| *words == plain).map(|(_, usual)| usual);
        let usual = otherwise.or_else(|| USUAL.into_iter().find(|usual| self::plain(usual) == plain))?;
        // A program may call it XXL.
        let same = other_ways().filter(|(_, other)| *other == usual).map(|(words, _)| words);
        find(&usual.to_lowercase()).or_else(|| same.into_iter().find_map(find))
    })
}

/// Whether a cell is a size as it is called in Mexico, and is none in English.
pub fn is_of_mexico(cell: &str) -> bool {
    let plain = plain(cell);
    IN_MEXICO.iter().filter(|size| **size != "M").any(|size| self::plain(size) == plain)
        || OTHERWISE_IN_MEXICO.iter().any(|(words, _)| *words == plain)
}

fn other_ways() -> impl Iterator<Item = (&'static str, &'static str)> {
    OTHERWISE.into_iter().chain(OTHERWISE_IN_MEXICO)
}

fn plain(words: &str) -> String {
    let words: String = words.chars().map(|c| if matches!(c, '-' | '.' | '_') { ' ' } else { c }).collect();
    words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_known_however_they_are_written() {
        for (cell, size) in [("m", "M"), ("Medium", "M"), ("X-Large", "XL"), ("XXL", "2XL"), (" 3xl ", "3XL")]
        {
            assert_eq!(meant(cell, &USUAL), Some(size), "{cell}");
        }
        for (cell, size) in [("CH", "S"), ("Grande", "L"), ("g", "L"), ("XG", "XL"), ("mediana", "M")] {
            assert_eq!(meant(cell, &USUAL), Some(size), "{cell}");
        }
        assert_eq!(meant("Small", &["CH", "M", "G"]), Some("CH"));
        assert_eq!(meant("XXL", &["S", "XXL"]), Some("XXL"));
        assert_eq!(meant("2XL", &["S", "XXL"]), Some("XXL"));
        for (cell, size) in
            [("S", "CH"), ("G", "G"), ("large", "G"), ("2XL", "2XG"), ("XS", "XCH"), ("m", "M")]
        {
            assert_eq!(meant(cell, usual("es-MX")), Some(size), "{cell}");
        }
        assert_eq!(usual("es-US"), USUAL);
        assert!(["CH", "g", "XG", "Chica", "2XG"].into_iter().all(is_of_mexico));
        assert!(!["M", "S", "L", "XL", "medium", ""].into_iter().any(is_of_mexico));
        assert_eq!(meant("youth m", &["Youth M"]), Some("Youth M"));
        for cell in ["", "M/L", "44", "??"] {
            assert_eq!(meant(cell, &USUAL), None, "{cell}");
        }
    }
}

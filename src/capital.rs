//! Words with a capital first.

/// The same words with their first letter as a capital.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::capital;

    #[test]
    fn the_first_letter_becomes_a_capital() {
        assert_eq!(capital("lead length"), "Lead length");
        assert_eq!(capital("éclair"), "Éclair");
        assert_eq!(capital(""), "");
    }
}

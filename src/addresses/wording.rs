//! The words of an address line, compared in capitals and printed as they were written.

/// A word without its full stops, as written and in capitals.
#[derive(Clone, Debug)]
pub(super) struct Word {
    pub given: String,
    pub key: String,
}

/// Words without full stops (but those of a number), the pound sign by itself.
pub(super) fn words(text: &str) -> Vec<Word> {
    text.replace('#', " # ").split_whitespace().map(Word::new).filter(|word| !word.key.is_empty()).collect()
}

impl Word {
    fn new(written: &str) -> Self {
        let is_decimal = written.trim_end_matches('.').bytes().all(|it| it.is_ascii_digit() || it == b'.');
        let given =
            if is_decimal { written.trim_end_matches('.').to_owned() } else { written.replace('.', "") };
        Self { key: given.to_uppercase(), given }
    }

    pub fn has_digit(&self) -> bool {
        self.key.bytes().any(|it| it.is_ascii_digit())
    }

    pub fn is(&self, known: &[&str]) -> bool {
        known.contains(&self.key.as_str())
    }

    /// A standard word with the capitals of the writer: `Ave`, or `AVE` in a line of capitals.
    pub fn like(&self, standard: &str) -> String {
        let shouts = self.given.chars().count() > 1 && self.given == self.key;
        if shouts { standard.to_owned() } else { titled(standard) }
    }
}

fn titled(standard: &str) -> String {
    let (first, rest) = standard.split_at(1);
    format!("{first}{}", rest.to_lowercase())
}

pub(super) fn given(words: &[Word]) -> String {
    words.iter().map(|word| word.given.as_str()).collect::<Vec<_>>().join(" ")
}

pub(super) fn has_digit(words: &[Word]) -> bool {
    words.iter().any(Word::has_digit)
}

/// The words after one of these beginnings.
pub(super) fn after<'w>(words: &'w [Word], beginnings: &[&str]) -> Option<&'w [Word]> {
    beginnings.iter().find_map(|beginning| {
        let count = beginning.split(' ').count();
        let begins = words.len() >= count
            && words.iter().zip(beginning.split(' ')).all(|(word, known)| word.key == known);
        begins.then(|| &words[count..])
    })
}

/// What goes before a number and says nothing.
pub(super) fn after_number_sign(words: &[Word]) -> &[Word] {
    match words {
        [sign, rest @ ..] if sign.is(&["#", "NO", "NUMBER"]) && !rest.is_empty() => rest,
        _ => words,
    }
}

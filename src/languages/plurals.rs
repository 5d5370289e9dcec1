//! One and many of a word, by a language's endings and its plurals whose form no ending tells.

use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// How a language makes many of one.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct Plurals {
    /// The first that fits.
    endings: Vec<Ending>,
    /// Endings that look like those of many and are none.
    kept: Vec<String>,
    irregular: BTreeMap<String, String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Ending {
    many: String,
    one: String,
    /// How many letters the word has at least.
    letters: usize,
}

impl Plurals {
    /// A word in lower case as it is of one, for comparing: what is no word may come out of what is no plural, but
    /// the same of one and of many.
    pub fn one<'w>(&'w self, word: &'w str) -> Cow<'w, str> {
        if let Some(one) = self.irregular.get(word) {
            return Cow::Borrowed(one);
        }
        let is_kept = self.kept.iter().any(|end| word.ends_with(end.as_str()));
        let letters = word.chars().count();
        let mut endings = self.endings.iter().filter(|ending| !is_kept && letters >= ending.letters);
        let one = endings.find_map(|ending| Some((word.strip_suffix(ending.many.as_str())?, &ending.one)));
        match one {
            Some((stem, end)) if end.is_empty() => Cow::Borrowed(stem),
            Some((stem, end)) => Cow::Owned(format!("{stem}{end}")),
            None => Cow::Borrowed(word),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::languages::of_or_none;

    #[test]
    fn many_become_one_by_the_words_of_their_language() {
        for (tag, many, one) in [
            ("en", "batteries", "battery"),
            ("en", "branches", "branch"),
            ("en", "sizes", "size"),
            ("en", "hooves", "hoof"),
            ("en", "ties", "tie"),
            ("en", "grass", "grass"),
            ("es", "pies", "pie"),
            ("es", "noches", "noche"),
            ("es", "luces", "luz"),
            ("es", "crisis", "crisis"),
            ("de", "ropes", "ropes"),
        ] {
            assert_eq!(of_or_none(tag).plurals.one(many), one, "{tag}: {many}");
        }
    }
}

//! On which pages some words stand, found among the words of pages that were laid out.
//!
//! Letters and digits are compared and nothing else: not case, marks, or where a line breaks. Words that are not found
//! have no page, for a page that is guessed is worse than none.

use super::said::{GAP, Said};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Pages of one sentence that are told at most: what stands on more is no place.
const MOST: usize = 12;

/// All words of a piece's pages, to be looked up.
pub struct PageWords {
    /// The letters of all pages, without what stands between words.
    letters: String,
    /// Where each page ends in them.
    ends: Vec<usize>,
    /// Where each word begins in them.
    words: HashMap<String, Vec<usize>>,
    /// Where a word begins or ends in them.
    bounds: Vec<bool>,
}

impl PageWords {
    pub fn of(pages: &[String]) -> Self {
        let (mut letters, mut ends) = (String::new(), Vec::new());
        let mut words: HashMap<String, Vec<usize>> = HashMap::new();
        let mut starts = Vec::new();
        for page in pages {
            for word in words_of(page) {
                starts.push(letters.len());
                words.entry(word.clone()).or_default().push(letters.len());
                letters.push_str(&word);
            }
            ends.push(letters.len());
        }
        let mut bounds = vec![false; letters.len() + 1];
        starts.iter().for_each(|start| bounds[*start] = true);
        bounds[letters.len()] = true;
        Self { letters, ends, words, bounds }
    }

    /// How many pages there are.
    pub fn count(&self) -> usize {
        self.ends.len()
    }

    /// The pages, from 1, on which words stand as they are, whole; none where they are not found.
    pub fn pages_of(&self, says: &str) -> BTreeSet<usize> {
        let whole = self.find(&words_of(says).collect::<Vec<_>>());
        if !whole.is_empty() || !says.contains(GAP) {
            return whole;
        }
        // The cells of a row, which may stand in any order.
        let mut cells = says.split(GAP).map(|cell| {
            let words: Vec<String> = words_of(cell).collect();
            // A count is printed without its name.
            match words.as_slice() {
                [name, number] if number.bytes().all(|it| it.is_ascii_digit()) && self.find(&words).is_empty() => {
                    let _ = name;
                    self.find(&words[1..])
                }
                words => self.find(words),
            }
        });
        let first = cells.next().unwrap_or_default();
        let common = cells.fold(first, |common, here| &common & &here);
        // On several pages it may be other words that are alike.
        if common.len() == 1 { common } else { BTreeSet::new() }
    }

    /// Whether words, or of a row any cell of some length, stand anywhere.
    pub fn has(&self, says: &str) -> bool {
        if !self.pages_of(says).is_empty() {
            return true;
        }
        let is_there = |cell: &str| {
            let words: Vec<String> = words_of(cell).collect();
            let number = words.last().filter(|last| words.len() == 2 && last.bytes().all(|it| it.is_ascii_digit()));
            !self.find(&words).is_empty()
                || number.is_some_and(|number| !self.find(std::slice::from_ref(number)).is_empty())
        };
        says.split(GAP).any(is_there)
    }

    /// By the rarest of the words.
    fn find(&self, words: &[String]) -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        let letters = words.concat();
        let mut offset = 0;
        let mut rarest: Option<(usize, &[usize])> = None;
        for word in words {
            if let Some(at) = self.words.get(word)
                && rarest.is_none_or(|(_, known)| at.len() < known.len())
            {
                rarest = Some((offset, at));
            }
            offset += word.len();
        }
        let Some((offset, candidates)) = rarest else { return found };
        for start in candidates.iter().filter_map(|at| at.checked_sub(offset)) {
            let end = start + letters.len();
            let is_here = self.letters.get(start..end) == Some(&*letters) && self.bounds[start] && self.bounds[end];
            if is_here {
                found.insert(self.ends.partition_point(|page| *page <= start) + 1);
                if found.len() > MOST {
                    return BTreeSet::new();
                }
            }
        }
        found
    }
}

/// Words in small letters, without marks.
fn words_of(text: &str) -> impl Iterator<Item = String> {
    let words = text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase)
}

/// The roles of what a piece says that its pages do not show: the template has no use for them. None where so little is
/// found that the pages say nothing (letters drawn in another order than they are read).
pub fn unprinted(said: &[Said], pages: &PageWords) -> BTreeSet<String> {
    let mut roles: BTreeMap<&str, bool> = BTreeMap::new();
    let mut found = 0;
    for said in said {
        let is_there = pages.has(&said.says);
        found += usize::from(is_there);
        *roles.entry(&said.role).or_default() |= is_there;
    }
    if found * 2 < said.len() {
        return BTreeSet::new();
    }
    roles.into_iter().filter(|(_, is_there)| !is_there).map(|(role, _)| role.to_owned()).collect()
}

/// The words of an HTML page as a reader has them.
pub fn words_of_html(html: &str) -> String {
    let mut words = String::with_capacity(html.len() / 2);
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        words.push_str(&rest[..at]);
        let tag = &rest[at..];
        let hidden = ["script", "style"].into_iter().find(|name| tag[1..].starts_with(name));
        let end = match hidden {
            Some(name) => tag.find(&format!("</{name}")).and_then(|at| Some(at + tag[at..].find('>')?)),
            None => tag.find('>'),
        };
        words.push(' ');
        rest = end.map_or("", |end| &tag[end + 1..]);
    }
    words.push_str(rest);
    let marks = [("&nbsp;", " "), ("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#x27;", "'"), ("&#39;", "'")];
    let words = marks.iter().fold(words, |words, (mark, letter)| words.replace(mark, letter));
    words.replace("&#x2F;", "/").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages() -> PageWords {
        PageWords::of(&[
            "Water\nBoil it for\none minute.".to_owned(),
            "Ropes\nKeep the lead rope at most ten feet, and no expe-\ndition needs more. Rope 10 ft".to_owned(),
            "Ropes again. Whistle 2 0.5 oz".to_owned(),
        ])
    }

    #[test]
    fn words_are_found_wherever_lines_break() {
        let pages = pages();
        let on = |says: &str| pages.pages_of(says).into_iter().collect::<Vec<_>>();
        assert_eq!(on("Boil it for one minute."), [1]);
        assert_eq!(on("no expedition needs more"), [2]);
        assert_eq!(on("ROPES"), [2, 3]);
        assert_eq!(on("Rope | 10 ft"), [2]);
        assert_eq!(on("Whistle | 0.5 oz | count 2"), [3]);
        for none in ["ten feet, and", "en feet", "Boil it for two minutes.", ""] {
            let is_whole = none == "ten feet, and";
            assert_eq!(on(none).is_empty(), !is_whole, "{none}");
        }
    }

    #[test]
    fn what_no_page_shows_has_a_role_that_is_not_printed() {
        let said = |says: &str, role: &str| Said { says: says.into(), role: role.into(), ..Said::default() };
        let told =
            [said("Water", "title"), said("Ropes", "title"), said("Nobody", "who"), said("minutes 7", "minutes")];
        assert_eq!(Vec::from_iter(unprinted(&told, &pages())), ["minutes", "who"]);
        assert!(unprinted(&told[2..], &pages()).is_empty(), "so little is found that nothing is known");
    }

    #[test]
    fn a_pages_words_are_without_its_code() {
        let html = "<style>p{a:b}</style><p class=x>Tie &amp; hold</p><script>let a = 1 < 2;</script><b>fast</b>";
        assert_eq!(words_of(&words_of_html(html)).collect::<Vec<_>>(), ["tie", "hold", "fast"]);
    }
}

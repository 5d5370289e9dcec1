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

    /// The pages, from 1, on which words stand whole; none where they are not found, or on so many that it says nothing.
    pub fn pages_of(&self, says: &str) -> BTreeSet<usize> {
        let words: Vec<String> = words_of(says).collect();
        let mut pages = self.find(&words);
        if pages.is_empty() && says.contains(GAP) {
            // On several pages it may be other words that are alike.
            pages = self.pages_of_row(says);
            pages = if pages.len() == 1 { pages } else { BTreeSet::new() };
        }
        if pages.is_empty() {
            pages = self.over_a_break(&words);
        }
        if pages.len() > MOST { BTreeSet::new() } else { pages }
    }

    /// Whether words are printed at all: of a sentence, which a reference to a page may stand in, one half; of a row
    /// most of its cells on one page.
    pub fn has(&self, says: &str) -> bool {
        let words: Vec<String> = words_of(says).collect();
        if !self.find(&words).is_empty() {
            return true;
        }
        if says.contains(GAP) {
            return !self.pages_of_row(says).is_empty();
        }
        match words.as_slice() {
            // A count is printed without its name.
            [_, number] if is_number(number) => !self.find(std::slice::from_ref(number)).is_empty(),
            words if words.len() > 3 => {
                let (first, second) = words.split_at(words.len().div_ceil(2));
                !self.find(first).is_empty() || !self.find(second).is_empty()
            }
            _ => false,
        }
    }

    /// The pages on which two of three cells stand, in any order. Days and counts are written in many ways.
    fn pages_of_row(&self, says: &str) -> BTreeSet<usize> {
        let (mut on, mut cells) = (BTreeMap::new(), 0);
        for cell in says.split(GAP) {
            let words: Vec<String> = words_of(cell).collect();
            if words.is_empty() || words.last().is_some_and(|last| words.len() < 4 && is_number(last)) {
                continue;
            }
            cells += 1;
            self.find(&words).into_iter().for_each(|page| *on.entry(page).or_insert(0) += 1);
        }
        on.into_iter().filter(|(_, count)| count * 3 >= cells * 2).map(|(page, _)| page).collect()
    }

    /// The two pages of a sentence that begins on one and ends on the next.
    fn over_a_break(&self, words: &[String]) -> BTreeSet<usize> {
        if words.len() < 8 {
            return BTreeSet::new();
        }
        let (first, last) = (self.find(&words[..3]), self.find(&words[words.len() - 3..]));
        let mut both = first.into_iter().filter(|page| last.contains(&(page + 1)));
        match (both.next(), both.next()) {
            (Some(page), None) => [page, page + 1].into(),
            _ => BTreeSet::new(),
        }
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
            let is_here =
                self.letters.get(start..end) == Some(&*letters) && self.bounds[start] && self.bounds[end];
            if is_here {
                let page_of = |at: usize| self.ends.partition_point(|page| *page <= at) + 1;
                found.extend([page_of(start), page_of(end - 1)]);
            }
        }
        found
    }
}

fn is_number(word: &str) -> bool {
    word.bytes().all(|it| it.is_ascii_digit())
}

/// Words in small letters, without marks.
fn words_of(text: &str) -> impl Iterator<Item = String> {
    let words = text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase)
}

/// Of what a piece says, what its pages do not show.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Unprinted {
    /// Roles that the template has no use for.
    pub roles: BTreeSet<String>,
    /// Places of others that it leaves out.
    pub others: BTreeSet<usize>,
}

/// Finds what is not printed. Nothing where so little is found that the pages say nothing: letters may be drawn in
/// another order than they are read.
pub fn unprinted(said: &[Said], pages: &PageWords) -> Unprinted {
    let there: Vec<bool> = said.iter().map(|said| said.drawn || pages.has(&said.says)).collect();
    if there.iter().filter(|there| **there).count() * 4 < said.len() {
        return Unprinted::default();
    }
    let mut roles: BTreeMap<&str, bool> = BTreeMap::new();
    for (said, there) in said.iter().zip(&there) {
        *roles.entry(&said.role).or_default() |= there;
    }
    let is_left_out = |at: &usize| !there[*at] && roles[said[*at].role.as_str()];
    let others = (0..said.len()).filter(is_left_out).collect();
    let roles =
        roles.into_iter().filter(|(_, is_there)| !is_there).map(|(role, _)| role.to_owned()).collect();
    Unprinted { roles, others }
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
    let marks =
        [("&nbsp;", " "), ("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#x27;", "'"), ("&#39;", "'")];
    let words = marks.iter().fold(words, |words, (mark, letter)| words.replace(mark, letter));
    words.replace("&#x2F;", "/").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages() -> PageWords {
        PageWords::of(&[
            "Water\nBoil it for\none minute.".to_owned(),
            "Ropes\nKeep the lead rope at most ten feet, and no expe-\ndition needs more. Rope 10 ft"
                .to_owned(),
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
        let broken =
            PageWords::of(&["Water\nA stop in the shade with".into(), "open vents does more good. 2".into()]);
        assert_eq!(
            Vec::from_iter(broken.pages_of("A stop in the shade with open vents does more good.")),
            [1, 2]
        );
        for none in ["ten feet, and", "en feet", "Boil it for two minutes.", ""] {
            let is_whole = none == "ten feet, and";
            assert_eq!(on(none).is_empty(), !is_whole, "{none}");
        }
    }

    #[test]
    fn what_no_page_shows_has_a_role_that_is_not_printed() {
        let said = |says: &str, role: &str| Said { says: says.into(), role: role.into(), ..Said::default() };
        let told = [
            said("Water", "title"),
            said("Ropes", "title"),
            said("Nobody", "who"),
            said("minutes 7", "minutes"),
        ];
        let found = unprinted(&told, &pages());
        assert_eq!(
            (Vec::from_iter(found.roles), found.others.len()),
            (vec!["minutes".into(), "who".into()], 0)
        );
        let none = unprinted(&told[2..], &pages());
        assert_eq!(none, Unprinted::default(), "so little is found that nothing is known");
        let left_out = [said("Ropes", "warning"), said("Bears can climb very well.", "warning")];
        assert_eq!(unprinted(&left_out, &pages()).others, [1].into());
        // A reference to a page stands in it.
        assert!(pages().has("Keep the lead rope (page 3) loose."));
    }

    #[test]
    fn a_pages_words_are_without_its_code() {
        let html =
            "<style>p{a:b}</style><p class=x>Tie &amp; hold</p><script>let a = 1 < 2;</script><b>fast</b>";
        assert_eq!(words_of(&words_of_html(html)).collect::<Vec<_>>(), ["tie", "hold", "fast"]);
    }
}

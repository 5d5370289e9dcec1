//! Places: where in which input file something stands.
//!
//! A [`Place`] is made once, when a file is read, and carried unchanged to whatever is said about
//! it. Line and column are worked out only when somebody is told, by [`Sources::line_column`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

/// A file of the program folder, by its path relative to that folder, with `/` between the parts.
pub type FileName = Arc<str>;

/// A range of bytes in one file of the program folder.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    pub file: FileName,
    pub range: Range<usize>,
}

/// By file, then in the order of the file.
impl Ord for Place {
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |place: &Self| (place.file.clone(), place.range.start, place.range.end);
        key(self).cmp(&key(other))
    }
}

impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Place {
    pub fn new(file: &FileName, range: Range<usize>) -> Self {
        Self { file: file.clone(), range }
    }

    /// The start of a file: for what concerns it as a whole, or a file that is not there.
    pub fn whole(file: &str) -> Self {
        Self { file: file.into(), range: 0..0 }
    }
}

/// The text of every file that was read, so that places can be turned into lines and words.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    texts: BTreeMap<FileName, Arc<str>>,
}

/// A position as an editor counts: line and column from 1, columns in Unicode scalars.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LineColumn {
    pub line: usize,
    pub column: usize,
}

impl Sources {
    pub fn add(&mut self, file: FileName, text: Arc<str>) {
        self.texts.insert(file, text);
    }

    pub fn text(&self, file: &str) -> Option<&Arc<str>> {
        self.texts.get(file)
    }

    pub fn files(&self) -> impl Iterator<Item = (&FileName, &Arc<str>)> {
        self.texts.iter()
    }

    /// Where `place` starts. A file that was not read gives line 1, column 1.
    pub fn line_column(&self, place: &Place) -> LineColumn {
        let Some(text) = self.texts.get(&place.file) else {
            return LineColumn { line: 1, column: 1 };
        };
        let start = floor_char_boundary(text, place.range.start);
        let before = &text[..start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        let mut column = before[line_start..].chars().count() + 1;
        if line_start == 0 && before.starts_with('\u{feff}') {
            column -= 1;
        }
        LineColumn { line: before.matches('\n').count() + 1, column }
    }

    /// The words that stand at `place`; empty where there are none.
    pub fn words(&self, place: &Place) -> &str {
        self.texts.get(&place.file).and_then(|text| text.get(place.range.clone())).unwrap_or("")
    }
}

fn floor_char_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_letters_and_not_bytes() {
        let mut sources = Sources::default();
        let file: FileName = "a.md".into();
        sources.add(file.clone(), "one\n½ café 6 ft\n".into());
        let start = "one\n½ café ".len();
        let place = Place::new(&file, start..start + 4);
        assert_eq!(sources.line_column(&place), LineColumn { line: 2, column: 8 });
        assert_eq!(sources.words(&place), "6 ft");
    }

    #[test]
    fn a_byte_order_mark_is_no_column() {
        let mut sources = Sources::default();
        let file: FileName = "a.toml".into();
        sources.add(file.clone(), "\u{feff}key = 1".into());
        assert_eq!(sources.line_column(&Place::new(&file, 3..6)), LineColumn { line: 1, column: 1 });
    }
}

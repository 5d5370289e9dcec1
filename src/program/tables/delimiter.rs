//! What parts the cells: a comma, a semicolon, a tab or an upright stroke.
//!
//! A first line `sep=;` says so. Else the start of the text is parted by each, and the one is taken that
//! gives most of the lines as many cells as the first line which it parts at all.

use super::records;

/// In the order in which they are preferred where nothing else tells them apart.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];
/// Bytes of the text that are looked at.
const LOOKED_AT: usize = 1 << 16;

/// The delimiter, and where the records start, given that the text starts at `mark`.
pub(super) fn find(file: &str, text: &str, mark: usize) -> (u8, usize) {
    let body = &text[mark..];
    if let Some(named) = separator_line(body) {
        return (named.0, mark + named.1);
    }
    let start = &body[..text_end(body)];
    let best = DELIMITERS
        .into_iter()
        .rev()
        .map(|delimiter| (fitness(start, delimiter), delimiter))
        .max_by_key(|(fitness, _)| *fitness);
    match best {
        Some((fitness, delimiter)) if fitness > (0, 0) => (delimiter, mark),
        _ if file.ends_with(".tsv") => (b'\t', mark),
        _ => (b',', mark),
    }
}

/// The delimiter that a first line `sep=;` names, and the length of the line with its end.
fn separator_line(body: &str) -> Option<(u8, usize)> {
    let rest = body.get(..4).filter(|start| start.eq_ignore_ascii_case("sep=")).map(|_| &body[4..])?;
    let delimiter = rest.bytes().next().filter(|byte| DELIMITERS.contains(byte))?;
    let rest = &rest[1..];
    let end = ["\r\n", "\n", "\r"].into_iter().find(|end| rest.starts_with(end))?;
    Some((delimiter, body.len() - rest.len() + end.len()))
}

/// Where the part that is looked at ends: before a line that is cut off.
fn text_end(body: &str) -> usize {
    if body.len() <= LOOKED_AT {
        return body.len();
    }
    body.as_bytes()[..LOOKED_AT]
        .iter()
        .rposition(|byte| matches!(byte, b'\n' | b'\r'))
        .map_or(body.len(), |at| at + 1)
}

/// How well a delimiter parts a text: of a thousand lines, those with as many cells as the first line
/// that it parts; then the number of cells. Zero where it parts none.
fn fitness(text: &str, delimiter: u8) -> (usize, usize) {
    let scanned = records::scan(text, 0, delimiter);
    let lengths: Vec<usize> = scanned
        .starts
        .windows(2)
        .map(|pair| (pair[1] - pair[0]) as usize)
        .filter(|length| *length > 0)
        .collect();
    let Some(cells) = lengths.iter().copied().find(|length| *length > 1) else { return (0, 0) };
    let alike = lengths.iter().filter(|length| **length == cells).count();
    let odd = scanned.strays.len().min(alike);
    (((alike - odd) * 1000 / lengths.len()).max(1), cells)
}

#[cfg(test)]
mod tests {
    use super::find;

    #[test]
    fn the_delimiter_is_the_one_that_parts_the_lines_alike() {
        for (text, delimiter) in [
            ("name,hours\nAda,3\n", b','),
            ("name;hours\nAda;3,5\nIvo;2,0\n", b';'),
            ("name;address\n\"Wren, Ada\";\"12 Mill Rd, Unit 3\"\n", b';'),
            ("name\tnote\nAda\ta, b, c\n", b'\t'),
            ("name|note\nAda|x\n", b'|'),
            ("Spring roster\n\nname,hours\nAda,3\n", b','),
            ("name\nAda\n", b','),
            ("name,notes\nAda,hay; oats; salt\nIvo,none\n", b','),
        ] {
            assert_eq!(find("x.csv", text, 0), (delimiter, 0), "{text}");
        }
    }

    #[test]
    fn a_first_line_may_name_it() {
        assert_eq!(find("x.csv", "sep=;\r\nname;a,b\r\n", 0), (b';', 7));
        assert_eq!(find("x.csv", "\u{feff}SEP=|\nname\n", 3), (b'|', 9));
        assert_eq!(find("x.csv", "sep=here,b\n1,2\n", 0), (b',', 0));
    }
}

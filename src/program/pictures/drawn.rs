//! The words that stand in a drawing: they are printed, so they are read like all other print.

use roxmltree::{Document, ParsingOptions};

/// The texts of an SVG, in the order of the file; none where it cannot be read, which the press tells.
pub(super) fn words(svg: &str) -> Vec<String> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let Ok(document) = Document::parse_with_options(svg, options) else { return Vec::new() };
    // a title and a description are read aloud, and a label in place of what is drawn
    let texts = document
        .descendants()
        .filter(|node| ["text", "foreignObject", "title", "desc"].contains(&node.tag_name().name()));
    let labels = document.descendants().filter_map(|node| node.attribute("aria-label"));
    let labels = labels.map(|label| label.split_whitespace().collect::<Vec<_>>().join(" "));
    let read = |node: roxmltree::Node| {
        let parts = node.descendants().filter(|part| part.is_text()).filter_map(|part| part.text());
        // each line of a label is an element of its own
        let words: Vec<&str> = parts.flat_map(str::split_whitespace).collect();
        words.join(" ")
    };
    texts.map(read).chain(labels).filter(|words| !words.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_read_with_their_lines_in_order() {
        let svg = "<svg xmlns='http://www.w3.org/2000/svg'><title>Ten feet</title><text>Lead rope:\n <tspan>8 ft</tspan></text><text/><g aria-label='The rail'><text>Rail</text></g></svg>";
        assert_eq!(words(svg), ["Ten feet", "Lead rope: 8 ft", "Rail", "The rail"]);
        assert_eq!(words("no drawing"), Vec::<String>::new());
    }
}

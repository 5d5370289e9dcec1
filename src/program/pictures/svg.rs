//! What an SVG must not hold: it goes onto the web as it is, and a stranger may have drawn it.
//!
//! A file that cannot be read as XML is not told here; the press says what is wrong with it.

use roxmltree::{Document, Node, ParsingOptions};

/// Elements that run something, or show another page.
const RUNNING: [&str; 6] = ["script", "handler", "iframe", "object", "embed", "listener"];

/// How many times larger than what it is for a filter may be. Laying it out takes memory and time by its area.
const MOST_TIMES: f64 = 20.0;

/// The largest measure of a filter that is given in the drawing's own units.
const MOST_UNITS: f64 = 20_000.0;

/// Why an SVG cannot be shown, to be put after "the picture".
pub(super) fn unfit(text: &str) -> Option<&'static str> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).ok()?;
    document.descendants().find_map(|node| {
        if node.pi().is_some_and(|instruction| instruction.target == "xml-stylesheet") {
            return Some(OUTSIDE);
        }
        let name = node.tag_name().name();
        let is_running = |name: &str| RUNNING.iter().any(|running| name.eq_ignore_ascii_case(running));
        if is_running(name) {
            return Some(SCRIPT);
        }
        if name == "style" && node.descendants().filter_map(|node| node.text()).any(fetches) {
            return Some(OUTSIDE);
        }
        if name == "filter" && is_oversized(node) {
            return Some("has a filter that is far larger than itself");
        }
        node.attributes().find_map(|attribute| match attribute.name().to_ascii_lowercase().as_str() {
            name if name.starts_with("on") => Some(SCRIPT),
            "href" | "src" => address_unfit(name, attribute.value()),
            _ => fetches(attribute.value()).then_some(OUTSIDE),
        })
    })
}

const SCRIPT: &str = "holds a script";
const OUTSIDE: &str = "fetches something from outside of itself";

/// A link may lead anywhere, since nothing is fetched before somebody follows it; all else stays in the file.
fn address_unfit(element: &str, address: &str) -> Option<&'static str> {
    let address: String =
        address.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect::<String>().to_lowercase();
    let starts = |starts: &[&str]| starts.iter().any(|start| address.starts_with(start));
    match element {
        _ if address.is_empty() || starts(&["#"]) => None,
        "a" if starts(&["https://", "http://", "mailto:", "tel:"]) => None,
        "a" if address.contains("script:") || starts(&["data:"]) => Some(SCRIPT),
        "a" => None,
        _ if starts(&["data:image/", "data:font/", "data:application/font", "data:application/x-font"]) => {
            None
        }
        _ if address.contains("script:") => Some(SCRIPT),
        _ => Some(OUTSIDE),
    }
}

/// Whether a style asks for something that is not in the file: `url(https://…)`, `@import`.
fn fetches(style: &str) -> bool {
    let style = style.to_lowercase();
    style.contains("@import")
        || style.split("url(").skip(1).any(|rest| {
            let rest = rest.trim_start().trim_start_matches(['"', '\'']).trim_start();
            !(rest.starts_with('#') || rest.starts_with("data:"))
        })
}

fn is_oversized(filter: Node) -> bool {
    let in_units = filter.attribute("filterUnits") == Some("userSpaceOnUse");
    let most = if in_units { MOST_UNITS } else { MOST_TIMES };
    ["x", "y", "width", "height"].iter().any(|name| {
        let Some(value) = filter.attribute(*name) else { return false };
        let value = value.trim();
        let (number, parts) = match value.strip_suffix('%') {
            Some(number) => (number, 100.0),
            None => (value.trim_end_matches(|c: char| c.is_ascii_alphabetic()), 1.0),
        };
        number.parse::<f64>().is_ok_and(|number| (number / parts).abs() > most)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(inside: &str) -> Option<&'static str> {
        unfit(&format!(
            "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' viewBox='0 0 9 9'>{inside}</svg>"
        ))
    }

    #[test]
    fn what_runs_is_refused() {
        for inside in [
            "<script>alert(1)</script>",
            "<rect onclick='alert(1)'/>",
            "<a href='java&#10;script:alert(1)'><rect/></a>",
            "<foreignObject><iframe xmlns='http://www.w3.org/1999/xhtml' src='#'/></foreignObject>",
        ] {
            assert_eq!(of(inside), Some(SCRIPT), "{inside}");
        }
    }

    #[test]
    fn what_is_fetched_is_refused() {
        for inside in [
            "<image href='http://basin.example/a.png'/>",
            "<image xlink:href='../people/roster.csv'/>",
            "<use href='other.svg#a'/>",
            "<style>@import 'a.css';</style>",
            "<rect style='fill: url(\"https://basin.example/x\")'/>",
            "<rect fill='url(other.svg#a)'/>",
        ] {
            assert_eq!(of(inside), Some(OUTSIDE), "{inside}");
        }
    }

    #[test]
    fn what_drawing_programs_write_is_taken() {
        for inside in [
            "<defs><linearGradient id='a'/></defs><rect fill='url(#a)' style='filter:url( \"#b\" )'/>",
            "<image href='data:image/png;base64,AAAA'/>",
            "<a href='https://basin.example/'><rect/></a>",
            "<style>@font-face { src: url(data:font/woff2;base64,AAAA) }</style>",
            "<filter id='b' x='-50%' y='-0.5' width='200%' height='2'><feGaussianBlur stdDeviation='3'/></filter>",
            "<switch><foreignObject width='9' height='9'><p xmlns='http://www.w3.org/1999/xhtml'>A</p></foreignObject></switch>",
        ] {
            assert_eq!(of(inside), None, "{inside}");
        }
        assert_eq!(unfit("no drawing"), None);
    }

    #[test]
    fn a_filter_beyond_measure_is_refused() {
        for inside in [
            "<filter id='a' width='1e9'/>",
            "<filter id='a' x='-1000000%'/>",
            "<filter id='a' filterUnits='userSpaceOnUse' height='1000000px'/>",
        ] {
            assert!(of(inside).is_some(), "{inside}");
        }
        assert_eq!(of("<filter id='a' filterUnits='userSpaceOnUse' width='800' height='600'/>"), None);
    }
}

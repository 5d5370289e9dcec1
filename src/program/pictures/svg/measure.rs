//! How much a drawing holds, counted before anything is made of it: parts, how deep they lie, what comes of it once
//! everything that it draws again is drawn, and how much its filters take.

use super::super::Unfit;
use super::SVG;
use crate::caught::caught;
use crate::limits;
use quick_xml::Reader;
use quick_xml::events::Event;
use roxmltree::{Document, Node, NodeId};
use std::collections::HashMap;

pub(super) const MOST_NODES: u32 = 2 * limits::SVG_PARTS as u32;

/// How many times larger than what it is for a filter may be. Laying it out takes memory and time by its area.
const MOST_TIMES: f64 = 20.0;

/// The largest measure of a filter that is given in the drawing's own units.
const MOST_UNITS: f64 = 20_000.0;

/// The farthest that a step of a filter reaches, in the drawing's units.
const MOST_REACH: f64 = 100.0;

pub(super) fn too_much(of_what: &str) -> Unfit {
    format!("has more {of_what} than a drawing may have (docs/limits.md)").into()
}

/// What would take too long to read, seen in one pass.
pub(super) fn before_parsing(text: &str) -> Result<(), Unfit> {
    check_entities(text)?;
    let mut reader = Reader::from_str(text);
    reader.config_mut().check_end_names = false;
    let (mut depth, mut parts) = (0, 0);
    loop {
        // What is wrong is told by the parser.
        let (start, opens) = match reader.read_event() {
            Ok(Event::Start(start)) => (start, true),
            Ok(Event::Empty(start)) => (start, false),
            Ok(Event::End(_)) => {
                depth -= 1;
                continue;
            }
            Ok(Event::Eof) | Err(_) => return Ok(()),
            Ok(_) => continue,
        };
        depth += i64::from(opens);
        parts += 1;
        if depth > limits::SVG_DEPTH as i64 {
            return Err(too_much("groups inside one another"));
        }
        if parts > limits::SVG_PARTS {
            return Err(too_much("parts"));
        }
        if start.attributes().with_checks(false).take(limits::SVG_ATTRIBUTES + 1).count()
            > limits::SVG_ATTRIBUTES
        {
            return Err(too_much("attributes on one part"));
        }
    }
}

/// Entities that name others, or hold parts, can make a small file a great one.
fn check_entities(text: &str) -> Result<(), Unfit> {
    const LONGEST: usize = 4096;
    const MOST_NAMED: usize = 1000;
    let Some(start) = text.find("<!DOCTYPE") else { return Ok(()) };
    let rest = &text[start..];
    if !rest.contains("<!ENTITY") {
        return Ok(());
    }
    let Some(end) = rest.find("]>").map(|end| end.max(rest.rfind("<!ENTITY").unwrap_or_default())) else {
        return Err("has a heading of entities that is never closed".into());
    };
    let heading = &rest["<!DOCTYPE".len()..end];
    let holds_parts = heading.match_indices('<').any(|(at, _)| !heading[at + 1..].starts_with('!'));
    if end > LONGEST || holds_parts || heading.contains('&') || rest[end..].matches('&').count() > MOST_NAMED
    {
        return Err("has entities that may make it far larger than it looks".into());
    }
    Ok(())
}

/// What only the parsed drawing tells.
pub(super) fn of(text: &str) -> Result<(), Unfit> {
    let document = Document::parse(text).map_err(|_| Unfit::from("cannot be read as XML"))?;
    let mut measure = Measure::new(&document);
    if measure.sheet_rules.saturating_mul(measure.elements) > limits::SVG_STYLINGS {
        return Err(too_much("rules of style for its parts"));
    }
    let letters: usize =
        document.descendants().filter(Node::is_text).filter_map(|it| it.text()).map(str::len).sum();
    if letters > limits::SVG_TEXT {
        return Err(too_much("letters"));
    }
    let drawn = measure.drawn(document.root_element(), 0)?.parts;
    if drawn > limits::SVG_DRAWN {
        return Err(too_much("parts once all that it repeats is drawn"));
    }
    if document.descendants().any(|node| node.has_tag_name((SVG, "filter"))) {
        check_filters(&document, text)?;
    }
    Ok(())
}

fn check_filters(document: &Document, text: &str) -> Result<(), Unfit> {
    for filter in document.descendants().filter(|node| node.has_tag_name((SVG, "filter"))) {
        if is_oversized(filter) {
            return Err("has a filter that is far larger than itself".into());
        }
        if filter.children().filter(Node::is_element).any(reaches_far) {
            return Err("has a filter that reaches too far (docs/limits.md)".into());
        }
    }
    // Where things lie, and so over how much a filter works, is known to who draws them.
    let drawing = caught(|| usvg::Tree::from_str(text, &usvg::Options::default()));
    let Ok(Ok(drawing)) = drawing else { return Err("cannot be drawn".into()) };
    let size = drawing.size();
    let all = f64::from(size.width()) * f64::from(size.height());
    match steps(drawing.root(), all) > limits::SVG_FILTER_STEPS as f64 {
        true => Err(too_much("steps of filters")),
        false => Ok(()),
    }
}

/// How many steps of filters are taken, each counted by how much of the drawing it works on.
fn steps(group: &usvg::Group, all: f64) -> f64 {
    /// What a step takes however small it is.
    const LEAST: f64 = 0.01;
    let mut sum = 0.0;
    let filters = group.filters().iter().map(|filter| 1 + filter.primitives().len()).sum::<usize>();
    if filters > 0 {
        let over = group.abs_layer_bounding_box();
        let share = f64::from(over.width()) * f64::from(over.height()) / all;
        sum += filters as f64 * share.max(LEAST);
    }
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => sum += steps(group, all),
            node => node.subroots(|root| sum += steps(root, all)),
        }
    }
    sum
}

/// What comes of a part.
#[derive(Clone, Copy, Default)]
struct Drawn {
    parts: u64,
    /// How many parts lie in or draw one another below it.
    height: usize,
}

struct Measure<'d, 'i> {
    named: HashMap<&'d str, Node<'d, 'i>>,
    known: HashMap<NodeId, Option<Drawn>>,
    elements: u64,
    sheet_rules: u64,
    /// What style sheets name, and so any part may draw.
    of_sheets: Vec<&'d str>,
}

impl<'d, 'i> Measure<'d, 'i> {
    fn new(document: &'d Document<'i>) -> Self {
        let elements = || document.descendants().filter(Node::is_element);
        let sheets = || {
            let sheets = elements().filter(|node| node.tag_name().name() == "style");
            sheets.flat_map(|node| node.children()).filter_map(|child| child.text())
        };
        Self {
            named: elements().filter_map(|node| Some((node.attribute("id")?, node))).collect(),
            known: HashMap::new(),
            elements: elements().count() as u64,
            sheet_rules: sheets().map(|text| text.matches('{').count() as u64).sum(),
            of_sheets: sheets().flat_map(references).collect(),
        }
    }

    /// How many parts are drawn for one, with all that it draws again. What draws itself draws nothing more.
    fn drawn(&mut self, node: Node<'d, 'i>, depth: usize) -> Result<Drawn, Unfit> {
        if let Some(known) = self.known.get(&node.id()) {
            let known = known.unwrap_or_default();
            return if depth + known.height > limits::SVG_CHAIN { Err(chain()) } else { Ok(known) };
        }
        if depth > limits::SVG_CHAIN {
            return Err(chain());
        }
        self.known.insert(node.id(), None);
        let mut sum = Drawn { parts: 1 + text_length(node), height: 0 };
        let mut add = |of: Drawn, times: u64| {
            sum.parts = sum.parts.saturating_add(of.parts.saturating_mul(times));
            sum.height = sum.height.max(of.height + 1);
        };
        for child in node.children().filter(Node::is_element) {
            add(self.drawn(child, depth + 1)?, 1);
        }
        let points = points(node);
        let mut targets: Vec<(&str, u64)> = Vec::new();
        for attribute in node.attributes() {
            if attribute.name() == "href" {
                targets.extend(attribute.value().trim().strip_prefix('#').map(|id| (id, 1)));
            }
            let times =
                if matches!(attribute.name(), "style" | "marker" | "marker-mid") { points } else { 1 };
            targets.extend(references(attribute.value()).map(|id| (id, times)));
        }
        targets.extend(self.of_sheets.iter().map(|id| (*id, points)));
        for (id, times) in targets {
            if let Some(target) = self.named.get(id).copied() {
                add(self.drawn(target, depth + 1)?, times);
            }
        }
        self.known.insert(node.id(), Some(sum));
        Ok(sum)
    }
}

fn chain() -> Unfit {
    too_much("parts that draw one another")
}

/// Every so many letters of a text count for a part.
fn text_length(node: Node) -> u64 {
    const LETTERS: u64 = 20;
    node.children().filter(Node::is_text).filter_map(|it| it.text()).map(|it| it.len() as u64 / LETTERS).sum()
}

/// How many points a line has at most: each may have a marker.
fn points(node: Node) -> u64 {
    let lines = ["d", "points"].into_iter().filter_map(|name| node.attribute(name));
    lines
        .map(|line| line.bytes().filter(|byte| !b"0123456789.".contains(byte)).count() as u64)
        .sum::<u64>()
        .max(1)
}

/// What a value names in the drawing: `url(#a)`.
fn references(value: &str) -> impl Iterator<Item = &str> {
    value.split("url(").skip(1).filter_map(|rest| {
        let rest = rest.trim_start().trim_start_matches(['"', '\'']).trim_start().strip_prefix('#')?;
        rest.split([')', '"', '\'']).next().map(str::trim)
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

/// Whether a step of a filter looks at so much around each dot, or goes over it so often, that it takes too long.
fn reaches_far(step: Node) -> bool {
    let over = |name: &str, most: f64| {
        let value = step.attribute(name).unwrap_or_default();
        let numbers = value.split([' ', ',', '\t', '\n']).filter_map(|part| part.parse::<f64>().ok());
        numbers.into_iter().any(|number| number.abs() > most)
    };
    over("radius", MOST_REACH)
        || over("stdDeviation", 10.0 * MOST_REACH)
        || over("order", 15.0)
        || over("numOctaves", 10.0)
}

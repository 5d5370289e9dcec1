//! SVG pictures: read, held to a list of what a drawing may hold, and written anew.
//!
//! An SVG goes onto the web, and a stranger may have drawn it. What is shown and printed is never the file itself
//! but what was read of it: elements and attributes by the lists in [`allowed`], styles as [`style`] parses them,
//! each letter escaped by the writer. So nothing comes through that one reader takes for something else than another:
//! a script behind a letter of another encoding, an entity, a comment, a prefix. What would run, move, or fetch
//! something is refused and told; what only a drawing program knows (its own namespaces, metadata) is left out.
//! How much a drawing may hold is counted before anything is made of it ([`measure`]).

mod allowed;
mod measure;
mod style;

use super::Unfit;
use allowed::Allowed;
use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};
use roxmltree::{Document, Node, NodeType, ParsingOptions};

const SVG: &str = "http://www.w3.org/2000/svg";
const XHTML: &str = "http://www.w3.org/1999/xhtml";
const XLINK: &str = "http://www.w3.org/1999/xlink";
const XML: &str = "http://www.w3.org/XML/1998/namespace";

const SCRIPT: &str = "holds a script";
const OUTSIDE: &str = "fetches something from outside of itself";
const MOVES: &str = "moves, and a print does not";

/// The drawing written anew, or why it cannot be shown.
pub(super) fn rewritten(bytes: &[u8]) -> Result<Vec<u8>, Unfit> {
    let text = std::str::from_utf8(bytes).map_err(|_| Unfit::from("is not written in UTF-8"))?;
    let text = text.trim_start_matches('\u{feff}');
    measure::before_parsing(text)?;
    let options =
        ParsingOptions { allow_dtd: true, nodes_limit: measure::MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(|error| unread(&error))?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) {
        return Err("is not really an SVG file".into());
    }
    if document.descendants().any(|node| node.pi().is_some_and(|it| it.target == "xml-stylesheet")) {
        return Err(OUTSIDE.into());
    }
    let mut writer = Writer::new(Vec::with_capacity(text.len()));
    element(root, &mut writer)?;
    let mut written = writer.into_inner();
    written.push(b'\n');
    // What is measured is what is shown, and not what it was written from.
    measure::of(std::str::from_utf8(&written).map_err(|_| Unfit::from("is not written in UTF-8"))?)?;
    Ok(written)
}

fn unread(error: &roxmltree::Error) -> Unfit {
    match error {
        roxmltree::Error::NodesLimitReached => measure::too_much("parts"),
        error => format!("cannot be read as XML, at line {}", error.pos().row).into(),
    }
}

/// Nothing that is written to memory fails.
fn put(writer: &mut Writer<Vec<u8>>, event: Event) {
    writer.write_event(event).unwrap_or_default();
}

/// Writes an element and what is in it. [`measure`] has seen how deep that is.
fn element(node: Node, writer: &mut Writer<Vec<u8>>) -> Result<(), Unfit> {
    let name = node.tag_name().name();
    let mut start = BytesStart::new(name);
    if node.is_root() || node.parent().is_some_and(|parent| parent.is_root()) {
        start.push_attribute(("xmlns", SVG));
    }
    attributes(node, &mut start)?;
    let is_sheet = name == "style";
    let mut children = Vec::new();
    for child in node.children() {
        if !is_sheet && is_kept(child)? {
            children.push(child);
        }
    }
    let sheet = if is_sheet { style::sheet(&text_of(node))? } else { String::new() };
    if children.is_empty() && sheet.is_empty() {
        put(writer, Event::Empty(start));
        return Ok(());
    }
    put(writer, Event::Start(start));
    put(writer, Event::Text(BytesText::new(&sheet)));
    for child in children {
        match child.node_type() {
            NodeType::Text => put(writer, Event::Text(BytesText::new(child.text().unwrap_or_default()))),
            _ => element(child, writer)?,
        }
    }
    put(writer, Event::End(BytesEnd::new(name)));
    Ok(())
}

fn text_of(node: Node) -> String {
    node.children().filter(Node::is_text).filter_map(|child| child.text()).collect()
}

/// Whether something that stands in an element is written; what may not be there is told.
fn is_kept(child: Node) -> Result<bool, Unfit> {
    if child.is_text() {
        return Ok(true);
    }
    if !child.is_element() {
        return Ok(false);
    }
    let name = child.tag_name().name();
    if let Some(running) = child.descendants().find(|node| allowed::runs(node.tag_name().name())) {
        let is_page = running.tag_name().namespace() == Some(XHTML);
        return Err(if is_page { page_in(running) } else { SCRIPT.into() });
    }
    match child.tag_name().namespace() {
        Some(SVG) => match allowed::element(name) {
            Allowed::Yes => Ok(true),
            Allowed::LeftOut => Ok(false),
            Allowed::Moves => Err(MOVES.into()),
            // What stands beside it in the switch is printed, and so it is shown.
            Allowed::No if name == "foreignObject" && child.parent().is_some_and(is_switch) => Ok(false),
            Allowed::No => Err(format!("holds <{name}>, which is no part of a drawing").into()),
        },
        Some(XHTML) => Err(page_in(child)),
        // What a drawing program keeps for itself.
        Some(_) => Ok(false),
        None => Err(format!("holds <{name}>, which is no part of a drawing").into()),
    }
}

fn page_in(node: Node) -> Unfit {
    match node.tag_name().name() {
        name @ ("script" | "iframe" | "object" | "embed") => format!("holds a script (<{name}>)").into(),
        name => format!("holds a piece of a web page (<{name}>)").into(),
    }
}

fn is_switch(node: Node) -> bool {
    node.has_tag_name((SVG, "switch"))
}

fn attributes(node: Node, start: &mut BytesStart) -> Result<(), Unfit> {
    let name = node.tag_name().name();
    let is_linked = node.attributes().any(|it| it.namespace().is_none() && it.name() == "href");
    for attribute in node.attributes() {
        let (key, value) = (attribute.name(), attribute.value());
        if key.to_ascii_lowercase().starts_with("on") && attribute.namespace().is_none() {
            return Err(SCRIPT.into());
        }
        match attribute.namespace() {
            None if key == "href" => start.push_attribute((key, address(name, value)?)),
            // What has both is meant for the newer one.
            Some(XLINK) if key == "href" && !is_linked => start.push_attribute((key, address(name, value)?)),
            Some(XML) if key == "space" || key == "lang" => {
                start.push_attribute((if key == "space" { "xml:space" } else { "xml:lang" }, value));
            }
            None if key == "style" => {
                style::check(value)?;
                start.push_attribute((key, value));
            }
            None if allowed::words(key) => start.push_attribute((key, value)),
            None if allowed::attribute(key) => {
                style::check(value)?;
                start.push_attribute((key, value));
            }
            // An address elsewhere is told, also where nobody would follow it.
            None if matches!(key, "src" | "srcset" | "action" | "formaction" | "data") => {
                return Err(OUTSIDE.into());
            }
            None | Some(_) => {}
        }
    }
    Ok(())
}

/// An address that may stand on an element. A link may lead anywhere on the web, since nothing is fetched before
/// somebody follows it; all else stays in the file.
fn address<'v>(element: &str, address: &'v str) -> Result<&'v str, Unfit> {
    let plain: String =
        address.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect::<String>().to_lowercase();
    let starts = |starts: &[&str]| starts.iter().any(|start| plain.starts_with(start));
    if plain.is_empty() || plain.starts_with('#') {
        return Ok(address.trim());
    }
    match element {
        "a" if starts(&["https://", "http://", "mailto:", "tel:"]) => Ok(address),
        "a" if plain.contains("script:") || starts(&["data:"]) => Err(SCRIPT.into()),
        "a" => Err("has a link that leads neither onto the web nor into itself".into()),
        "image" | "feImage" if starts(&["data:image/"]) => {
            inner_picture(address)?;
            Ok(address)
        }
        _ if plain.contains("script:") => Err(SCRIPT.into()),
        _ => Err(OUTSIDE.into()),
    }
}

/// A picture within the drawing is looked at as one that lies beside it.
fn inner_picture(address: &str) -> Result<(), Unfit> {
    let unread = || Unfit::from("holds a picture that cannot be read");
    let data = data_url::DataUrl::process(address.trim()).map_err(|_| unread())?;
    let kind = data.mime_type();
    if kind.type_ != "image" || !["png", "jpeg", "jpg", "gif", "webp"].contains(&kind.subtype.as_str()) {
        return Err("holds a picture that is none of PNG, JPEG, GIF and WebP".into());
    }
    let (bytes, _) = data.decode_to_vec().map_err(|_| unread())?;
    match super::raster::unfit(&bytes) {
        Some(why) => Err(format!("holds a picture that {why}").into()),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests;

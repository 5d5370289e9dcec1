//! What only laying out can tell: parts that take more than a page, letters that came out empty.
//!
//! A template marks what must fit:
//! - `#metadata((key: "water#on-the-trail", …)) <slide>` on the first page of each slide. A slide
//!   reaches to the page before the next one; more than one page is `slide-overfull`.
//! - `#metadata((key: "water", pages: 1)) <sheet-end>` at the end of a part that must fit on so many
//!   pages (1 where `pages` is not given). The part starts on the page after the one before ended, or
//!   on the first; more pages are `sheet-overfull`.
//! - `#metadata((key: "habits")) <crowded>` where letters come out too small: `sheet-crowded`.
//! - `#metadata((key: "packet-3")) <label-overfull>` where an address does not fit the label or envelope that it is
//!   for, even in the smallest letters, and is left out: `label-overfull`.
//!
//! `key` is looked up among the places of the [`Sheet`](crate::job::Sheet), so that the finding
//! stands at the lesson's line.

use crate::finding::{Finding, Place, rules};
use std::collections::BTreeMap;
use typst::foundations::{Label, Selector, Value};
use typst::introspection::{Introspector, MetadataElem};
use typst::layout::{Frame, FrameItem};
use typst::utils::PicoStr;
use typst_layout::{Page, PagedDocument};

/// Every part that takes more pages than it may or comes out too small. `unplaced` is where a key without a place is told.
pub(super) fn overfull(
    document: &PagedDocument,
    places: &[(String, Place)],
    unplaced: &Place,
) -> Vec<Finding> {
    let place_of = |key: &str| {
        places
            .iter()
            .find(|(name, _)| name == key)
            .map_or_else(|| unplaced.clone(), |(_, place)| place.clone())
    };
    let mut findings = Vec::new();

    let slides = marks(document, "slide");
    let starts = slides.iter().map(|mark| mark.page);
    let ends = starts.clone().skip(1).chain([document.pages().len() + 1]);
    for (slide, (start, end)) in slides.iter().zip(starts.zip(ends)) {
        if end > start + 1 {
            let message = format!("This slide does not fit: it runs over {} pages.", end - start);
            let mend = match slide.key.as_str() {
                "title slide" => "Shorten the names of the program, the agency and the season.",
                _ => "Shorten its lists, or part the section in two with another “##” heading.",
            };
            findings.push(Finding::of(&rules::SLIDE_OVERFULL, place_of(&slide.key), message).mend(mend));
        }
    }

    let mut ended = 0;
    for part in marks(document, "sheet-end") {
        let taken = part.page - ended;
        ended = part.page;
        if taken > part.pages {
            let message = match part.pages {
                1 => format!("This must fit on one page and takes {taken}."),
                2 => format!("This must fit on the two sides of a sheet and takes {taken} pages."),
                pages => format!("This must fit on {pages} pages and takes {taken}."),
            };
            findings.push(
                Finding::of(&rules::SHEET_OVERFULL, place_of(&part.key), message)
                    .mend("Shorten what stands on it."),
            );
        }
    }

    findings.extend(crowded(document).into_iter().map(|(_, what)| sheet_crowded(&what, place_of(&what))));

    findings
        .extend(unaddressed(document).into_iter().map(|(_, what)| label_overfull(&what, place_of(&what))));
    findings
}

/// A mark that a template set.
struct Mark {
    key: String,
    page: usize,
    /// How many pages the part may take.
    pages: usize,
}

/// The marks of a label, in the order of their pages.
fn marks(document: &PagedDocument, label: &str) -> Vec<Mark> {
    let Some(label) = Label::new(PicoStr::intern(label)) else { return Vec::new() };
    let introspector = document.introspector();
    introspector
        .query(&Selector::Label(label))
        .iter()
        .filter_map(|content| {
            let page = introspector.page(content.location()?)?.get();
            let Value::Dict(dict) = &content.to_packed::<MetadataElem>()?.value else { return None };
            let key = match dict.get("key") {
                Ok(Value::Str(key)) => key.to_string(),
                _ => String::new(),
            };
            let pages = match dict.get("pages") {
                Ok(&Value::Int(pages)) => usize::try_from(pages).unwrap_or(1),
                _ => 1,
            };
            Some(Mark { key, page, pages })
        })
        .collect()
}

/// What came out too small to be read at ease, by what it is, with the page that it stands on (from 0):
/// a template leaves `#metadata((key: "name")) <crowded>` there.
pub(super) fn crowded(document: &PagedDocument) -> Vec<(usize, String)> {
    marks(document, "crowded").into_iter().map(|mark| (mark.page - 1, mark.key)).collect()
}

/// The addresses that are left out, by their keys, with the page that each is for (from 0).
pub(super) fn unaddressed(document: &PagedDocument) -> Vec<(usize, String)> {
    marks(document, "label-overfull").into_iter().map(|mark| (mark.page - 1, mark.key)).collect()
}

/// The finding for one.
pub(super) fn label_overfull(what: &str, place: Place) -> Finding {
    let (message, mend) = match what {
        "return-address" => (
            "The return address does not fit the corner of the envelope in letters that can be read, so it is left out.",
            "Shorten its lines, or use larger envelopes.",
        ),
        "envelope" => (
            "This address does not fit its envelope in letters that can be read, so the envelope has none.",
            "Use larger envelopes, or write this one by hand.",
        ),
        _ => (
            "This address does not fit its label in letters that can be read, so the label is empty.",
            "Use larger labels, or write this one by hand.",
        ),
    };
    Finding::of(&rules::LABEL_OVERFULL, place, message).mend(mend)
}

/// The finding for it.
pub(super) fn sheet_crowded(what: &str, place: Place) -> Finding {
    if what == "habits" {
        let message =
            "On a wall chart of this size the habits come out too small to be read from two meters.";
        return Finding::of(&rules::SHEET_CROWDED, place, message)
            .mend("Shorten them, or make the chart larger: size = \"24 x 36 in\" in [wall-chart].");
    }
    if what == "leaflet" {
        let message =
            "The leaflet does not hold the habits, the contacts and the workshops in letters of 9 points.";
        return Finding::of(&rules::SHEET_OVERFULL, place, message)
            .mend("Shorten the habits' texts or the program's summary.");
    }
    if what == "leaflet-dangers" {
        let message = "The leaflet does not hold every danger of the lessons in letters of 8 points, so some are missing on it.";
        return Finding::of(&rules::SHEET_OVERFULL, place, message).mend(
            "Shorten the words after “Danger:” in the lessons; a leaflet holds about 120 words of them.",
        );
    }
    let part = match what {
        "name" => "name",
        "companion" => "name of the companion",
        "signature" => "name and title of a signature",
        "event" => "name and place of the event",
        "agency" => "name of the agency or the program",
        "title" => "title",
        "text" => "text under the name",
        other => other,
    };
    let message = format!("The {part} has so many letters that it comes out too small to be read at ease.");
    Finding::of(&rules::SHEET_CROWDED, place, message)
        .mend("Shorten it, or choose a larger design for these certificates.")
}

/// The letters of some pages that the fonts in use had no shape for, by the words that they stand in.
pub(super) fn empty_letters<'p>(pages: impl IntoIterator<Item = &'p Page>) -> BTreeMap<String, Vec<char>> {
    let mut found: BTreeMap<String, Vec<char>> = BTreeMap::new();
    for page in pages {
        walk_text(&page.frame, &mut |item| {
            for glyph in item.glyphs.iter().filter(|glyph| glyph.id == 0) {
                let letter = item.text.get(glyph.range()).and_then(|text| text.chars().next());
                let Some(letter) = letter else { continue };
                let letters = found.entry(item.text.to_string()).or_default();
                if !letters.contains(&letter) {
                    letters.push(letter);
                }
            }
        });
    }
    found
}

/// The words of each page, in the order of painting.
pub(super) fn words(document: &PagedDocument) -> Vec<String> {
    let of_page = |page: &Page| {
        let mut words = String::new();
        walk_text(&page.frame, &mut |item| {
            words.push_str(&item.text);
            words.push('\n');
        });
        words
    };
    document.pages().iter().map(of_page).collect()
}

/// Calls for every run of text in a frame, in the order of painting.
pub(super) fn walk_text(frame: &Frame, call: &mut dyn FnMut(&typst::text::TextItem)) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => walk_text(&group.frame, call),
            FrameItem::Text(text) => call(text),
            _ => {}
        }
    }
}

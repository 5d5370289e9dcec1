//! Letters in drawings: how high they come out where a piece places them.
//!
//! A drawing is made at one size and placed at another, and its labels shrink with it. Each drawing of the program on a
//! laid-out page is measured: the size of its smallest letters, times how much smaller it stands there. Below 7 points
//! on paper, and 20 points on a slide of 540 points, that is `letters-too-small`.

use crate::finding::{Finding, Place, rules};
use crate::job::Piece;
use std::collections::BTreeMap;
use typst::foundations::Bytes;
use typst::layout::{Frame, FrameItem};
use typst::visualize::{Image, ImageKind};
use typst_layout::PagedDocument;

/// The least size of letters in a drawing, in points: at reading distance (what print of forms and maps keeps to), and
/// for the last row of a room.
const ON_PAPER: f64 = 7.0;
const ON_A_SLIDE: f64 = 20.0;

/// The height of a slide that the size for slides is meant for.
const SLIDE: f64 = 540.0;

/// What differs by less is the same size: tables of typesetters round.
const NEARLY: f64 = 0.05;

/// A finding for each drawing of the program whose letters come out too small on these pages.
pub(super) fn too_small(
    document: &PagedDocument,
    piece: Piece,
    pictures: &[(String, Bytes)],
    places: &[(String, Place)],
) -> Vec<Finding> {
    // The small slides of the presenter's copy are there to be known again, not to be read.
    if pictures.is_empty() || piece == Piece::PresentersCopy {
        return Vec::new();
    }
    let is_slide = piece == Piece::Deck;
    // By the drawing: its smallest letters as they stand, and how much larger they must be.
    let mut found: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    for page in document.pages() {
        let least = if is_slide { ON_A_SLIDE * page.frame.height().to_pt() / SLIDE } else { ON_PAPER };
        walk(&page.frame, 1.0, &mut |image, height| {
            let ImageKind::Svg(drawing) = image.kind() else { return };
            let Some((name, _)) = pictures.iter().find(|(_, bytes)| bytes == drawing.data()) else { return };
            let Some(smallest) = smallest_letters(drawing.tree().root()) else { return };
            let stands = smallest * height / f64::from(drawing.tree().size().height());
            if stands + NEARLY >= least {
                return;
            }
            let (now, _) = *found.entry(name).or_insert((stands, least));
            if stands < now {
                found.insert(name, (stands, least));
            }
        });
    }
    found.into_iter().map(|(name, (stands, least))| finding(name, stands, least, is_slide, places)).collect()
}

fn finding(name: &str, stands: f64, least: f64, is_slide: bool, places: &[(String, Place)]) -> Finding {
    let place = places.iter().find(|(key, _)| key == name).map(|(_, place)| place.clone());
    let (where_it_is, for_whom) =
        if is_slide { ("on its slide", "to be read across a room") } else { ("in print", "to be read") };
    // Rounded up, so that who follows it once is done.
    let times = (least / stands * 10.0).ceil() / 10.0;
    let message = format!(
        "The smallest letters in {name} come out {stands:.1} points high {where_it_is}; they need {least:.0} points \
         {for_whom}."
    );
    Finding::of(&rules::LETTERS_TOO_SMALL, place.unwrap_or_else(|| Place::whole(name)), message)
        .says(name)
        .mend(format!(
            "Make the letters in the drawing {times:.1} times as large, or crop it to what it must show."
        ))
}

/// Every image, with the height that it has on the page.
fn walk(frame: &Frame, scale: f64, told: &mut impl FnMut(&Image, f64)) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => {
                let (sx, kx) = (group.transform.sx.get(), group.transform.kx.get());
                let (ky, sy) = (group.transform.ky.get(), group.transform.sy.get());
                walk(&group.frame, scale * (sx * sy - kx * ky).abs().sqrt(), told);
            }
            FrameItem::Image(image, size, _) => told(image, size.y.to_pt() * scale),
            _ => {}
        }
    }
}

/// The size of the smallest letters in a drawing, in its own units; `None` where it has none.
fn smallest_letters(group: &usvg::Group) -> Option<f64> {
    let sizes = group.children().iter().filter_map(|node| match node {
        usvg::Node::Group(group) => smallest_letters(group),
        usvg::Node::Text(text) => {
            let at = text.abs_transform();
            let scale = f64::from(at.sx * at.sy - at.kx * at.ky).abs().sqrt();
            let spans = text.chunks().iter().flat_map(|chunk| chunk.spans());
            let smallest = spans.map(|span| f64::from(span.font_size().get())).min_by(f64::total_cmp)?;
            Some(smallest * scale)
        }
        usvg::Node::Path(_) | usvg::Node::Image(_) => None,
    });
    sizes.min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_letters_are_found_however_deep_and_however_turned() {
        // Letters that no font has are nowhere in a drawing.
        let mut options = usvg::Options { font_family: "Andika".to_owned(), ..usvg::Options::default() };
        let font = crate::press::Theme::plain().file("type/Andika-Regular.ttf").unwrap().to_vec();
        options.fontdb_mut().load_font_data(font);
        let smallest = |inside: &str| {
            let svg = format!(
                "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 200 100' width='400' height='200'>{inside}</svg>"
            );
            smallest_letters(usvg::Tree::from_str(&svg, &options).unwrap().root())
        };
        assert_eq!(smallest("<rect width='9' height='9'/>"), None);
        // Twice as large as its own units say.
        assert_eq!(smallest("<text font-size='10' y='20'>A</text>"), Some(20.0));
        let deep = "<g transform='rotate(90) scale(0.5)'><text y='20'><tspan font-size='30'>A</tspan><tspan font-size='8'>b</tspan></text></g>";
        assert!((smallest(deep).unwrap() - 8.0).abs() < 0.001);
    }
}

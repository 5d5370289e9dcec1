//! What must hold of any text. Taken in by the fuzz target and by a property test.

use super::quantity::{self, Figure, Held, Worked, agree, halves_agree, read, read_one, say};

/// Reads a text in every way there is.
///
/// # Panics
/// Where a span lies outside of the text, off its letters, out of order or over another; or where
/// something in the reading, agreeing or saying of it panics.
pub fn holds_for(text: &str) {
    let figures = read(text);
    let mut last = 0;
    for figure in &figures {
        assert!(last <= figure.span.start && figure.span.start < figure.span.end, "{figure:?} in {text:?}");
        last = figure.span.end;
        for span in [&figure.span, &figure.alone, &figure.number, &figure.reach] {
            assert!(text.get(span.clone()).is_some(), "{span:?} in {text:?}");
        }
        holds_for_figure(figure);
    }
    for (figure, other) in figures.iter().zip(figures.iter().skip(1)) {
        agree(figure, &Held::stated(other, None));
    }
    let _ = (read_one(text), quantity::unit(text), Worked::parse(text));
}

fn holds_for_figure(figure: &Figure) {
    let held = Held::stated(figure, None);
    agree(figure, &held);
    halves_agree(figure);
    let _ = say(&held, None);
    for unit in ["m", "°C", "lb/day"].into_iter().filter_map(quantity::unit) {
        let _ = say(&held, Some(&unit));
    }
}

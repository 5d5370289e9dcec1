//! A certificate of the same look written by hand with krilla: the floor that a run is held against.
//!
//! It does as little as will do: no tags, no wrapping, no fallback fonts, places by number.

use fast_qr::{ECL, QRBuilder};
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Size, Transform};
use krilla::image::{BitsPerComponent, CustomImage, Image, ImageColorspace};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};
use krilla::{Data, Document};
use packstring::job::{Code, Correction, RunEntry, RunOfSheets};
use serde_json::Value;
use std::sync::OnceLock;

const WIDTH: f32 = 792.0;
const HEIGHT: f32 = 612.0;
const EDGE: f32 = 30.0;
const LEFT: f32 = 68.0;

struct Type {
    name: Font,
    slanted: Font,
    running: Font,
    sans: Font,
    /// The name's font once more, to measure with.
    measure: typst::text::FontInstance,
}

fn fonts() -> &'static Type {
    static TYPE: OnceLock<Type> = OnceLock::new();
    TYPE.get_or_init(|| {
        let bytes = |name: &str| std::fs::read(format!("themes/plain/type/{name}.ttf")).unwrap();
        let font = |name: &str| Font::new(Data::from(bytes(name)), 0).unwrap();
        Type {
            name: font("Vollkorn-SemiBold"),
            slanted: font("Vollkorn-Italic"),
            running: font("Vollkorn-Regular"),
            sans: font("Andika-Regular"),
            measure: typst::text::Font::new(typst::foundations::Bytes::new(bytes("Vollkorn-SemiBold")), 0)
                .unwrap()
                .instantiate(Default::default(), typst::layout::Abs::pt(72.0), &Default::default()),
        }
    })
}

pub fn single(run: &RunOfSheets, entry: &RunEntry) -> usize {
    document(run, std::slice::from_ref(entry), &entry.title)
}

pub fn all(run: &RunOfSheets) -> usize {
    document(run, &run.entries, run.data["title"].as_str().unwrap())
}

fn document(run: &RunOfSheets, entries: &[RunEntry], title: &str) -> usize {
    let mut document = Document::new();
    for entry in entries {
        let mut page = document.start_page_with(PageSettings::from_wh(WIDTH, HEIGHT).unwrap());
        let mut surface = page.surface();
        ground(&mut surface);
        words(&mut surface, &run.data, &entry.data);
        code(&mut surface, entry.code.as_ref().unwrap());
        surface.finish();
        page.finish();
    }
    document.set_metadata(Metadata::new().title(title.to_owned()).language("en".to_owned()));
    document.finish().unwrap().len()
}

fn ink(red: u8, green: u8, blue: u8) -> Option<Fill> {
    Some(Fill { paint: rgb::Color::new(red, green, blue).into(), ..Fill::default() })
}

/// Contour lines, the frame and the string of packs. Curves are filled, for stroked ones cost more.
fn ground(surface: &mut Surface) {
    surface.set_stroke(None);
    surface.set_fill(ink(200, 210, 206).map(|fill| Fill { rule: FillRule::EvenOdd, ..fill }));
    for ring in 1..12 {
        let mut path = PathBuilder::new();
        for reach in [ring as f32 * 21.0, ring as f32 * 21.0 - 0.8] {
            let at = |n: usize| {
                let turn = n as f32 * std::f32::consts::TAU / 12.0;
                let uneven = 1.0 + 0.13 * (2.0 * turn).sin();
                (650.0 + reach * 1.3 * turn.cos(), 110.0 + reach * uneven * turn.sin())
            };
            path.move_to(at(0).0, at(0).1);
            for n in 0..12 {
                let (from, to) = (at(n), at(n + 1));
                path.cubic_to(from.0, from.1, to.0, to.1, to.0, to.1);
            }
            path.close();
        }
        surface.draw_path(&path.finish().unwrap());
    }
    surface.set_fill(ink(31, 74, 61));
    let mut rope = PathBuilder::new();
    for n in 0..9 {
        let (x, y) = (EDGE + n as f32 * 81.3, HEIGHT - EDGE);
        rope.move_to(x, y);
        rope.cubic_to(x + 25.0, y + 12.0, x + 56.0, y + 12.0, x + 81.3, y);
        rope.line_to(x + 81.3, y + 1.0);
        rope.cubic_to(x + 56.0, y + 13.0, x + 25.0, y + 13.0, x, y + 1.0);
        rope.close();
    }
    surface.draw_path(&rope.finish().unwrap());
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke { paint: rgb::Color::new(31, 74, 61).into(), ..Stroke::default() }));
    let mut frame = PathBuilder::new();
    frame.move_to(EDGE, HEIGHT - EDGE);
    frame.line_to(EDGE, EDGE);
    frame.line_to(WIDTH - EDGE, EDGE);
    frame.line_to(WIDTH - EDGE, HEIGHT - EDGE);
    surface.draw_path(&frame.finish().unwrap());
    surface.set_stroke(None);
    surface.set_fill(ink(31, 74, 61));
    for n in 0..10 {
        let (x, y, side) =
            if n == 9 { (LEFT, 62.0, 54.0) } else { (EDGE + n as f32 * 81.3 + 33.0, HEIGHT - 37.5, 15.0) };
        let mut pack = PathBuilder::new();
        let high = if n == 9 { 5.5 } else { side };
        pack.push_rect(krilla::geom::Rect::from_xywh(x, y, side, high).unwrap());
        surface.draw_path(&pack.finish().unwrap());
    }
    for n in 0..2 {
        let mut rule = PathBuilder::new();
        rule.push_rect(krilla::geom::Rect::from_xywh(LEFT + n as f32 * 180.0, 520.0, 158.0, 0.8).unwrap());
        surface.draw_path(&rule.finish().unwrap());
    }
}

fn words(surface: &mut Surface, data: &Value, entry: &Value) {
    let fonts = fonts();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let name = text(&entry["name"]);
    let face = fonts.measure.ttf();
    let advance: u32 = name
        .chars()
        .map(|c| face.glyph_index(c).and_then(|glyph| face.glyph_hor_advance(glyph)).unwrap_or(500) as u32)
        .sum();
    let natural: f32 = advance as f32 / face.units_per_em() as f32;
    let size = (655.0 / natural).min(72.0);
    let (program, event) = (&data["program"], &data["event"]);
    let lines = [
        (&fonts.name, 11.5, 85.0, text(&program["agency"])),
        (&fonts.sans, 11.5, 101.0, format!("{}, {}", text(&program["name"]), text(&program["season"]))),
        (&fonts.sans, 22.0, 145.0, "Certificate of Completion".to_owned()),
        (&fonts.name, size, 245.0, name),
        (&fonts.slanted, 25.0, 290.0, format!("with {}", text(&entry["companion"]))),
        (&fonts.running, 15.5, 380.0, "has finished the workshop Trail Rider Stewards".to_owned()),
        (&fonts.running, 15.5, 402.0, "of Juniper Basin Open Lands.".to_owned()),
        (
            &fonts.sans,
            11.5,
            430.0,
            format!("{}, {}, May 16, 2026", text(&event["name"]), text(&event["place"])),
        ),
    ];
    for (font, size, y, words) in lines {
        let at = Point::from_xy(LEFT, y);
        surface.draw_text(at, font.clone(), size, &words, false, TextDirection::LeftToRight);
    }
    for (n, signature) in program["signatures"].as_array().unwrap().iter().enumerate() {
        let x = LEFT + n as f32 * 180.0;
        for (font, y, words) in
            [(&fonts.name, 533.0, &signature["name"]), (&fonts.sans, 546.0, &signature["title"])]
        {
            let at = Point::from_xy(x, y);
            surface.draw_text(at, font.clone(), 9.5, &text(words), false, TextDirection::LeftToRight);
        }
    }
    let at = Point::from_xy(655.0, 553.0);
    let number = format!("No. {}", text(&entry["number"]));
    surface.draw_text(at, fonts.sans.clone(), 8.5, &number, false, TextDirection::LeftToRight);
}

/// The modules of a code, a byte each.
pub fn modules(code: &Code) -> Vec<u8> {
    let level = match code.correction() {
        Correction::Low => ECL::L,
        Correction::Medium => ECL::M,
        Correction::Quartile => ECL::Q,
    };
    let drawn = QRBuilder::new(code.says()).ecl(level).build().unwrap();
    let row = |row: usize| drawn[row][..drawn.size].iter().map(|module| if module.value() { 0 } else { 255 });
    (0..drawn.size).flat_map(row).collect()
}

fn code(surface: &mut Surface, code: &Code) {
    let (modules, side) = (modules(code), code.size() as u32);
    let image = Image::from_custom(Luma { modules: modules.into(), side }, false).unwrap();
    let wide = 65.0;
    surface.push_transform(&Transform::from_translate(655.0, 475.0));
    surface.draw_image(image, Size::from_wh(wide, wide).unwrap());
    surface.pop();
}

#[derive(Clone, Hash)]
struct Luma {
    modules: std::sync::Arc<[u8]>,
    side: u32,
}

impl CustomImage for Luma {
    fn color_channel(&self) -> &[u8] {
        &self.modules
    }

    fn alpha_channel(&self) -> Option<&[u8]> {
        None
    }

    fn bits_per_component(&self) -> BitsPerComponent {
        BitsPerComponent::Eight
    }

    fn size(&self) -> (u32, u32) {
        (self.side, self.side)
    }

    fn icc_profile(&self) -> Option<&[u8]> {
        None
    }

    fn color_space(&self) -> ImageColorspace {
        ImageColorspace::Luma
    }
}

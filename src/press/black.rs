//! Pictures without color, for sheets that are printed in black: what a picture tells by light and dark stays.
//!
//! A drawing keeps its form, and each of its colors becomes the gray of the same brightness; a PNG or JPEG becomes
//! one of grays. Brightness is the luma of Recommendation ITU-R BT.709 (from memory), on the values as they are
//! stored, so that black stays black and white stays white.

use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use percent_encoding::{NON_ALPHANUMERIC, percent_encode};
use quick_xml::escape::escape;
use roxmltree::{Document, ParsingOptions};
use std::io::Cursor;
use std::ops::Range;
use std::str::FromStr;
use svgtypes::Color;

/// Attributes and properties whose value is a color.
const COLORED: &[&str] =
    &["color", "fill", "stroke", "stop-color", "flood-color", "lighting-color", "solid-color"];

/// How good a JPEG is written again, of 100.
const QUALITY: u8 = 92;

/// The picture in grays; as it is where it cannot be read, of which the typesetter tells.
pub(super) fn gray(bytes: &[u8]) -> Vec<u8> {
    let made = match image::guess_format(bytes) {
        Ok(format) => raster(bytes, format),
        Err(_) => std::str::from_utf8(bytes).ok().and_then(drawing),
    };
    made.unwrap_or_else(|| bytes.to_vec())
}

fn raster(bytes: &[u8], format: ImageFormat) -> Option<Vec<u8>> {
    let mut decoder = ImageReader::with_format(Cursor::new(bytes), format).into_decoder().ok()?;
    let turned = decoder.orientation().ok()?;
    let mut picture = DynamicImage::from_decoder(decoder).ok()?;
    picture.apply_orientation(turned);
    let picture = match picture.color().has_alpha() {
        true => DynamicImage::ImageLumaA8(picture.to_luma_alpha8()),
        false => DynamicImage::ImageLuma8(picture.to_luma8()),
    };
    let mut written = Cursor::new(Vec::new());
    if format == ImageFormat::Jpeg {
        let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut written, QUALITY);
        picture.write_with_encoder(encoder).ok()?;
    } else {
        picture.write_to(&mut written, ImageFormat::Png).ok()?;
    }
    Some(written.into_inner())
}

/// A drawing, with the grays written in the places of its colors.
fn drawing(text: &str) -> Option<Vec<u8>> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).ok()?;
    let mut changes: Vec<(Range<usize>, String)> = Vec::new();
    for node in document.descendants() {
        for attribute in node.attributes() {
            let new = match attribute.name() {
                "style" => declarations(attribute.value()),
                "href" => embedded(attribute.value()).unwrap_or_else(|| attribute.value().to_owned()),
                name if COLORED.contains(&name) => value(attribute.value()),
                _ => continue,
            };
            if new != attribute.value() {
                changes.push((attribute.range_value(), escape(&*new).into_owned()));
            }
        }
        if node.is_text()
            && node
                .parent()
                .is_some_and(|it| it.has_tag_name((it.tag_name().namespace().unwrap_or_default(), "style")))
        {
            let sheet = node.text().unwrap_or_default();
            changes.push((node.range(), escape(rules(sheet)).into_owned()));
        }
    }
    changes.sort_by_key(|(range, _)| range.start);
    let mut written = String::with_capacity(text.len());
    let mut from = 0;
    for (range, new) in changes {
        written.push_str(&text[from..range.start]);
        written.push_str(&new);
        from = range.end;
    }
    written.push_str(&text[from..]);
    Some(written.into_bytes())
}

/// A style sheet: what stands in braces.
fn rules(sheet: &str) -> String {
    let rule = |rule: &str| match rule.split_once('{') {
        Some((selector, inner)) => format!("{selector}{{{}", declarations(inner)),
        None => rule.to_owned(),
    };
    sheet.split('}').map(rule).collect::<Vec<_>>().join("}")
}

/// `fill: #1f4a3d; stroke-width: 2`
fn declarations(style: &str) -> String {
    let declaration = |declaration: &str| match declaration.split_once(':') {
        Some((property, of_it)) if COLORED.contains(&property.trim().to_ascii_lowercase().as_str()) => {
            format!("{property}:{}", value(of_it))
        }
        _ => declaration.to_owned(),
    };
    style.split(';').map(declaration).collect::<Vec<_>>().join(";")
}

/// A color, or a paint with a color to fall back on; what is neither stays.
fn value(text: &str) -> String {
    let (before, color) = match text.trim_start().starts_with("url(").then(|| text.split_once(')')).flatten()
    {
        Some((paint, fallback)) => (format!("{paint})"), fallback),
        None => (String::new(), text),
    };
    let (color, after) = match color.split_once("!important") {
        Some((color, _)) => (color, " !important"),
        None => (color, ""),
    };
    let Ok(color) = Color::from_str(color.trim()) else { return text.to_owned() };
    let light = luma(color.red, color.green, color.blue);
    let gray = match color.alpha {
        255 => format!("#{light:02x}{light:02x}{light:02x}"),
        alpha => format!("#{light:02x}{light:02x}{light:02x}{alpha:02x}"),
    };
    match before.is_empty() {
        true => format!("{gray}{after}"),
        false => format!("{before} {gray}{after}"),
    }
}

fn luma(red: u8, green: u8, blue: u8) -> u8 {
    let sum = 2126 * u32::from(red) + 7152 * u32::from(green) + 722 * u32::from(blue);
    u8::try_from((sum + 5000) / 10_000).unwrap_or(u8::MAX)
}

/// A picture that a drawing holds whole.
fn embedded(address: &str) -> Option<String> {
    let of_it = data_url::DataUrl::process(address).ok()?;
    let (bytes, _) = of_it.decode_to_vec().ok()?;
    let format = image::guess_format(&bytes).ok()?;
    let gray = raster(&bytes, format)?;
    let kind = if format == ImageFormat::Jpeg { "jpeg" } else { "png" };
    Some(format!("data:image/{kind},{}", percent_encode(&gray, NON_ALPHANUMERIC)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    fn drawn(text: &str) -> String {
        String::from_utf8(gray(text.as_bytes())).unwrap()
    }

    /// By hand: 0.2126 · 255 = 54.2, 0.7152 · 255 = 182.4, 0.0722 · 255 = 18.4.
    #[test]
    fn every_way_to_write_a_color_becomes_its_gray() {
        let ways =
            ["red", "#f00", "#ff0000", "rgb(255, 0, 0)", "rgb(100%, 0%, 0%)", "hsl(0, 100%, 50%)", "RED"];
        for way in ways {
            assert_eq!(value(way), "#363636", "{way}");
        }
        assert_eq!(value("lime"), "#b6b6b6");
        assert_eq!(value("blue"), "#121212");
        assert_eq!(value("url(#g) red"), "url(#g) #363636");
        assert_eq!(value("rgba(255, 0, 0, 0.5)"), "#36363680");
        for kept in ["none", "currentColor", "inherit", "url(#g)", "#ffffff", "#000000"] {
            assert_eq!(value(kept), kept);
        }
    }

    #[test]
    fn colors_are_found_in_attributes_styles_and_sheets_and_nothing_else_changes() {
        let text = "<svg xmlns=\"http://www.w3.org/2000/svg\"><style>.a{fill:red;stroke:none}b{stop-color:lime}</style>\
            <path class=\"a\" id=\"red\" d=\"M0 0\" stroke=\"red\" style=\"opacity:1;fill:blue\"/><text>red &amp; blue</text></svg>";
        let expected = "<svg xmlns=\"http://www.w3.org/2000/svg\"><style>.a{fill:#363636;stroke:none}b{stop-color:#b6b6b6}</style>\
            <path class=\"a\" id=\"red\" d=\"M0 0\" stroke=\"#363636\" style=\"opacity:1;fill:#121212\"/><text>red &amp; blue</text></svg>";
        assert_eq!(drawn(text), expected);
    }

    fn red(format: ImageFormat) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::ImageRgb8(RgbImage::from_pixel(8, 4, Rgb([255, 0, 0])))
            .write_to(&mut bytes, format)
            .unwrap();
        bytes.into_inner()
    }

    fn assert_gray(bytes: &[u8]) {
        let picture = image::load_from_memory(bytes).unwrap();
        assert_eq!((picture.width(), picture.height()), (8, 4));
        for pixel in picture.to_rgb8().pixels() {
            assert!(pixel[0] == pixel[1] && pixel[1] == pixel[2] && pixel[0].abs_diff(54) < 4, "{pixel:?}");
        }
    }

    #[test]
    fn pictures_of_dots_become_gray_wherever_they_stand() {
        for format in [ImageFormat::Png, ImageFormat::Jpeg] {
            assert_gray(&gray(&red(format)));
        }
        let within = percent_encode(&red(ImageFormat::Png), NON_ALPHANUMERIC).to_string();
        let text = drawn(&format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\"><image href=\"data:image/png,{within}\"/></svg>"
        ));
        let address = text.split('"').find(|part| part.starts_with("data:")).unwrap();
        assert_gray(&data_url::DataUrl::process(address).unwrap().decode_to_vec().unwrap().0);
    }

    #[test]
    fn what_is_no_picture_stays_for_the_typesetter_to_tell() {
        assert_eq!(gray(b"\xff\xfe\x00"), b"\xff\xfe\x00");
        assert_eq!(gray(b"<svg"), b"<svg");
    }
}

//! Pictures: whether the files that prose shows are there and are what their names say.
//!
//! Only the first bytes of a PNG or JPEG are looked at; the press reads the whole file when it prints it. An SVG
//! is read whole, for it could run or fetch something ([`svg`]).

mod drawn;
mod svg;

use super::Lesson;
use super::lesson::{Block, Inline, Item};
use super::settings::Settings;
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

/// What is at the path of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureFile {
    Sound,
    Missing,
    /// Why it cannot be shown, to be put after "the picture": `is empty`.
    Unfit(&'static str),
}

/// Looks at every picture that the lessons show, by its path in the program folder.
pub fn look(folder: &Path, lessons: &[Arc<Lesson>]) -> BTreeMap<String, PictureFile> {
    let mut names = Vec::new();
    for lesson in lessons {
        in_inlines(&lesson.title, &mut names);
        in_blocks(&lesson.opening, &mut names);
        for section in &lesson.sections {
            in_inlines(&section.heading, &mut names);
            in_blocks(&section.blocks, &mut names);
        }
    }
    names.into_iter().map(|name| (name.to_owned(), inspect(folder, name))).collect()
}

/// The words that stand in the drawings that the lessons show, by the drawing's path.
pub fn drawn_words(folder: &Path, lessons: &[Arc<Lesson>]) -> BTreeMap<String, Vec<String>> {
    let shown = look(folder, lessons).into_iter();
    let drawings =
        shown.filter(|(name, file)| *file == PictureFile::Sound && name.to_lowercase().ends_with(".svg"));
    let words = |(name, _): (String, PictureFile)| {
        let words = drawn::words(&fs::read_to_string(folder.join(&name)).ok()?);
        (!words.is_empty()).then_some((name, words))
    };
    drawings.filter_map(words).collect()
}

/// Looks at the pictures that `program.toml` names for the certificates.
pub fn named(folder: &Path, settings: Option<&Settings>) -> BTreeMap<String, PictureFile> {
    let names = settings.into_iter().flat_map(Settings::pictures);
    names.map(|name| (name.text.clone(), inspect(folder, &name.text))).collect()
}

/// The most dots of a picture, some 400 MB once it is unpacked. A poster of 24 × 36 in at 300 dots an inch has
/// 78 million.
const MOST_DOTS: u64 = 100_000_000;

/// Looks at one picture, by its path in the program folder.
pub fn inspect(folder: &Path, name: &str) -> PictureFile {
    // Far enough to reach the root element of an SVG behind its comments.
    const FIRST: u64 = 16 * 1024;
    let path = folder.join(name);
    let inside = match (folder.canonicalize(), path.canonicalize()) {
        (Ok(folder), Ok(path)) => path.starts_with(folder),
        _ => return PictureFile::Missing,
    };
    if !inside {
        return PictureFile::Unfit("lies outside of the program folder");
    }
    if !path.is_file() {
        return PictureFile::Missing;
    }
    let mut start = Vec::new();
    if File::open(&path).and_then(|file| file.take(FIRST).read_to_end(&mut start)).is_err() {
        return PictureFile::Unfit("cannot be read");
    }
    unfit(name, &start).or_else(|| unfit_inside(&path)).map_or(PictureFile::Sound, PictureFile::Unfit)
}

/// What only more than its first bytes tells of a file that is what its name says.
fn unfit_inside(path: &Path) -> Option<&'static str> {
    if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("svg")) {
        return fs::read_to_string(path).ok().as_deref().and_then(svg::unfit);
    }
    // one that cannot be measured is told by the press
    let size = imagesize::size(path).ok()?;
    (size.width as u64 * size.height as u64 > MOST_DOTS).then_some("has more than 100 million dots")
}

fn unfit(name: &str, start: &[u8]) -> Option<&'static str> {
    if start.is_empty() {
        return Some("is empty");
    }
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    match ending.as_deref() {
        Some("png") => (!start.starts_with(b"\x89PNG\r\n\x1a\n")).then_some("is no PNG file inside"),
        Some("jpg" | "jpeg") => (!start.starts_with(b"\xff\xd8\xff")).then_some("is no JPEG file inside"),
        Some("svg") => {
            let text = String::from_utf8_lossy(start);
            (!text.contains("<svg") && !text.contains(":svg")).then_some("is no SVG file inside")
        }
        _ => Some("is none of the kinds that can be printed: PNG, JPEG, SVG"),
    }
}

fn in_blocks<'l>(blocks: &'l [Block], names: &mut Vec<&'l str>) {
    for block in blocks {
        match block {
            Block::Picture(picture) => names.push(&picture.file),
            Block::Heading { inlines, .. } | Block::Paragraph { inlines, .. } => in_inlines(inlines, names),
            Block::List { items, .. } => {
                items.iter().for_each(|Item { blocks, .. }| in_blocks(blocks, names));
            }
            Block::Table { head, rows, .. } => {
                head.iter().chain(rows.iter().flatten()).for_each(|cell| in_inlines(&cell.inlines, names));
            }
            Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => in_blocks(blocks, names),
            Block::Code { .. } | Block::Rule { .. } | Block::Series(_) => {}
        }
    }
}

fn in_inlines<'l>(inlines: &'l [Inline], names: &mut Vec<&'l str>) {
    for inline in inlines {
        match inline {
            Inline::Picture(picture) => names.push(&picture.file),
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. } => in_inlines(inlines, names),
            Inline::Footnote { blocks, .. } => in_blocks(blocks, names),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_of_too_many_dots_is_never_unpacked() {
        let folder = tempfile::tempdir().unwrap();
        for (width, height, found) in [
            (10_000_u32, 10_000_u32, PictureFile::Sound),
            (200_000, 200_000, PictureFile::Unfit("has more than 100 million dots")),
        ] {
            let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
            png.extend([width.to_be_bytes(), height.to_be_bytes()].concat());
            png.extend([8, 0, 0, 0, 0, 0, 0, 0, 0]);
            fs::write(folder.path().join("a.png"), png).unwrap();
            assert_eq!(inspect(folder.path(), "a.png"), found);
        }
    }

    #[test]
    fn a_picture_must_be_what_its_name_says() {
        assert_eq!(unfit("a.svg", b"<?xml version='1.0'?>\n<svg/>"), None);
        assert_eq!(unfit("a.PNG", b"\x89PNG\r\n\x1a\nIHDR"), None);
        assert_eq!(unfit("a.jpeg", b"\xff\xd8\xff\xe0"), None);
        assert!(unfit("a.png", b"\xff\xd8\xff\xe0").is_some());
        assert!(unfit("a.svg", b"").is_some());
        assert!(unfit("a.tiff", b"II*\0").is_some());
    }
}

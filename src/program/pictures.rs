//! Pictures: whether the files that prose shows are there and are what their names say, and what is shown of them.
//!
//! Of a PNG or JPEG it is told what it takes once it is unpacked ([`raster`]); the press unpacks it when it prints it.
//! An SVG is read whole and written anew, for it could run or fetch something ([`svg`]).

mod drawn;
mod raster;
mod svg;

use super::lesson::{Block, Inline, Item};
use super::settings::Settings;
use super::{Content, Lesson};
use crate::disk;
use crate::io_error::{Refusal, refusal};
use crate::limits;
use crate::nearest::nearest;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

/// What is at the path of a picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PictureFile {
    Sound,
    /// It is not there; a file that is called nearly so is.
    Missing(Option<String>),
    /// Why it cannot be shown, to be put after "the picture": `is empty`.
    Unfit(Unfit),
}

/// Why a picture cannot be shown, to be put after "the picture".
pub type Unfit = Cow<'static, str>;

/// What is known of pictures, by their paths in the program folder.
#[derive(Clone, Debug, Default)]
pub struct Looked {
    /// What is at the path of each.
    pub files: BTreeMap<String, PictureFile>,
    /// The words that stand in those that are drawings.
    pub drawn: BTreeMap<String, Vec<String>>,
}

/// Looks at every picture that the lessons show, once, but for those of which all is `known`.
pub fn look(folder: &Path, lessons: &[Arc<Lesson>], known: Option<&Content>) -> Looked {
    let mut names = Vec::new();
    for lesson in lessons {
        in_inlines(&lesson.title, &mut names);
        in_blocks(&lesson.opening, &mut names);
        for section in &lesson.sections {
            in_inlines(&section.heading, &mut names);
            in_blocks(&section.blocks, &mut names);
        }
    }
    // A drawing that only `program.toml` named was not asked for its words.
    let is_known = |name: &str| {
        known.is_some_and(|known| {
            known.pictures.contains_key(name) && (!is_drawing(name) || known.drawn.contains_key(name))
        })
    };
    let mut looked = Looked::default();
    for name in names {
        if is_known(name) || looked.files.contains_key(name) {
            continue;
        }
        let file = match read(folder, name) {
            Ok(bytes) => {
                let drawing = std::str::from_utf8(&bytes).ok().filter(|_| is_drawing(name));
                let words = drawing.map(drawn::words).unwrap_or_default();
                if !words.is_empty() {
                    looked.drawn.insert(name.to_owned(), words);
                }
                PictureFile::Sound
            }
            Err(why) => why,
        };
        looked.files.insert(name.to_owned(), file);
    }
    looked
}

/// Looks at the pictures that `program.toml` names for the certificates, but for those that are `known`.
pub fn named(
    folder: &Path,
    settings: Option<&Settings>,
    known: &BTreeMap<String, PictureFile>,
) -> BTreeMap<String, PictureFile> {
    let names = settings.into_iter().flat_map(Settings::pictures);
    names
        .filter(|name| !known.contains_key(&name.text))
        .map(|name| (name.text.clone(), inspect(folder, &name.text)))
        .collect()
}

/// Looks at one picture, by its path in the program folder.
pub fn inspect(folder: &Path, name: &str) -> PictureFile {
    match read(folder, name) {
        Ok(_) => PictureFile::Sound,
        Err(why) => why,
    }
}

/// The bytes of one picture that are shown and printed, by its path in the program folder.
///
/// # Errors
/// It is not there, or cannot be shown.
pub fn read(folder: &Path, name: &str) -> Result<Vec<u8>, PictureFile> {
    let path = folder.join(name);
    let (Ok(root), Ok(real)) = (folder.canonicalize(), path.canonicalize()) else {
        return Err(PictureFile::Missing(called_nearly(folder, name)));
    };
    if !real.starts_with(root) {
        return Err(PictureFile::Unfit("lies outside of the program folder".into()));
    }
    if path.is_dir() {
        return Err(PictureFile::Unfit("is a folder".into()));
    }
    let file = disk::open(&path);
    if file.as_ref().is_err_and(|error| refusal(error) == Some(Refusal::Special)) {
        return Err(PictureFile::Unfit("is a pipe or a device".into()));
    }
    let is_drawing = is_drawing(name);
    let most = if is_drawing { limits::SVG_BYTES } else { limits::PICTURE_BYTES };
    let mut bytes = Vec::new();
    if file.and_then(|file| file.take(most + 1).read_to_end(&mut bytes)).is_err() {
        return Err(PictureFile::Unfit("cannot be read".into()));
    }
    let of_size = match bytes.len() as u64 > most {
        true => Err(format!("is larger than {} MB", most / 1_000_000).into()),
        false => Ok(()),
    };
    of_size.and_then(|()| shown(name, bytes, is_drawing)).map_err(PictureFile::Unfit)
}

/// So many files of a folder are looked at for one that may be meant.
const MOST_LOOKED_AT: usize = 1000;

fn is_named_as_picture(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    matches!(ending.as_deref(), Some("png" | "jpg" | "jpeg" | "svg"))
}

/// The file beside a picture's path whose name differs least: in its capitals, in a letter or two, in its ending.
fn called_nearly(folder: &Path, name: &str) -> Option<String> {
    let (inside, file) = match name.rsplit_once('/') {
        Some((inside, file)) => (Some(inside), file),
        None => (None, name),
    };
    let place = inside.map_or_else(|| folder.to_owned(), |inside| folder.join(inside));
    let entries = walkdir::WalkDir::new(place).min_depth(1).max_depth(1).sort_by_file_name();
    let names: Vec<String> = entries
        .into_iter()
        .take(MOST_LOOKED_AT)
        .filter_map(|entry| entry.ok()?.file_name().to_str().map(str::to_owned))
        .filter(|name| is_named_as_picture(name))
        .collect();
    let stem = |name: &str| name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_lowercase();
    let known = names.iter().map(String::as_str);
    let same_stem = known.clone().find(|known| stem(known) == stem(file));
    let near = same_stem.or_else(|| nearest(file, known))?;
    Some(inside.map_or_else(|| near.to_owned(), |inside| format!("{inside}/{near}")))
}

fn is_drawing(name: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, ending)| ending.eq_ignore_ascii_case("svg"))
}

/// What is shown of the bytes of a picture.
fn shown(name: &str, bytes: Vec<u8>, is_drawing: bool) -> Result<Vec<u8>, Unfit> {
    if let Some(why) = unfit(name, &bytes) {
        return Err(why.into());
    }
    if is_drawing {
        return svg::rewritten(&bytes);
    }
    match raster::unfit(&bytes) {
        Some(why) => Err(why),
        None => Ok(bytes),
    }
}

fn unfit(name: &str, start: &[u8]) -> Option<&'static str> {
    if start.is_empty() {
        return Some("is empty");
    }
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    match ending.as_deref() {
        Some("png") => (!start.starts_with(b"\x89PNG\r\n\x1a\n")).then_some("is not really a PNG file"),
        Some("jpg" | "jpeg") => (!start.starts_with(b"\xff\xd8\xff")).then_some("is not really a JPEG file"),
        Some("svg") => {
            // Far enough to reach the root element behind its comments.
            let text = String::from_utf8_lossy(&start[..start.len().min(16 * 1024)]);
            (!text.contains("<svg") && !text.contains(":svg")).then_some("is not really an SVG file")
        }
        _ => Some("is not a PNG, JPEG or SVG picture"),
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
    fn a_picture_must_be_what_its_name_says() {
        assert_eq!(unfit("a.svg", b"<?xml version='1.0'?>\n<svg/>"), None);
        assert_eq!(unfit("a.PNG", b"\x89PNG\r\n\x1a\nIHDR"), None);
        assert_eq!(unfit("a.jpeg", b"\xff\xd8\xff\xe0"), None);
        assert!(unfit("a.png", b"\xff\xd8\xff\xe0").is_some());
        assert!(unfit("a.svg", b"").is_some());
        assert!(unfit("a.tiff", b"II*\0").is_some());
    }
}

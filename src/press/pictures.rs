//! The pictures of a program: read once, and those that cannot be printed told where they are shown.

use super::engine::{Engine, Root};
use super::{black, json, pdf};
use crate::caught::caught;
use crate::finding::{Finding, Place, rules};
use crate::program::pictures::{self, PictureFile, Unfit};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use typst::foundations::Bytes;

/// The pictures of a program, each read once.
pub(super) struct Pictures {
    folder: PathBuf,
    /// Its bytes, or why it cannot be printed, to be put after "it".
    read: Mutex<BTreeMap<String, Result<Bytes, Unfit>>>,
    /// Those that were printed in black, without their colors.
    black: Mutex<BTreeMap<String, Bytes>>,
}

impl Pictures {
    pub fn new(folder: &Path) -> Self {
        Self { folder: folder.to_owned(), read: Mutex::default(), black: Mutex::default() }
    }

    pub fn forget(&self) {
        self.read.lock().unwrap_or_else(PoisonError::into_inner).clear();
        self.black.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }

    /// Nothing outside the program's folder is ever read, whatever the name says and wherever a link leads, and
    /// nothing that would take all memory to unpack.
    pub fn get(&self, name: &str) -> Result<Bytes, Unfit> {
        let below = Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        let look = || match pictures::read(&self.folder, name) {
            Ok(bytes) if below => Ok(Bytes::new(bytes)),
            Err(PictureFile::Unfit(why)) => Err(why),
            Ok(_) | Err(_) => Err(ABSENT.into()),
        };
        read.entry(name.to_owned()).or_insert_with(look).clone()
    }

    /// A picture as a sheet with this data prints it: without color where that is printed in black.
    fn printed(&self, name: &str, data: &Value) -> Result<Bytes, Unfit> {
        let bytes = self.get(name)?;
        if !is_black(data) {
            return Ok(bytes);
        }
        let mut black = self.black.lock().unwrap_or_else(PoisonError::into_inner);
        Ok(black.entry(name.to_owned()).or_insert_with(|| Bytes::new(black::gray(&bytes))).clone())
    }

    /// The pictures of a job with this data, or a finding for each that cannot be read.
    pub fn all(
        &self,
        names: &[String],
        places: &[(String, Place)],
        data: &Value,
    ) -> Result<Vec<(String, Bytes)>, Vec<Finding>> {
        let mut found = Vec::new();
        let mut findings = Vec::new();
        for name in names {
            match self.printed(name, data) {
                Ok(bytes) => found.push((name.clone(), bytes)),
                Err(why) => findings.push(unreadable(name, places, &format!("it {why}"))),
            }
        }
        if findings.is_empty() { Ok(found) } else { Err(findings) }
    }
}

/// Whether what has this data is printed in black.
pub(super) fn is_black(data: &Value) -> bool {
    data.get("ink").and_then(Value::as_str) == Some("black")
}

const ABSENT: &str = "is not there or cannot be read";

/// After a failure: which pictures are to blame, found by setting each by itself.
pub(super) fn to_blame(
    engine: &Engine,
    pictures: &[(String, Bytes)],
    places: &[(String, Place)],
) -> Vec<Finding> {
    let trial = "data/picture.typ";
    engine.place(Root::Common, trial, Bytes::from_string("#image(json(\"picture.json\"))"));
    pictures
        .iter()
        .filter_map(|(name, _)| {
            engine.place(Root::Common, "data/picture.json", json(&Value::String(format!("/program/{name}"))));
            let tried = caught(|| match engine.lay_out(Root::Common, trial) {
                Ok(document) => pdf::write_for_paper(&document, name)
                    .err()
                    .map(|_| "it cannot be written to a PDF".to_owned()),
                Err(faults) => {
                    Some(faults.first().map_or("cannot be read", |fault| &fault.message).to_owned())
                }
            });
            let why =
                tried.unwrap_or_else(|why| Some(format!("the typesetter breaks down over it ({why})")))?;
            Some(unreadable(name, places, &why))
        })
        .collect()
}

fn unreadable(name: &str, places: &[(String, Place)], why: &str) -> Finding {
    let place = places.iter().find(|(key, _)| key == name).map(|(_, place)| place.clone());
    Finding::of(
        &rules::PICTURE_UNREADABLE,
        place.unwrap_or_else(|| Place::whole(name)),
        format!("The picture {name} cannot be printed: {why}."),
    )
    .says(name)
    .mend("Save the picture again as PNG, JPEG or SVG.")
}

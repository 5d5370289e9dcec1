//! Make: jobs and a theme become bytes. The only room that typesets.
//!
//! | file | holds |
//! | --- | --- |
//! | `theme` | the theme's files, built in and replaced by a folder |
//! | `engine` | the typesetter over virtual files |
//! | `codes` | codes for telephones, drawn |
//! | `letters` | which letters the fonts have |
//! | `laid_out` | what only laying out can tell: slides that do not fit, letters that came out empty |
//! | `pdf` | from pages to a PDF |
//! | `one_by_one` | entries of one sheet that are held by themselves |
//! | `fingerprint` | what a file is made from, in one number |
//! | `run_plan`, `run` | many sheets of one template, each by itself and all in one file |
//! | `imposed` | pages of a sheet set on other sheets: booklets, tiles |
//! | `pages` | HTML |
//! | `inks` | whether inks can be read on their grounds |
//! | `unasked` | files of a theme's folder that nothing asks for |
//! | `tables` | CSV and XLSX |
//!
//! A [`Press`] is opened once with a theme and the program's folder. [`Press::plan`] says which
//! files a job gives and a fingerprint of all that each is made from; [`Press::make`] makes those
//! that are wanted and hands each on as soon as it is whole. Nothing here writes to disk.
//!
//! What people wrote reaches a template as data in virtual files, never as code.

mod codes;
mod engine;
mod error;
mod families;
mod fingerprint;
mod imposed;
mod inks;
mod laid_out;
mod letters;
mod one_by_one;
mod pages;
mod pdf;
mod run;
mod run_plan;
mod tables;
mod theme;
mod unused_files;

pub use error::{Fault, PressError};
pub use inks::too_faint;
pub use letters::Letters;
pub use theme::Theme;
pub use unused_files::unused_files;

use crate::finding::{Finding, Place, rules};
use crate::job::{Job, Make, Original, Sheet, Shelf};
use crate::program::pictures::{self, PictureFile};
use crate::words::Words;
pub(crate) use engine::{Engine, Root};
use pages::Pages;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};
use theme::{absorb, hex};
use typst::foundations::Bytes;
use typst::text::Font;
use typst_layout::PagedDocument;

/// How long the typesetter remembers what nobody asked for again, in pieces made.
const REMEMBER: usize = 5;

/// A file that a job gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Output {
    /// Below the job's shelf.
    pub path: String,
    /// Stands for all that the file is made from: equal fingerprints, equal bytes.
    pub fingerprint: String,
}

/// What is known of a job before it is made.
pub struct Planned<'j> {
    job: &'j Job,
    files: Files<'j>,
    /// Why entries of a run are not among the files: letters that no font has.
    pub held: Vec<Finding>,
}

enum Files<'j> {
    One(Output),
    Run(run_plan::Plan<'j>),
}

impl Planned<'_> {
    /// In the order in which [`Press::make`] hands them on.
    pub fn outputs(&self) -> Vec<&Output> {
        match &self.files {
            Files::One(output) => vec![output],
            Files::Run(plan) => plan.outputs(),
        }
    }
}

/// What laying out finds wrong with the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutFinding {
    pub finding: Finding,
    /// The output that tells it again when it is made again.
    pub path: String,
}

/// A file that was made.
pub struct Made<'a> {
    pub output: &'a Output,
    pub bytes: &'a [u8],
}

/// Takes each file as soon as it is whole.
pub type Put<'a> = &'a mut dyn FnMut(Made) -> io::Result<()>;

/// The press: a theme, its type, and the pictures of one program.
pub struct Press {
    theme: Arc<Theme>,
    sheets_fingerprint: String,
    pages_fingerprint: String,
    letters: Letters,
    pictures: Pictures,
    /// Kept alive from sheet to sheet, so that a change lays out anew only what it touches.
    engine: Mutex<Engine>,
    words: Words,
    pages: OnceLock<Pages>,
    /// How many threads a run may use.
    threads: usize,
    /// Whether anything that was planned takes letters from fonts of this machine.
    has_borrowed: AtomicBool,
}

impl Press {
    /// `program` is the folder that the pictures of jobs are in. Words that cannot be read are those of the
    /// built-in theme; [`Theme::words`] tells why.
    pub fn open(theme: Theme, program: &Path) -> Self {
        let theme = Arc::new(theme);
        let letters = Letters::new(&theme);
        let words = theme.words().unwrap_or_default();
        Self {
            sheets_fingerprint: theme.sheets_fingerprint(),
            pages_fingerprint: theme.pages_fingerprint(),
            pictures: Pictures { folder: program.to_owned(), read: Mutex::default() },
            engine: Mutex::new(Engine::new(&theme, &words, letters.theme().to_vec())),
            pages: OnceLock::new(),
            threads: std::thread::available_parallelism().map_or(1, usize::from),
            theme,
            letters,
            words,
            has_borrowed: AtomicBool::new(false),
        }
    }

    /// Lets runs use this many threads instead of one a core. The bytes are the same.
    pub fn with_threads(mut self, threads: usize) -> Self {
        self.threads = threads.max(1);
        self
    }

    /// A fingerprint of the whole theme.
    pub fn theme_fingerprint(&self) -> String {
        let mut hash = self.fresh_fingerprint();
        for (name, bytes) in self.theme.files() {
            absorb(&mut hash, name.as_bytes());
            absorb(&mut hash, bytes);
        }
        hex(hash)
    }

    /// Whether anything that was planned so far takes letters from fonts of this machine.
    pub fn has_borrowed(&self) -> bool {
        self.has_borrowed.load(Ordering::Relaxed)
    }

    /// Which letters can be printed.
    pub fn letters(&self) -> &Letters {
        &self.letters
    }

    /// What the theme itself says, in each language.
    pub fn words(&self) -> &Words {
        &self.words
    }

    /// The files that a job gives, and what is held before anything is laid out.
    pub fn plan<'j>(&self, job: &'j Job) -> Planned<'j> {
        match &job.make {
            Make::Run(run) => {
                let (plan, held) = run_plan::plan(self, job, run);
                Planned { job, files: Files::Run(plan), held }
            }
            make => {
                let output = Output { path: job.path.clone(), fingerprint: self.fingerprint(make) };
                Planned { job, files: Files::One(output), held: Vec::new() }
            }
        }
    }

    /// Makes those files of a job that are `wanted`. Files that cannot be made as they should be are not, and come
    /// back with why; a mistake in the theme is an error.
    pub fn make(
        &self,
        planned: &Planned,
        wanted: &dyn Fn(&Output) -> bool,
        put: Put,
    ) -> Result<Vec<LayoutFinding>, PressError> {
        match &planned.files {
            Files::One(output) if wanted(output) => self.one(planned.job, output, put),
            Files::One(_) => Ok(Vec::new()),
            Files::Run(plan) => run::make(self, planned.job, plan, wanted, put),
        }
    }

    fn one(&self, job: &Job, output: &Output, put: Put) -> Result<Vec<LayoutFinding>, PressError> {
        let (bytes, findings) = match &job.make {
            Make::Sheet(sheet) => self.sheet(job, sheet, &pdf_bytes)?,
            Make::Drawing(sheet) => self.sheet(job, sheet, &svg_bytes)?,
            Make::Imposed(imposed) => {
                let write: &Write = &|engine, _, laid_out| imposed::bytes(engine, imposed, laid_out);
                match self.sheet(job, &imposed.pages, write)? {
                    // What does not fit is told of the pages as they are by themselves.
                    (Some(bytes), _) => (Some(bytes), Vec::new()),
                    held => held,
                }
            }
            Make::Page { template, data } => {
                (Some(self.pages()?.render(&self.theme, &job.path, template, data)?), Vec::new())
            }
            Make::Tables(tables) => (Some(tables::bytes(&job.path, tables)?), Vec::new()),
            Make::Text(text) => (Some(text.clone().into_bytes()), Vec::new()),
            Make::Copy { of } => (Some(self.original(job, of)?), Vec::new()),
            Make::Run(_) => unreachable!("a run is planned as one"),
        };
        if let Some(bytes) = bytes {
            put(Made { output, bytes: &bytes })
                .map_err(|error| PressError::Put { path: job.path.clone(), error })?;
        }
        Ok(findings.into_iter().map(|finding| LayoutFinding { finding, path: job.path.clone() }).collect())
    }

    /// Lays a sheet out and gives only what that tells, for proofreading.
    pub fn measure(&self, job: &Job) -> Result<Vec<Finding>, PressError> {
        match &job.make {
            Make::Sheet(sheet) | Make::Drawing(sheet) => {
                Ok(self.sheet(job, sheet, &|_, _, _| Ok(Vec::new()))?.1)
            }
            Make::Run(run) => Ok(run_plan::plan(self, job, run).1),
            Make::Imposed(_) | Make::Page { .. } | Make::Tables(_) | Make::Text(_) | Make::Copy { .. } => {
                Ok(Vec::new())
            }
        }
    }

    fn sheet(
        &self,
        job: &Job,
        sheet: &Sheet,
        write: &Write,
    ) -> Result<(Option<Vec<u8>>, Vec<Finding>), PressError> {
        let pictures = match self.pictures(&sheet.pictures, &sheet.places) {
            Ok(pictures) => pictures,
            Err(findings) => return Ok((None, findings)),
        };
        let held = one_by_one::hold(&self.letters, job, sheet);
        let (data, held) = match &held {
            Some((data, held)) => (data, held.as_slice()),
            None => (&sheet.data, [].as_slice()),
        };
        let values = || std::iter::once(data).chain(sheet.parts.iter().map(|(_, part)| part));
        let helpers = self.letters.helpers(self.letters.outside_theme(values().flat_map(strings)));
        let with_helpers;
        let kept;
        let engine: &Engine = if helpers.is_empty() {
            kept = self.engine.lock().unwrap();
            &kept
        } else {
            with_helpers = self.engine_with(helpers);
            &with_helpers
        };

        engine.clear();
        engine.place_piece(Root::Common, data);
        for (name, part) in &sheet.parts {
            engine.place(Root::Common, &format!("data/{name}.json"), json(part));
        }
        for (name, bytes) in &pictures {
            engine.place(Root::Common, &format!("program/{name}"), bytes.clone());
        }
        let template = format!("sheets/{}", sheet.template);
        let laid_out = engine.lay_out(Root::Common, &template);
        comemo::evict(REMEMBER);

        let failed = |faults| PressError::Template { path: job.path.clone(), faults };
        let document = match laid_out {
            Ok(document) => document,
            Err(faults) => {
                let unreadable = unreadable_pictures(engine, &pictures, &sheet.places);
                return if unreadable.is_empty() { Err(failed(faults)) } else { Ok((None, unreadable)) };
            }
        };

        // What stands on a private sheet may be personal, and its place says so to who passes it on.
        let here = match job.shelf {
            Shelf::Private => Place::whole(&format!("private/{}", job.path)),
            Shelf::Open | Shelf::Staff => Place::whole(&job.path),
        };
        let mut findings = laid_out::overfull(&document, &sheet.places, &here);
        findings.extend_from_slice(held);
        let empty = laid_out::empty_letters(document.pages());
        if !empty.is_empty() {
            let held = format!("{} is held", job.path);
            let missing = |(words, letters): (String, Vec<char>)| {
                letters::letters_missing(&letters, &[&words], here.clone(), &held)
            };
            findings.extend(empty.into_iter().map(missing));
            return Ok((None, findings));
        }
        let bytes = write(engine, &template, (&document, &job.path)).map_err(failed)?;
        Ok((Some(bytes), findings))
    }

    fn pages(&self) -> Result<&Pages, PressError> {
        if self.pages.get().is_none() {
            let pages = Pages::new(&self.theme)?;
            self.pages.get_or_init(|| pages);
        }
        Ok(self.pages.get().expect("set just above"))
    }

    fn original(&self, job: &Job, of: &Original) -> Result<Vec<u8>, PressError> {
        let (name, bytes) = match of {
            Original::Theme(name) => (name, self.theme.file(name).cloned()),
            Original::Program(name) => (name, self.pictures.get(name).ok()),
        };
        bytes
            .map(|bytes| bytes.to_vec())
            .ok_or_else(|| PressError::Missing { path: job.path.clone(), file: name.clone() })
    }

    /// A typesetter that also has fonts of this machine.
    fn engine_with(&self, helpers: Vec<Font>) -> Engine {
        let fonts = self.letters.theme().iter().cloned().chain(helpers).collect();
        Engine::new(&self.theme, &self.words, fonts)
    }

    /// The pictures of a job, or a finding for each that cannot be read.
    fn pictures(
        &self,
        names: &[String],
        places: &[(String, Place)],
    ) -> Result<Vec<(String, Bytes)>, Vec<Finding>> {
        let mut found = Vec::new();
        let mut findings = Vec::new();
        for name in names {
            match self.pictures.get(name) {
                Ok(bytes) => found.push((name.clone(), bytes)),
                Err(why) => findings.push(picture_unreadable(name, places, &format!("it {why}"))),
            }
        }
        if findings.is_empty() { Ok(found) } else { Err(findings) }
    }
}

/// Turns a laid-out document, with the path it will have, into the bytes of a file.
type Write<'a> = dyn Fn(&Engine, &str, (&PagedDocument, &str)) -> Result<Vec<u8>, Vec<Fault>> + 'a;

fn pdf_bytes(
    engine: &Engine,
    template: &str,
    (document, path): (&PagedDocument, &str),
) -> Result<Vec<u8>, Vec<Fault>> {
    pdf::write(document, path).map_err(|errors| engine.faults(Root::Common, template, &errors))
}

fn svg_bytes(
    engine: &Engine,
    template: &str,
    (document, _): (&PagedDocument, &str),
) -> Result<Vec<u8>, Vec<Fault>> {
    match document.pages() {
        [page] => Ok(typst_svg::svg(page, &typst_svg::SvgOptions::default()).into_bytes()),
        pages => Err(vec![Fault {
            file: Some(engine.theme().shown(template)),
            line: 1,
            column: 1,
            message: format!("a drawing is one page, and this gives {}", pages.len()),
            hints: Vec::new(),
        }]),
    }
}

/// After a failure: which pictures are to blame, found by setting each by itself.
fn unreadable_pictures(
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
            let faults = engine.lay_out(Root::Common, trial).err()?;
            let why = faults.first().map_or("cannot be read", |fault| fault.message.as_str());
            Some(picture_unreadable(name, places, why))
        })
        .collect()
}

fn picture_unreadable(name: &str, places: &[(String, Place)], why: &str) -> Finding {
    let place = places.iter().find(|(key, _)| key == name).map(|(_, place)| place.clone());
    Finding::of(
        &rules::PICTURE_UNREADABLE,
        place.unwrap_or_else(|| Place::whole(name)),
        format!("The picture {name} cannot be printed: {why}."),
    )
    .says(name)
    .mend("Save the picture again as PNG, JPEG or SVG.")
}

/// The pictures of a program, each read once.
struct Pictures {
    folder: PathBuf,
    /// Its bytes, or why it cannot be printed, to be put after "it".
    read: Mutex<BTreeMap<String, Result<Bytes, &'static str>>>,
}

impl Pictures {
    /// Nothing outside the program's folder is ever read, whatever the name says and wherever a link leads, and
    /// nothing that would take all memory to unpack.
    fn get(&self, name: &str) -> Result<Bytes, &'static str> {
        let below = Path::new(name).components().all(|part| matches!(part, std::path::Component::Normal(_)));
        let mut read = self.read.lock().unwrap();
        let look = || match pictures::inspect(&self.folder, name) {
            PictureFile::Unfit(why) => Err(why),
            PictureFile::Sound if below => {
                std::fs::read(self.folder.join(name)).map(Bytes::new).map_err(|_| ABSENT)
            }
            PictureFile::Sound | PictureFile::Missing => Err(ABSENT),
        };
        read.entry(name.to_owned()).or_insert_with(look).clone()
    }
}

const ABSENT: &str = "is not there or cannot be read";

/// Data for a template, and for fingerprints.
///
/// The old zero-width no-break space, which forms and word processors leave behind, may not stand in an accessible PDF;
/// the word joiner shows and does the same.
fn json(value: &Value) -> Bytes {
    const OLD: &str = "\u{feff}";
    let text = serde_json::to_string(value).expect("a value is always JSON");
    Bytes::from_string(if text.contains(OLD) { text.replace(OLD, "\u{2060}") } else { text })
}

/// Every string in a value, but not the names of its keys.
fn strings(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(values) => values.iter().flat_map(strings).collect(),
        Value::Object(map) => map.values().flat_map(strings).collect(),
        _ => Vec::new(),
    }
}

//! The typesetter: virtual files in, laid-out pages out.
//!
//! typst-as-lib runs the typesetter, with what it leaves open settled here: files come from a map of
//! our own (the theme's files, and what the job lays beside them), fonts are loaded once, nothing is
//! thrown out of the cache behind our back, and there is no clock. Nothing is read from disk or net.
//! So set up it takes as long as a plain world of our own (ratio 1.0 in `benches/certificates.rs`, which
//! measures both in one run), and the plain world is not needed.
//!
//! A root is a folder of virtual files. A run gives each of its chunks a root of its own, for two
//! documents laid out under one root would give their elements the same locations, and pages of both
//! could not stand in one file.

use super::error::{Fault, line_column, said};
use super::json;
use super::theme::Theme;
use crate::caught::is_waited_for;
use crate::words::Words;
use serde_json::Value;
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::{Arc, OnceLock, RwLock};
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::ecow::EcoVec;
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::package::{PackageSpec, PackageVersion};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, World, WorldExt};
use typst_as_lib::file_resolver::FileResolver;
use typst_as_lib::{TypstEngine, TypstWorld};
use typst_layout::PagedDocument;

/// The typesetter's threads walk deeply nested content.
pub(super) const STACK: usize = 64 << 20;

/// Sets up the threads that the typesetter itself works on, once. Gives whether the system has any to give; where it
/// has none, the typesetter works on the thread that asked here first, and on no other.
pub(super) fn has_threads() -> bool {
    static HAS_THREADS: OnceLock<bool> = OnceLock::new();
    *HAS_THREADS.get_or_init(|| {
        let pool = || rayon::ThreadPoolBuilder::new().stack_size(STACK).start_handler(|_| is_waited_for());
        match pool().build_global() {
            Ok(()) => true,
            // Who has set up the threads already has settled their stacks too.
            Err(error) if std::error::Error::source(&error).is_none() => true,
            Err(_) => {
                drop(pool().num_threads(1).use_current_thread().build_global());
                false
            }
        }
    })
}

/// A folder of virtual files: the common one, or that of one chunk of a run.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Root {
    Common,
    Chunk(u32),
}

/// A typesetter with its fonts and files. Each thread has one of its own.
pub(crate) struct Engine {
    typst: TypstEngine,
    files: Arc<Files>,
    words: Words,
}

impl Engine {
    /// `fonts` in the order in which they are preferred.
    pub fn new(theme: &Arc<Theme>, words: &Words, fonts: Vec<Font>) -> Self {
        has_threads();
        let files =
            Arc::new(Files { theme: theme.clone(), placed: RwLock::default(), sources: RwLock::default() });
        let typst = TypstEngine::builder()
            .fonts(fonts)
            .add_file_resolver(Resolver(files.clone()))
            .comemo_evict_max_age(None)
            .build();
        Self { typst, files, words: words.clone() }
    }

    pub fn theme(&self) -> &Theme {
        &self.files.theme
    }

    /// Lays a file at a path of a root: `/data/piece.json`. It replaces what lay there.
    pub fn place(&self, root: Root, path: &str, bytes: Bytes) {
        if let Some(id) = file_id(root, path) {
            self.files.placed.write().unwrap().insert(id, bytes);
        }
    }

    /// Lays the data of a piece, and the theme's words in the language that it names.
    pub fn place_piece(&self, root: Root, data: &Value) {
        let language = data.pointer("/program/language").and_then(Value::as_str).unwrap_or_default();
        self.place(root, "data/piece.json", json(data));
        self.place(root, "data/words.json", json(&self.words.of(language)));
    }

    /// Takes away every file that was placed, and what was kept of the roots of chunks.
    pub fn clear(&self) {
        self.files.placed.write().unwrap().clear();
        self.files.sources.write().unwrap().retain(|id, _| *id.get().root() == VirtualRoot::Project);
    }

    /// Lays out the document of a template: `sheets/handbook.typ`.
    pub fn lay_out(&self, root: Root, template: &str) -> Result<PagedDocument, Vec<Fault>> {
        let world = self.world(root, template)?;
        typst::compile::<PagedDocument>(&world).output.map_err(|errors| self.faults_in(&world, &errors))
    }

    /// What the typesetter said, in words: for what goes wrong after the laying out.
    pub fn faults(&self, root: Root, template: &str, errors: &EcoVec<SourceDiagnostic>) -> Vec<Fault> {
        self.world(root, template).map_or_else(|fault| fault, |world| self.faults_in(&world, errors))
    }

    /// Each message with the place that it speaks of and the place in the template that led there.
    fn faults_in(&self, world: &dyn World, errors: &EcoVec<SourceDiagnostic>) -> Vec<Fault> {
        let place_of = |span| {
            let (file, line, column) = place_of(world, span)?;
            Some((self.files.theme.shown(&file), line, column))
        };
        errors
            .iter()
            .map(|error| {
                let place = place_of(error.span);
                let (message, mut hints) = said(&error.message, error.hints.iter().map(|hint| &*hint.v));
                let outer = error.trace.iter().rev().find_map(|point| place_of(point.span.into()));
                if let Some((file, line, column)) = outer.filter(|outer| place.as_ref() != Some(outer)) {
                    hints.push(format!("called from {file}:{line}:{column}"));
                }
                let (file, line, column) =
                    place.map_or((None, 1, 1), |(file, line, column)| (Some(file), line, column));
                Fault { file, line, column, message, hints }
            })
            .collect()
    }

    fn world(&self, root: Root, template: &str) -> Result<Timeless<'_>, Vec<Fault>> {
        let unnamable = || {
            vec![Fault { message: format!("no template can be called “{template}”"), ..Fault::default() }]
        };
        let main = file_id(root, template).ok_or_else(unnamable)?;
        let world = self.typst.world_builder(main).build();
        world.map(Timeless).map_err(|error| vec![Fault { message: error.to_string(), ..Fault::default() }])
    }
}

fn file_id(root: Root, path: &str) -> Option<FileId> {
    let root = match root {
        Root::Common => VirtualRoot::Project,
        Root::Chunk(number) => VirtualRoot::Package(PackageSpec {
            namespace: "packstring".into(),
            name: "chunk".into(),
            version: PackageVersion { major: 0, minor: 0, patch: number },
        }),
    };
    Some(RootedPath::new(root, VirtualPath::new(path).ok()?).intern())
}

/// The virtual files: those of the theme stand in every root, the others where they were placed.
struct Files {
    theme: Arc<Theme>,
    placed: RwLock<HashMap<FileId, Bytes>>,
    /// Templates that were parsed already. The theme does not change while a press is open.
    sources: RwLock<HashMap<FileId, Source>>,
}

struct Resolver(Arc<Files>);

impl FileResolver for Resolver {
    fn resolve_binary(&self, id: FileId) -> FileResult<Cow<'_, Bytes>> {
        let path = id.get().vpath().get_without_slash();
        let found = match self.0.placed.read().unwrap().get(&id) {
            Some(bytes) => Some(bytes.clone()),
            None => self.0.theme.file(path).cloned(),
        };
        found.map(Cow::Owned).ok_or_else(|| FileError::NotFound(path.into()))
    }

    fn resolve_source(&self, id: FileId) -> FileResult<Cow<'_, Source>> {
        if let Some(source) = self.0.sources.read().unwrap().get(&id) {
            return Ok(Cow::Owned(source.clone()));
        }
        let bytes = self.resolve_binary(id)?;
        let text = std::str::from_utf8(&bytes).map_err(|_| FileError::InvalidUtf8)?;
        let source = Source::new(id, text.trim_start_matches('\u{feff}').to_owned());
        // Data is never parsed as a template's code.
        if id.get().vpath().extension() == Some("typ") {
            self.0.sources.write().unwrap().insert(id, source.clone());
        }
        Ok(Cow::Owned(source))
    }
}

/// The typesetter's world without a clock: a sheet is the same on every day.
struct Timeless<'a>(TypstWorld<'a>);

impl World for Timeless<'_> {
    fn library(&self) -> &LazyHash<Library> {
        self.0.library()
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.0.book()
    }

    fn main(&self) -> FileId {
        self.0.main()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.0.source(id)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.0.file(id)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.0.font(index)
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// The file as the typesetter knows it, line and column.
fn place_of(world: &dyn World, span: typst::syntax::DiagSpan) -> Option<(String, usize, usize)> {
    let id = span.id()?;
    let range = world.range(span)?;
    let bytes = world.file(id).ok()?;
    let (line, column) = line_column(&String::from_utf8_lossy(&bytes), range.start);
    Some((id.get().vpath().get_without_slash().to_owned(), line, column))
}

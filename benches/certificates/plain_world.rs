//! The typesetter over a plain world: a map of virtual files and nothing else.

use packstring::job::RunOfSheets;
use packstring::press::Theme;
use std::collections::HashMap;
use std::sync::Mutex;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::model::Document;
use typst::syntax::package::{PackageSpec, PackageVersion};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

struct Plain {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    theme: Theme,
    placed: HashMap<FileId, Bytes>,
    sources: Mutex<HashMap<FileId, Source>>,
    main: FileId,
}

impl World for Plain {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if let Some(source) = self.sources.lock().unwrap().get(&id) {
            return Ok(source.clone());
        }
        let text = String::from_utf8(self.file(id)?.to_vec()).map_err(|_| FileError::InvalidUtf8)?;
        let source = Source::new(id, text);
        self.sources.lock().unwrap().insert(id, source.clone());
        Ok(source)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get().vpath().get_without_slash();
        let found = self.placed.get(&id).or_else(|| self.theme.file(path));
        found.cloned().ok_or_else(|| FileError::NotFound(path.into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn id(chunk: usize, path: &str) -> FileId {
    let version = PackageVersion { major: 0, minor: 1, patch: chunk as u32 };
    let root = VirtualRoot::Package(PackageSpec { namespace: "plain".into(), name: "chunk".into(), version });
    RootedPath::new(root, VirtualPath::new(path).unwrap()).intern()
}

/// Every entry in a file of its own, with the chunks that the press has too.
pub fn singles(run: &RunOfSheets) -> usize {
    let theme = Theme::plain();
    let fonts: Vec<Font> = theme.folder("type").flat_map(|(_, bytes)| Font::iter(bytes.clone())).collect();
    let language = run.data["program"]["language"].as_str().unwrap_or("en");
    let words = serde_json::to_vec(&*theme.words().unwrap().of(language)).unwrap();
    let mut world = Plain {
        library: LazyHash::new(Library::default()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
        theme,
        placed: HashMap::new(),
        sources: Mutex::default(),
        main: id(0, "sheets/certificate.typ"),
    };
    let mut bytes = 0;
    for (number, chunk) in run.entries.chunks(100).enumerate() {
        let entries: Vec<_> = chunk.iter().map(|entry| &entry.data).collect();
        world.main = id(number, "sheets/certificate.typ");
        world
            .placed
            .insert(id(number, "data/piece.json"), Bytes::new(serde_json::to_vec(&run.data).unwrap()));
        world
            .placed
            .insert(id(number, "data/entries.json"), Bytes::new(serde_json::to_vec(&entries).unwrap()));
        world.placed.insert(id(number, "data/words.json"), Bytes::new(words.clone()));
        for (at, entry) in chunk.iter().enumerate() {
            let modules = super::by_hand::modules(entry.code.as_ref().unwrap());
            world.placed.insert(id(number, &format!("data/codes/{at}.luma")), Bytes::new(modules));
        }
        let document: PagedDocument = typst::compile(&world).output.unwrap();
        for (page, entry) in document.pages().iter().zip(chunk) {
            let mut single =
                PagedDocument::new([page.clone()].into_iter().collect(), document.info().clone());
            single.info_mut().title = Some(entry.title.as_str().into());
            let options = PdfOptions {
                ident: Smart::Custom(entry.path.clone()),
                standards: PdfStandards::new(&[PdfStandard::Ua_1]).unwrap(),
                ..PdfOptions::default()
            };
            bytes += typst_pdf::pdf(&single, &options).unwrap().len();
        }
        comemo::evict(1);
    }
    bytes
}

//! The program that is held open, what is known of it, and what was changed at this desk.

use super::judging::Judged;
use super::watch;
use crate::digest;
use crate::finding::{FileName, Finding, Level, Sources};
use crate::people::scoring::Passed;
use crate::press::{Press, Theme};
use crate::program::Unread;
use crate::program::decisions::Decisions;
use crate::session::{
    Environment, Known, Papers, RosterChange, Session, SessionError, Shown, letters_of_roster, program_folder,
};
use crate::understand::Understood;
use notify::RecommendedWatcher;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::sync::watch::Sender;

/// The typesetter may remember so many bytes of layouts.
const MEMORY: usize = 600 << 20;
/// So many pages of lessons are kept for the pages that show them.
const DRAWN: usize = 120;
/// So many pictures of names that were typed are kept for the pages that show them.
const PICTURES: usize = 12;

/// The files of a program.
type Texts = Vec<(FileName, Arc<str>)>;

pub(super) struct Desk {
    environment: &'static Environment,
    /// Of the program; where none is chosen yet, from where one is looked for.
    folder: PathBuf,
    has_program: bool,
    /// Where the system cannot tell of changes, each page still reads the folder when it is asked for.
    watcher: Option<RecommendedWatcher>,
    into: Option<PathBuf>,
    session: Option<Session<'static>>,
    /// Why the folder could not be read when it was read last.
    trouble: Option<Trouble>,
    /// With the texts and the decisions that it was worked out from.
    view: Option<(Texts, Arc<Decisions>, Arc<View>)>,
    changes: Vec<Kept>,
    pub judged: Judged,
    pictures: VecDeque<(u64, String)>,
    /// By file and view.
    laid: BTreeMap<(String, &'static str), Laid>,
    /// By their names; the oldest first.
    drawn: VecDeque<(String, Arc<str>)>,
    counted: u64,
    version: Sender<u64>,
    /// For pages where no program can be opened.
    plain: Option<Press>,
}

/// Why the folder cannot be read.
pub(super) enum Trouble {
    Unread(Box<Unread>),
    Said(String),
}

/// What is known of the program as it was read last.
pub(super) struct View {
    /// In order.
    pub findings: Vec<Finding>,
    /// By the number of the roster's row.
    pub of_rows: BTreeMap<usize, Vec<Finding>>,
    pub papers: Papers,
    pub passed: BTreeMap<usize, Passed>,
}

/// A lesson's pages as they were drawn last.
#[derive(Clone, Default)]
pub(super) struct Laid {
    /// Stands for all that they were made from.
    pub from: String,
    /// The names of its pages.
    pub pages: Vec<String>,
    /// What laying out found.
    pub findings: Vec<Finding>,
}

/// A change that was made at this desk.
pub(super) struct Kept {
    pub number: u64,
    pub event: String,
    pub change: RosterChange,
    pub is_undone: bool,
}

impl Desk {
    pub fn open(
        named: Option<PathBuf>,
        into: Option<PathBuf>,
        environment: Environment,
    ) -> Result<Self, SessionError> {
        // It lasts as long as the desk does.
        let environment: &'static Environment = Box::leak(Box::new(environment));
        let found = match program_folder(named.as_deref(), environment) {
            // A folder without a program may be one in which a new one is to be.
            Err(_) if named.as_deref().is_some_and(is_free) => None,
            found => found?,
        };
        let start =
            || environment.folder.join(named.as_deref().unwrap_or(Path::new(""))).components().collect();
        let mut desk = Self {
            environment,
            has_program: found.is_some(),
            folder: found.unwrap_or_else(start),
            watcher: None,
            into,
            session: None,
            trouble: None,
            view: None,
            changes: Vec::new(),
            judged: Judged::default(),
            pictures: VecDeque::new(),
            laid: BTreeMap::new(),
            drawn: VecDeque::new(),
            counted: 0,
            version: Sender::new(1),
            plain: None,
        };
        if desk.has_program {
            desk.watcher = watch::watch(&desk.folder, desk.version());
            desk.look();
        }
        Ok(desk)
    }

    /// Goes on with the program of a folder.
    pub fn choose(&mut self, folder: PathBuf) {
        self.forget();
        (self.folder, self.has_program) = (folder, true);
        self.watcher = watch::watch(&self.folder, self.version());
        self.look();
    }

    pub fn has_program(&self) -> bool {
        self.has_program
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub fn out_named(&self) -> Option<PathBuf> {
        self.into.clone()
    }

    pub fn environment(&self) -> &'static Environment {
        self.environment
    }

    pub fn version(&self) -> Sender<u64> {
        self.version.clone()
    }

    pub fn version_now(&self) -> u64 {
        *self.version.borrow()
    }

    /// Reads the folder again. What cannot be read just now leaves what was read before.
    pub fn look(&mut self) {
        let today = Environment::here(false).map_or(self.environment.today, |now| now.today);
        if today != self.environment.today {
            // A desk that is left open over night.
            let Environment { folder, keys, .. } = self.environment;
            let (folder, keys) = (folder.clone(), keys.clone());
            self.environment = Box::leak(Box::new(Environment { today, folder, terminal: false, keys }));
            self.forget();
        }
        let read = match &mut self.session {
            Some(session) => session.refresh(),
            None => self.anew().map(|session| self.session = Some(session)),
        };
        self.trouble = read.err().map(|error| match error {
            SessionError::Unread(unread) => Trouble::Unread(unread),
            other => Trouble::Said(other.to_string()),
        });
    }

    fn anew(&self) -> Result<Session<'static>, SessionError> {
        let session = Session::open_to_make(Some(&self.folder), self.into.as_deref(), self.environment)?;
        let mut session = session.held(MEMORY);
        session.look_at_decisions();
        Ok(session)
    }

    /// The folder is another, though nobody else has changed it.
    pub fn has_changed(&mut self) {
        self.version.send_modify(|version| *version += 1);
    }

    /// Leaves what was read, so that it is read anew.
    pub fn forget(&mut self) {
        self.session = None;
        self.view = None;
    }

    pub fn session(&self) -> Option<&Session<'static>> {
        self.session.as_ref()
    }

    pub fn session_mut(&mut self) -> Option<&mut Session<'static>> {
        self.session.as_mut()
    }

    pub fn trouble(&self) -> Option<&Trouble> {
        self.trouble.as_ref()
    }

    /// What is known of the program; worked out once for each state of its files.
    pub fn view(&mut self) -> Result<Arc<View>, SessionError> {
        self.view_beside(|_, _| ()).0
    }

    /// The same, while other work is done with what was understood.
    pub fn view_beside<T: Send + Default>(
        &mut self,
        work: impl FnOnce(&Session, &Understood) -> T + Send,
    ) -> (Result<Arc<View>, SessionError>, T) {
        let Some(session) = &self.session else { return (Err(SessionError::said("")), T::default()) };
        let now: Texts =
            session.program().sources.files().map(|(name, text)| (name.clone(), text.clone())).collect();
        let decisions = session.program().people.decisions.clone();
        if let Some((from, decided, view)) = &self.view
            && *from == now
            && *decided == decisions
        {
            return (Ok(view.clone()), work(session, &session.understand(session.program())));
        }
        let (known, done) = session.know_beside(|understood| work(session, understood));
        let view = View::of(session, &known).map(Arc::new);
        if let Ok(view) = &view {
            self.view = Some((now, decisions, view.clone()));
        }
        (view, done)
    }

    /// The press of the program's theme, or of the built-in one where there is no program to be had.
    pub fn press(&mut self) -> &Press {
        if let Some(session) = &self.session
            && let Ok(press) = session.press()
        {
            return press;
        }
        self.plain.get_or_insert_with(|| Press::open(Theme::plain(), Path::new("")))
    }

    /// Keeps a change, so that it can be taken back; gives its number.
    pub fn keep(&mut self, event: &str, change: RosterChange) -> u64 {
        self.counted += 1;
        self.version.send_modify(|version| *version += 1);
        self.changes.push(Kept { number: self.counted, event: event.to_owned(), change, is_undone: false });
        self.counted
    }

    pub fn changes(&self) -> &[Kept] {
        &self.changes
    }

    pub fn change(&self, number: u64) -> Option<&Kept> {
        self.changes.iter().find(|kept| kept.number == number)
    }

    /// A change was taken back. Later ones of its row know the row as it is by now.
    pub fn is_undone(&mut self, number: u64) {
        self.version.send_modify(|version| *version += 1);
        if let Some(kept) = self.changes.iter_mut().find(|kept| kept.number == number) {
            kept.is_undone = true;
        }
    }

    /// A lesson's pages as they were drawn last, in one of its views.
    pub fn laid(&self, file: &str, view: &'static str) -> Option<&Laid> {
        self.laid.get(&(file.to_owned(), view))
    }

    /// Keeps the pages of a lesson. One that looks as before keeps its name, so that no browser loads it again.
    pub fn keep_laid(&mut self, file: &str, view: &'static str, from: String, shown: Shown) {
        let mut pages = Vec::new();
        for drawing in shown.pages {
            let name: String = digest::hex(Sha256::digest(drawing.as_bytes())).chars().take(24).collect();
            if let Some(at) = self.drawn.iter().position(|(known, _)| *known == name) {
                self.drawn.remove(at);
            }
            self.drawn.push_back((name.clone(), drawing.into()));
            pages.push(name);
        }
        while self.drawn.len() > DRAWN.max(pages.len()) {
            self.drawn.pop_front();
        }
        self.laid.insert((file.to_owned(), view), Laid { from, pages, findings: shown.findings });
    }

    pub fn drawn(&self, name: &str) -> Option<&str> {
        self.drawn.iter().find(|(known, _)| known == name).map(|(_, drawing)| &**drawing)
    }

    /// Keeps a picture for the page that asks for it next; gives its number.
    pub fn keep_picture(&mut self, picture: String) -> u64 {
        self.counted += 1;
        self.pictures.push_back((self.counted, picture));
        if self.pictures.len() > PICTURES {
            self.pictures.pop_front();
        }
        self.counted
    }

    pub fn picture(&self, number: u64) -> Option<&str> {
        self.pictures.iter().find(|(known, _)| *known == number).map(|(_, picture)| picture.as_str())
    }
}

/// Whether a folder is there that holds nothing by which it would be known as something else.
fn is_free(folder: &Path) -> bool {
    folder.is_dir() && folder.join("program.toml").symlink_metadata().is_err()
}

impl View {
    fn of(session: &Session, known: &Known) -> Result<Self, SessionError> {
        let papers = session.papers(known)?;
        let program = known.understood.root;
        let passed =
            program.people.roster.rows.iter().map(|row| (row.row, known.scores.passed(row))).collect();
        let mut findings = known.findings.clone();
        findings.extend(letters_of_roster(session.press()?, &known.understood));
        let of_rows = by_row(session, &findings, &program.sources);
        Ok(Self { findings, of_rows, papers, passed })
    }
}

/// What is told of each row of the roster.
fn by_row(session: &Session, findings: &[Finding], sources: &Sources) -> BTreeMap<usize, Vec<Finding>> {
    let mut rows: BTreeMap<usize, Vec<Finding>> = BTreeMap::new();
    let Some(table) = &session.roster().table else { return rows };
    let first = table.headings().map_or(0, |headings| headings.number());
    for finding in findings.iter().filter(|finding| finding.place.file == table.file) {
        let row = table.cell_at(&finding.place).map_or(0, |_| sources.row(&finding.place));
        if row > first {
            rows.entry(row).or_default().push(finding.clone());
        }
    }
    // The worst first.
    for told in rows.values_mut() {
        told.sort_by_key(|finding| std::cmp::Reverse(finding.level.max(Level::Note)));
    }
    rows
}

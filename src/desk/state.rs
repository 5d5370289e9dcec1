//! The program that is held open, what is known of it, and what was changed at this desk.

use super::judging::Judged;
use crate::finding::{FileName, Finding, Level, Sources};
use crate::people::scoring::Passed;
use crate::press::{Press, Theme};
use crate::program::Unread;
use crate::program::decisions::Decisions;
use crate::session::{
    Environment, Papers, RosterChange, Session, SessionError, letters_of_roster, needed_folder,
};
use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::sync::watch::Sender;

/// The typesetter may remember so many bytes of layouts.
const MEMORY: usize = 600 << 20;
/// So many pictures of names that were typed are kept for the pages that show them.
const PICTURES: usize = 12;

/// The files of a program.
type Texts = Vec<(FileName, Arc<str>)>;

pub(super) struct Desk {
    environment: &'static Environment,
    folder: PathBuf,
    into: Option<PathBuf>,
    session: Option<Session<'static>>,
    /// Why the folder could not be read when it was read last.
    trouble: Option<Trouble>,
    /// With the texts and the decisions that it was worked out from.
    view: Option<(Texts, Arc<Decisions>, Arc<View>)>,
    changes: Vec<Kept>,
    pub judged: Judged,
    pictures: VecDeque<(u64, String)>,
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
        let folder = needed_folder(named.as_deref(), environment)?;
        let mut desk = Self {
            environment,
            folder,
            into,
            session: None,
            trouble: None,
            view: None,
            changes: Vec::new(),
            judged: Judged::default(),
            pictures: VecDeque::new(),
            counted: 0,
            version: Sender::new(1),
            plain: None,
        };
        desk.look();
        Ok(desk)
    }

    pub fn folder(&self) -> PathBuf {
        self.folder.clone()
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
        let Some(session) = &self.session else { return Err(SessionError::said("")) };
        let now: Texts =
            session.program().sources.files().map(|(name, text)| (name.clone(), text.clone())).collect();
        let decisions = session.program().people.decisions.clone();
        if let Some((from, decided, view)) = &self.view
            && *from == now
            && *decided == decisions
        {
            return Ok(view.clone());
        }
        let view = Arc::new(View::of(session)?);
        self.view = Some((now, decisions, view.clone()));
        Ok(view)
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

impl View {
    fn of(session: &Session) -> Result<Self, SessionError> {
        let known = session.know();
        let papers = session.papers(&known)?;
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

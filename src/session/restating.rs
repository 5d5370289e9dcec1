//! A fact that gets another value: what would change with it, before anything is written; then all of it at once.

use super::save::{FileChange, save_files};
use super::{Known, Session, SessionError};
use crate::finding::{Finding, Level};
use crate::program::facts::Stated;
use crate::program::{Program, Written, reopen_with};
use crate::proof::change_unsourced;
use crate::restate::{self, Change, Left, Open};
use crate::understand::Understood;

/// Where the facts stand.
const FACTS: &str = "facts.toml";

/// What a fact's other value would come to.
#[derive(Debug, Default)]
pub struct FactRestated {
    pub changes: Vec<Change>,
    /// What quotes the fact and has to be changed by hand.
    pub left: Vec<Left>,
    /// What is asked before it is written.
    pub asked: Vec<Finding>,
    /// Why it is no value for the fact; it is not written then.
    pub wrong: Vec<Finding>,
    /// The files that are other with it.
    files: Vec<FileChange>,
}

impl Session<'_> {
    /// The value of a fact that has one of its own, as it stands in the facts file.
    pub fn value_of_fact(&self, name: &str) -> Option<&Written> {
        let fact = self.program.content.facts.iter().find(|fact| fact.name == name && fact.at.is_none())?;
        match &fact.stated {
            Stated::Value(value) if &*value.place.file == FACTS => Some(value),
            _ => None,
        }
    }

    /// Every sentence that would change with another value of a fact. Nothing is written.
    ///
    /// # Errors
    /// There is no such fact, or the value is none that the facts file may hold.
    pub fn restated(&self, name: &str, now: &str) -> Result<FactRestated, SessionError> {
        let value = self.value_of_fact(name).ok_or_else(|| {
            SessionError::said(format!("The fact {name} has no value of its own in {FACTS}."))
        })?;
        let before = Understood::new(&self.program);
        let facts = restate::with_value(&before, value, now.trim()).map_err(SessionError::said)?;
        let program = reopen_with(&self.program, FACTS, &facts)
            .map_err(|unread| SessionError::Unread(Box::new(unread)))?;
        let understood = self.understand(&program);
        // The value by itself: what quotes it is about to change with it.
        let start = value.place.range.start;
        let value_now = start.saturating_sub(1)..=start + now.len() + 1;
        let is_wrong = |finding: &Finding| {
            finding.level == Level::Error
                && *finding.place.file == *value.place.file
                && value_now.contains(&finding.place.range.start)
                && value_now.contains(&finding.place.range.end)
        };
        let (known, ()) = Known::remembering(&program, self.environment.today, &self.remembered, |_| ());
        let wrong: Vec<Finding> = known.findings.into_iter().filter(|it| is_wrong(it)).collect();
        // What disagrees already is not the doing of this value.
        let stood: Vec<_> =
            restate::plan(&before, Open::OfChanged).changes.into_iter().map(|it| (it.was, it.now)).collect();
        let mut plan = restate::plan(&understood, Open::OfChanged);
        plan.changes.retain(|change| !stood.contains(&(change.was.clone(), change.now.clone())));
        let mut names: Vec<String> = plan.files().into_iter().map(ToString::to_string).collect();
        if !names.iter().any(|file| file == FACTS) {
            names.push(FACTS.to_owned());
        }
        let text = |program: &Program, file: &str| {
            program.sources.text(file).map_or_else(String::new, |it| (**it).to_owned())
        };
        let files = names.into_iter().map(|file| {
            let was = text(&self.program, &file);
            let now = plan.edited(&file, &text(&program, &file));
            FileChange { file, was, now }
        });
        let files = files.filter(|file| file.was != file.now).collect();
        let asked = change_unsourced(&understood);
        Ok(FactRestated { changes: plan.changes, left: plan.left, asked, wrong, files })
    }

    /// Writes a fact's other value, and all that changes with it, at once; [`undo`](super::undo) takes it back.
    ///
    /// # Errors
    /// It is no value for the fact; or a file was changed meanwhile, is protected, or cannot be written: then none is.
    pub fn restate(&mut self, restated: &FactRestated) -> Result<(), SessionError> {
        if let Some(wrong) = restated.wrong.first() {
            return Err(SessionError::said(wrong.message.clone()));
        }
        save_files(&self.program.folder, &restated.files)
            .map_err(|error| SessionError::said(error.to_string()))
    }
}

//! The form that gathers answers on the reader's own machine and prepares a letter or a file of them.
//!
//! Nothing is sent by the page itself. Its file has the form that `people/answers.csv` is read in, and there
//! is nothing of the key on it.

use super::downloads::DownloadLink;
use super::pages::PageAddress;
use super::questions::{self, QuestionOnPage};
use super::reading::ProseWalker;
use super::tree::{PageBlock, PageDay};
use super::{PageHead, Site, address};
use crate::job::{Make, Original};
use crate::pieces::common::{self, SendTo};
use crate::pieces::tree::Trees;
use crate::program::settings::Event;
use schemars::JsonSchema;
use serde::Serialize;

pub const PAGE: &str = "answers.html";
pub const SCRIPT: &str = "answers.js";

/// What `answers.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct AnswersPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    questions: Vec<QuestionInLetter<'p>>,
    /// The blocks of each foot note; note 1 is the first.
    notes: Vec<Vec<PageBlock>>,
    events: Vec<AnsweredEvent<'p>>,
    /// Who takes answers that come in by mail; null where nobody does.
    send_to: Option<WriteTo<'p>>,
    /// The question sheet, to take away.
    sheet: Option<DownloadLink>,
    /// The address of the script.
    script: String,
}

/// A question with the words by which a letter names it.
#[derive(Serialize, JsonSchema)]
struct QuestionInLetter<'p> {
    #[serde(flatten)]
    question: QuestionOnPage<'p>,
    /// In the letter a question stands in words alone.
    words: String,
}

/// An event from which answers come.
#[derive(Serialize, JsonSchema)]
struct AnsweredEvent<'p> {
    id: &'p str,
    name: &'p str,
    date: PageDay,
    /// Its other days; mostly none.
    later_days: Vec<PageDay>,
}

/// Who takes answers, with the link that writes.
#[derive(Serialize, JsonSchema)]
struct WriteTo<'p> {
    #[serde(flatten)]
    to: SendTo<'p>,
    /// Null where the address is not one mailbox.
    write: Option<String>,
}

impl<'u> Site<'u> {
    pub(super) fn has_answer_form(&self) -> bool {
        !self.understood.content.questions.list.is_empty()
    }

    pub(super) fn answer_form(&mut self) {
        if !self.has_answer_form() {
            return;
        }
        let content = self.understood.content;
        let page = PageAddress::new(PAGE);
        let trees = Trees::new(self.understood);
        let mut reader = ProseWalker::new(self.pages, &page);
        let list = content.questions.list.iter().enumerate();
        let list: Vec<QuestionInLetter> = list
            .map(|(at, question)| QuestionInLetter {
                question: questions::asked(&trees, &mut reader, at + 1, question),
                words: self.understood.text_of(&question.ask.inlines),
            })
            .collect();
        let notes = reader.notes.clone();
        self.keep(reader, String::new());
        let event = |event: &'u Event| AnsweredEvent {
            id: &event.id,
            name: &event.name,
            date: event.date.into(),
            later_days: PageDay::of_all(&event.later_days),
        };
        let to = common::answers_go_to(&content.settings);
        let sheet = self.downloads.iter().find(|download| download.is_question_sheet());
        let data = AnswersPage {
            head: self.head(&page, &content.settings.name),
            questions: list,
            notes,
            events: content.settings.events.iter().map(event).collect(),
            send_to: to.map(|to| WriteTo { to, write: address::letter_to(to.email) }),
            sheet: sheet.map(|download| download.data(&page)),
            script: page.link_to(SCRIPT, None),
        };
        self.page(&page, PAGE, &data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }
}

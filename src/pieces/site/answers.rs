//! The form that gathers answers on the reader's own machine and prepares a letter or a file of them.
//!
//! Nothing is sent by the page itself. Its file has the form that `people/answers.csv` is read in, and there
//! is nothing of the key on it.

use super::pages::PageAddress;
use super::reading::ProseWalker;
use super::{Site, address, questions};
use crate::job::{Make, Original};
use crate::pieces::common;
use crate::pieces::tree::Trees;
use serde_json::{Value, json};

pub const PAGE: &str = "answers.html";
pub const SCRIPT: &str = "answers.js";

impl Site<'_> {
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
        let list: Vec<Value> = list
            .map(|(at, question)| {
                let mut data = questions::asked(&trees, &mut reader, at + 1, question);
                // In the letter a question stands in words alone.
                data["words"] = self.understood.text_of(&question.ask.inlines).into();
                data
            })
            .collect();
        let notes = reader.notes.clone();
        self.keep(reader, String::new());
        let events: Vec<Value> = content
            .settings
            .events
            .iter()
            .map(|event| {
                let (year, month, day) = (event.date.year(), event.date.month(), event.date.day());
                let date = json!({"iso": event.date.to_string(), "year": year, "month": month, "day": day});
                json!({"id": event.id, "name": event.name, "date": date})
            })
            .collect();
        let to = common::answers_go_to(&content.settings).map(|mut to| {
            to["write"] = to["email"].as_str().and_then(address::letter_to).into();
            to
        });
        let sheet = self.downloads.iter().find(|download| download.is_question_sheet());
        let sheet = sheet.map(|download| download.data(&page));
        let mut data = self.head(&page, &content.settings.name);
        data.insert("questions".into(), list.into());
        data.insert("notes".into(), notes.into());
        data.insert("events".into(), events.into());
        data.insert("send_to".into(), to.into());
        data.insert("sheet".into(), sheet.into());
        data.insert("script".into(), page.link_to(SCRIPT, None).into());
        self.page(&page, PAGE, data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }
}

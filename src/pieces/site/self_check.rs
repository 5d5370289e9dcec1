//! Questions for self-check: one plain page with every question, its answer, the reason and the lesson.
//!
//! The page works without a server, and without a script it still shows the answers on asking. So it holds
//! the key for everybody to see; a program that keeps its key says `self-check = false`, and then neither
//! this page nor anything of the key is on the open shelf.

use super::figure_key;
use super::pages::PageAddress;
use super::reading::ProseWalker;
use super::{Site, questions};
use crate::job::{Make, Original};
use crate::people::scoring::key::{right_choices, right_of_several, words_with_limit};
use crate::pieces::tree::{Trees, join_number_and_unit};
use crate::program::Written;
use crate::program::questions::{Kind, Question};
use crate::understand::Understood;
use serde_json::{Value, json};

pub const PAGE: &str = "self-check.html";
pub const SCRIPT: &str = "self-check.js";

impl Site<'_> {
    /// Whether the program has this page.
    pub(super) fn has_self_check(&self) -> bool {
        let content = self.understood.content;
        content.settings.site.self_check && !content.questions.list.is_empty()
    }

    pub(super) fn self_check(&mut self) {
        if !self.has_self_check() {
            return;
        }
        let page = PageAddress::new(PAGE);
        let trees = Trees::new(self.understood);
        let mut reader = ProseWalker::new(self.pages, &page);
        let list = self.understood.content.questions.list.iter().enumerate();
        let list: Vec<Value> = list
            .map(|(at, question)| {
                let mut data = questions::asked(&trees, &mut reader, at + 1, question);
                let because = question.because.as_ref();
                data["because"] = because.map(|prose| reader.read(trees.inlines(&prose.inlines))).into();
                data["lesson"] = self.lesson_of(question, &page).into();
                data["key"] = key(self.understood, question);
                data
            })
            .collect();
        let notes = reader.notes.clone();
        self.keep(reader, String::new());
        let mut data = self.head(&page, &self.understood.content.settings.name);
        data.insert("questions".into(), list.into());
        data.insert("notes".into(), notes.into());
        data.insert("tongue".into(), self.language().into());
        data.insert("script".into(), page.link_to(SCRIPT, None).into());
        self.page(&page, PAGE, data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    /// How answers are put into the words that the script reads, as the reader of prose does; none in English.
    fn language(&self) -> Option<String> {
        let book = self.understood.language().phrasebook()?;
        Some(json!({"decimal": book.decimal, "phrases": book.phrases}).to_string())
    }

    fn lesson_of(&self, question: &Question, page: &PageAddress) -> Option<Value> {
        let lesson = self.understood.lesson(&question.lesson.as_ref()?.text)?;
        let href = page.link_to(&PageAddress::of_lesson(&lesson.id).path, None);
        Some(json!({"title": self.understood.text_of(&lesson.title), "href": href}))
    }
}

/// What is right, in words for every reader and in data for the script; and the fact that it is taken from.
fn key(understood: &Understood, question: &Question) -> Value {
    let mut key = match &question.kind {
        Kind::Choice { choices, right } => chosen(choices, &right_choices(understood, choices, right)),
        Kind::Several { choices, right } => chosen(choices, &right_of_several(choices, right)),
        Kind::Figure { fact, unit } => {
            let words = words_with_limit(understood, &fact.text)
                .map(|words| join_number_and_unit(understood.language(), &words));
            let key = understood.held(&fact.text).and_then(|held| figure_key::of(held, unit.as_deref()));
            // As text: a template prints text into an attribute, escaped.
            json!({"words": words, "data": key.map(|key| key.to_string())})
        }
        Kind::NameSome { count, accept } => {
            let first: Vec<&str> =
                accept.iter().filter_map(|words| words.first()).map(String::as_str).collect();
            json!({"count": count, "list": first, "data": json!(accept).to_string()})
        }
        Kind::Open { look_for } => json!({"look_for": look_for}),
    };
    if let Some(fact) = question.key_fact() {
        key["kind"] = "fact".into();
        key["fact"] = fact.text.as_str().into();
    }
    key
}

fn chosen(choices: &[Written], right: &[bool]) -> Value {
    let words =
        choices.iter().zip(right).filter(|(_, right)| **right).map(|(choice, _)| choice.text.as_str());
    let places = (0..right.len()).filter(|at| right[*at]).map(|at| (at + 1).to_string());
    json!({"right": words.collect::<Vec<_>>(), "data": places.collect::<Vec<_>>().join(" ")})
}

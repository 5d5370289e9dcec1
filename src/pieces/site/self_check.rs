//! Questions for self-check: one plain page with every question, its answer, the reason and the lesson.
//!
//! The page works without a server, and without a script it still shows the answers on asking. So it holds
//! the key for everybody to see; a program that keeps its key says `self-check = false`, and then neither
//! this page nor anything of the key is on the open shelf.

use super::figure_key;
use super::pages::PageAddress;
use super::questions::{self, QuestionOnPage};
use super::reading::ProseWalker;
use super::tree::{PageBlock, PageInline, PageLink};
use super::{PageHead, Site};
use crate::job::{Make, Original};
use crate::people::scoring::key::{right_choices, right_of_several, words_with_limit};
use crate::pieces::tree::{Trees, join_number_and_unit};
use crate::program::Written;
use crate::program::questions::{Kind, Question};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

pub const PAGE: &str = "self-check.html";
pub const SCRIPT: &str = "self-check.js";

/// What `self-check.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct SelfCheckPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    questions: Vec<CheckedQuestion<'p>>,
    /// The blocks of each foot note; note 1 is the first.
    notes: Vec<Vec<PageBlock>>,
    /// Lines for the script: the decimal mark of the edition's language, then its phrases, each with a tab before the
    /// figure reader's words for it. Quotation marks, as JSON has them, would make the page half as heavy again. Null in
    /// English.
    tongue: Option<String>,
    /// The address of the script.
    script: String,
}

/// A question with its answer.
#[derive(Serialize, JsonSchema)]
struct CheckedQuestion<'p> {
    #[serde(flatten)]
    question: QuestionOnPage<'p>,
    /// Why that is right; null where the program does not say.
    because: Option<Vec<PageInline>>,
    /// The lesson that tells it; null where the program names none.
    lesson: Option<PageLink>,
    key: CheckKey<'p>,
}

/// What is right, in words for every reader and in data for the script, which is text: a template prints text into
/// an attribute. Which keys are there hangs on the question's kind.
#[derive(Default, Serialize, JsonSchema)]
struct CheckKey<'p> {
    /// Of a choice: the words of what is right.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<String>")]
    right: Option<Vec<&'p str>>,
    /// Of a figure: the fact's own words; null where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    words: Option<Option<String>>,
    /// Of a list: how many are to be named.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32")]
    count: Option<u32>,
    /// Of a list: each answer in its first wording.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<String>")]
    list: Option<Vec<&'p str>>,
    /// Of an open question: what its answer should say.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<String>")]
    look_for: Option<&'p [String]>,
    /// For the script; null where it cannot judge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    data: Option<Option<String>>,
    #[serde(flatten)]
    backed: Option<BackedKey<'p>>,
}

/// The fact that says what is right.
#[derive(Serialize, JsonSchema)]
struct BackedKey<'p> {
    kind: FactMark,
    /// The name of the fact in `facts.toml`.
    fact: &'p str,
}

/// By which the facts that a page quotes are found.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum FactMark {
    Fact,
}

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
        let list: Vec<CheckedQuestion> = list
            .map(|(at, question)| {
                let asked = questions::asked(&trees, &mut reader, at + 1, question);
                let because = question.because.as_ref();
                CheckedQuestion {
                    question: asked,
                    because: because.map(|prose| reader.read(trees.inlines(&prose.inlines))),
                    lesson: self.lesson_of(question, &page),
                    key: key(self.understood, question),
                }
            })
            .collect();
        let notes = reader.notes.clone();
        self.keep(reader, String::new());
        let data = SelfCheckPage {
            head: self.head(&page, &self.understood.content.settings.name),
            questions: list,
            notes,
            tongue: self.language(),
            script: page.link_to(SCRIPT, None),
        };
        self.page(&page, PAGE, &data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    /// How answers are put into the words that the script reads, as the reader of prose does; none in English.
    fn language(&self) -> Option<String> {
        let book = self.understood.language().phrasebook()?;
        let is_plain = |words: &&str| !words.chars().any(char::is_control);
        let phrases = book.phrases.iter().filter(|(own, english)| is_plain(own) && is_plain(english));
        Some(
            phrases
                .fold(book.decimal.to_string(), |lines, (own, english)| lines + "\n" + own + "\t" + english),
        )
    }

    fn lesson_of(&self, question: &Question, page: &PageAddress) -> Option<PageLink> {
        let lesson = self.understood.lesson(&question.lesson.as_ref()?.text)?;
        let href = page.link_to(&PageAddress::of_lesson(&lesson.id).path, None);
        Some(PageLink { title: self.understood.text_of(&lesson.title), href })
    }
}

fn key<'p>(understood: &Understood, question: &'p Question) -> CheckKey<'p> {
    let key = match &question.kind {
        Kind::Choice { choices, right } => chosen(choices, &right_choices(understood, choices, right)),
        Kind::Several { choices, right } => chosen(choices, &right_of_several(choices, right)),
        Kind::Figure { fact, unit } => {
            let words = words_with_limit(understood, &fact.text)
                .map(|words| join_number_and_unit(understood.language(), &words));
            let key = understood
                .held(&fact.text)
                .and_then(|held| figure_key::of(held, unit.as_deref(), understood.language()));
            CheckKey { words: Some(words), data: Some(key.as_ref().map(as_text)), ..CheckKey::default() }
        }
        Kind::NameSome { count, accept } => {
            let first = accept.iter().filter_map(|words| words.first()).map(String::as_str);
            CheckKey {
                count: Some(*count),
                list: Some(first.collect()),
                data: Some(Some(as_text(accept))),
                ..CheckKey::default()
            }
        }
        Kind::Open { look_for } => CheckKey { look_for: Some(look_for), ..CheckKey::default() },
    };
    let backed = question.key_fact().map(|fact| BackedKey { kind: FactMark::Fact, fact: &fact.text });
    CheckKey { backed, ..key }
}

fn chosen<'p>(choices: &'p [Written], right: &[bool]) -> CheckKey<'p> {
    let words =
        choices.iter().zip(right).filter(|(_, right)| **right).map(|(choice, _)| choice.text.as_str());
    let places = (0..right.len()).filter(|at| right[*at]).map(|at| (at + 1).to_string());
    CheckKey {
        right: Some(words.collect()),
        data: Some(Some(places.collect::<Vec<_>>().join(" "))),
        ..CheckKey::default()
    }
}

fn as_text(data: &impl Serialize) -> String {
    serde_json::to_string(data).expect("what a script is given has a form as JSON")
}

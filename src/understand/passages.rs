//! All prose of a program as passages: text without markup, with a way back to the file.

use super::Understood;
use crate::finding::Place;
use crate::program::lesson::{Backed, Block, Cell, Inline, Lesson, Picture, Prose};
use crate::program::questions::{Kind, Question, RightChoice};
use crate::quantity::{Figure, Language};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// One run of prose that a reader takes in at once: a paragraph, a heading, a table cell, an item.
pub struct Passage<'p> {
    pub place: Place,
    pub carrier: Carrier<'p>,
    /// The prose without its markup; an open backed figure stands in it by the words that it prints.
    pub text: String,
    /// What of `text` was taken over from the file as it stands, in order.
    pub runs: Vec<Run>,
    /// Every figure that the reader finds in `text`.
    pub figures: Arc<[Figure]>,
    /// The language that it is in.
    pub language: Language,
    /// The backed figures, and where their words stand in `text`.
    pub backed: Vec<(Range<usize>, &'p Backed)>,
    /// Whether no link can stand there: a caption or what is read aloud of a picture or a chart, what is drawn in
    /// it, a contact's hours.
    pub with_picture: bool,
    /// Of a cell, all of its row.
    pub row: Option<Arc<str>>,
    /// What is read with it as if it stood before it: of a cell its column's heading and the first cell of its row, of
    /// an item the sentence that leads to its list.
    pub leads: Vec<Arc<str>>,
}

/// A run of a passage that was taken over from the file as it stands.
#[derive(Clone, Debug)]
pub struct Run {
    /// In [`Passage::text`].
    pub text: Range<usize>,
    /// In the file.
    pub source: Range<usize>,
}

/// What a passage belongs to, so that pieces can say which prose they carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Carrier<'p> {
    /// Lesson and section; the section is `None` for the title and the opening.
    Lesson {
        lesson: &'p str,
        section: Option<&'p str>,
    },
    Question(&'p str),
    Kit(&'p str),
    /// A habit, a meaning of the glossary, the summary or the certificate's words in `program.toml`.
    Settings,
}

impl Passage<'_> {
    /// The place in the file of a range of [`Passage::text`]; the whole passage where the range does
    /// not lie in text that was taken over as it stands.
    pub fn place_of(&self, range: &Range<usize>) -> Place {
        let start = self.runs.iter().find(|run| run.text.contains(&range.start));
        let end = self.runs.iter().find(|run| range.end > run.text.start && range.end <= run.text.end);
        match (start, end) {
            (Some(first), Some(last)) => {
                let start = first.source.start + (range.start - first.text.start);
                let end = last.source.start + (range.end - last.text.start);
                Place { file: self.place.file.clone(), range: start..end }
            }
            _ => self.place.clone(),
        }
    }

    /// The passage with other words in a range of [`Passage::text`], and where these stand in it.
    pub fn with_words(&self, range: &Range<usize>, words: &str) -> (Self, Range<usize>) {
        let mut text = self.text.clone();
        text.replace_range(range.clone(), words);
        let moved = |at: &Range<usize>| match at {
            at if at.end <= range.start => Some(at.clone()),
            at if range.end <= at.start => {
                Some(at.start + words.len() - range.len()..at.end + words.len() - range.len())
            }
            at if range.start <= at.start && at.end <= range.end => {
                Some(range.start..range.start + words.len())
            }
            _ => None,
        };
        let passage = Self {
            place: self.place.clone(),
            carrier: self.carrier,
            figures: self.language.read(&text),
            language: self.language.clone(),
            backed: self.backed.iter().filter_map(|(at, backed)| Some((moved(at)?, *backed))).collect(),
            text,
            runs: Vec::new(),
            with_picture: self.with_picture,
            row: self.row.clone(),
            leads: self.leads.clone(),
        };
        (passage, range.start..range.start + words.len())
    }
}

/// All passages, and the open links beside which the text says which way the figure binds.
pub(super) fn gather<'p>(understood: &Understood<'p>) -> (Vec<Passage<'p>>, BTreeSet<&'p Place>) {
    let content = understood.content;
    let mut gatherer = Gatherer { understood, passages: Vec::new(), bound: BTreeSet::new() };
    for lesson in &content.lessons {
        gatherer.lesson(lesson);
    }
    for question in &content.questions.list {
        let carrier = Carrier::Question(&question.id);
        gatherer.prose(&question.ask, carrier);
        gatherer.optional(question.because.as_ref(), carrier);
        for (words, place) in right_answers(question) {
            gatherer.plain(words, place, carrier);
        }
    }
    for kit in &content.kits {
        let carrier = Carrier::Kit(&kit.id);
        gatherer.plain(&kit.name, &kit.place, carrier);
        gatherer.optional(kit.purpose.as_ref(), carrier);
        for item in &kit.items {
            gatherer.prose(&item.item, carrier);
            gatherer.optional(item.note.as_ref(), carrier);
        }
    }
    let settings = &content.settings;
    gatherer.optional(settings.summary.as_ref(), Carrier::Settings);
    for habit in &settings.habits {
        gatherer.plain(&habit.words, &habit.place, Carrier::Settings);
        gatherer.optional(habit.text.as_ref(), Carrier::Settings);
    }
    for term in &settings.glossary {
        gatherer.plain(&term.term, &term.place, Carrier::Settings);
        gatherer.prose(&term.meaning, Carrier::Settings);
    }
    for award in &settings.awards {
        gatherer.plain(&award.name, &award.place, Carrier::Settings);
    }
    for event in &settings.events {
        for words in [&event.name, &event.venue] {
            gatherer.plain(words, &event.place, Carrier::Settings);
        }
    }
    if let Some(letters) = &settings.letters {
        for words in [&letters.subject, &letters.text, &letters.award].into_iter().flatten() {
            gatherer.plain(words, &letters.place, Carrier::Settings);
        }
    }
    let titles = [
        &settings.certificate.title,
        &settings.certificate.companion.title,
        &settings.certificate.award.title,
    ];
    for title in titles.into_iter().flatten() {
        gatherer.plain(title, &settings.name_place, Carrier::Settings);
    }
    for contact in &settings.contacts {
        gatherer.plain(&contact.purpose, &contact.purpose_place, Carrier::Settings);
        if let (Some(hours), Some(place)) = (&contact.hours, &contact.hours_place) {
            gatherer.plain(hours, place, Carrier::Settings);
        }
    }
    for words in settings.certificate.prose() {
        gatherer.prose(words, Carrier::Settings);
    }
    (gatherer.passages, gatherer.bound)
}

/// What counts as right where no fact says it, with its place or that of its question.
fn right_answers(question: &Question) -> Vec<(&str, &Place)> {
    match &question.kind {
        Kind::Choice { right: RightChoice::Words(right), .. } => vec![(&right.text, &right.place)],
        Kind::Several { right, .. } => {
            right.iter().map(|right| (right.text.as_str(), &right.place)).collect()
        }
        Kind::NameSome { accept, .. } => {
            accept.iter().flatten().map(|words| (words.as_str(), &question.place)).collect()
        }
        Kind::Open { look_for } => look_for.iter().map(|words| (words.as_str(), &question.place)).collect(),
        Kind::Choice { .. } | Kind::Figure { .. } => Vec::new(),
    }
}

struct Gatherer<'u, 'p> {
    understood: &'u Understood<'p>,
    passages: Vec<Passage<'p>>,
    bound: BTreeSet<&'p Place>,
}

impl<'p> Gatherer<'_, 'p> {
    fn lesson(&mut self, lesson: &'p Lesson) {
        let opening = Carrier::Lesson { lesson: &lesson.id, section: None };
        self.passage(&lesson.title, &lesson.title_place, opening);
        self.blocks(&lesson.opening, opening);
        for section in &lesson.sections {
            let carrier = Carrier::Lesson { lesson: &lesson.id, section: Some(&section.id) };
            self.passage(&section.heading, &section.place, carrier);
            self.blocks(&section.blocks, carrier);
        }
    }

    fn optional(&mut self, prose: Option<&'p Prose>, carrier: Carrier<'p>) {
        if let Some(prose) = prose {
            self.prose(prose, carrier);
        }
    }

    fn prose(&mut self, prose: &'p Prose, carrier: Carrier<'p>) {
        self.passage(&prose.inlines, &prose.place, carrier);
    }

    fn blocks(&mut self, blocks: &'p [Block], carrier: Carrier<'p>) {
        let mut leading: Option<Arc<str>> = None;
        for block in blocks {
            let lead = leading.take();
            match block {
                Block::Heading { inlines, place, .. } | Block::Paragraph { inlines, place } => {
                    self.passage(inlines, place, carrier);
                    let text = self.understood.text_of(inlines);
                    leading = text.trim_end().ends_with(':').then(|| lead_of(&text));
                }
                Block::List { items, .. } => {
                    for item in items {
                        let first = self.passages.len();
                        self.blocks(&item.blocks, carrier);
                        self.passages[first..]
                            .iter_mut()
                            .for_each(|passage| passage.leads.extend(lead.clone()));
                    }
                }
                Block::Table { head, rows, .. } => {
                    for row in std::iter::once(head).chain(rows) {
                        let cells = row.iter().map(|cell| self.understood.text_of(&cell.inlines));
                        let text: Arc<str> = cells.collect::<Vec<_>>().join(" | ").into();
                        let first = self.passages.len();
                        for cell in row {
                            self.passage(&cell.inlines, &cell.place, carrier);
                        }
                        self.passages[first..].iter_mut().for_each(|cell| cell.row = Some(text.clone()));
                        self.lead_cells(first, head, row);
                    }
                }
                Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => self.blocks(blocks, carrier),
                Block::Picture(picture) => self.picture(picture, carrier),
                Block::Series(view) => self.plain(&view.title, &view.place, carrier),
                Block::Code { .. } | Block::Rule { .. } => {}
            }
        }
    }

    /// Tells the cells of a row, whose passages begin at `first`, what leads them.
    fn lead_cells(&mut self, first: usize, head: &'p [Cell], row: &'p [Cell]) {
        if std::ptr::eq(head, row) {
            return;
        }
        let texts = |cells: &[Cell]| -> Vec<Arc<str>> {
            cells.iter().map(|cell| lead_of(&self.understood.text_of(&cell.inlines))).collect()
        };
        let (headings, cells) = (texts(head), texts(row));
        for passage in &mut self.passages[first..] {
            let Some(column) = row.iter().position(|cell| cell.place == passage.place) else { continue };
            let name = cells.first().filter(|_| column > 0);
            let leads = headings.get(column).into_iter().chain(name);
            passage.leads = leads.filter(|lead| !lead.is_empty()).cloned().collect();
        }
    }

    fn picture(&mut self, picture: &Picture, carrier: Carrier<'p>) {
        for words in std::iter::once(&picture.alt).chain(&picture.caption) {
            self.plain(words, &picture.place, carrier);
        }
        // what a label says is told by those around it
        if let Some(words) = self.understood.content.drawn.get(&picture.file) {
            self.plain(&words.join("; "), &picture.place, carrier);
        }
    }

    /// Words that hold no link: those that go with a picture, of which it is not known where in its brackets they
    /// stand, and texts that are no prose.
    fn plain(&mut self, words: &str, place: &Place, carrier: Carrier<'p>) {
        let language = self.understood.language_for(&place.file);
        self.passages.push(Passage {
            place: place.clone(),
            carrier,
            text: words.to_owned(),
            runs: Vec::new(),
            figures: language.read(words),
            language: language.clone(),
            backed: Vec::new(),
            with_picture: true,
            row: None,
            leads: Vec::new(),
        });
    }

    fn passage(&mut self, inlines: &'p [Inline], place: &Place, carrier: Carrier<'p>) {
        let mut flat = Flat::default();
        flat.push(self.understood, inlines);
        let figures = self.understood.language_for(&place.file).read(&flat.text);
        self.passages.push(Passage {
            place: place.clone(),
            carrier,
            text: flat.text,
            runs: flat.runs,
            figures,
            language: self.understood.language_for(&place.file).clone(),
            backed: flat.backed,
            with_picture: false,
            row: None,
            leads: Vec::new(),
        });
        self.bound.extend(flat.bound);
        for picture in flat.pictures {
            self.picture(picture, carrier);
        }
        for (blocks, carrier) in flat.footnotes.into_iter().map(|blocks| (blocks, carrier)) {
            self.blocks(blocks, carrier);
        }
    }
}

/// The last sentence of a text, without what stands in brackets and its colon.
fn lead_of(text: &str) -> Arc<str> {
    let text = text.trim().trim_end_matches(':');
    let last = text.rsplit(['.', '!', '?', ';']).find(|part| !part.trim().is_empty()).unwrap_or(text);
    last.split('(').next().unwrap_or_default().trim().into()
}

/// Inlines laid flat.
#[derive(Default)]
struct Flat<'p> {
    text: String,
    runs: Vec<Run>,
    backed: Vec<(Range<usize>, &'p Backed)>,
    /// Passages of their own, told of after the one that holds their mark.
    footnotes: Vec<&'p [Block]>,
    /// Pictures within the line, whose words are passages of their own.
    pictures: Vec<&'p Picture>,
    /// Open links beside which the text says which way the figure binds.
    bound: Vec<&'p Place>,
}

impl<'p> Flat<'p> {
    fn push(&mut self, understood: &Understood<'p>, inlines: &'p [Inline]) {
        for (at, inline) in inlines.iter().enumerate() {
            match inline {
                Inline::Text { text, place } | Inline::Code { text, place } => self.push_text(text, place),
                Inline::Emphasis { inlines }
                | Inline::Strong { inlines }
                | Inline::Struck { inlines }
                | Inline::Link { inlines, .. } => self.push(understood, inlines),
                Inline::Backed(backed) => {
                    let start = self.text.len();
                    if backed.is_open() {
                        let is_bound = self.binds_next(understood, backed, inlines.get(at + 1));
                        if is_bound {
                            self.bound.push(&backed.place);
                        }
                        self.text.push_str(&understood.words_beside(backed, is_bound));
                    } else {
                        self.push_text(&backed.words, &backed.words_place);
                    }
                    self.backed.push((start..self.text.len(), backed));
                }
                Inline::Footnote { blocks, .. } => self.footnotes.push(blocks),
                Inline::Picture(picture) => self.pictures.push(picture),
                Inline::SoftBreak | Inline::HardBreak => self.text.push(' '),
            }
        }
    }

    /// Whether the text before an open link, or right after it, says which way its figure binds: `at most
    /// […](fact:…)`, `[…](fact:…) or more`.
    fn binds_next(&self, understood: &Understood, backed: &Backed, next: Option<&Inline>) -> bool {
        let words = understood.words_beside(backed, true);
        let after = match next {
            Some(Inline::Text { text, .. }) => text,
            _ => "",
        };
        let around = format!("{}{words}{after}", self.text);
        let link = self.text.len()..self.text.len() + words.len();
        let figures = understood.language_for(&backed.place.file).read(&around);
        let binds = |figure: &Figure| figure.limit.is_some() || figure.hedge.is_some();
        let is_its = |figure: &&Figure| figure.span.start < link.end && link.start < figure.span.end;
        let goes_beyond = |figure: &Figure| figure.reach.start < link.start || link.end < figure.reach.end;
        figures.iter().find(is_its).is_some_and(|figure| binds(figure) && goes_beyond(figure))
    }

    /// Text whose source is as long as itself is a run; where entities or escapes were read it is not.
    fn push_text(&mut self, text: &str, place: &Place) {
        let start = self.text.len();
        self.text.push_str(text);
        if place.range.len() == text.len() && !text.is_empty() {
            self.runs.push(Run { text: start..self.text.len(), source: place.range.clone() });
        }
    }
}

//! The reading level of lessons: which of their text is counted, and what comes of it.
//!
//! Only running text counts, as in Flesch's method: paragraphs, cues, quotations, and items of lists that are
//! sentences. Titles, headings, captions, tables and items that only name a thing are left out. The
//! grade is made for English. Spanish has a score of its own; other languages have none.

use crate::finding::Place;
use crate::program::lesson::{Block, Cue, Lesson, Section};
use crate::readability::{Counts, words};
use crate::understand::Understood;
use num_rational::Ratio;

/// Fewer words than this say nothing of a text's level: Flesch's method takes samples of 100.
pub const SAMPLE: usize = 100;

/// What a lesson asks of its readers, its audience and its presenter.
pub struct LessonReading<'p> {
    pub lesson: &'p Lesson,
    /// Of the running text.
    pub counts: Counts,
    /// Words of everything that can be read aloud: running text, lists and cues.
    pub aloud: usize,
    /// Words of what the presenter is given to say: `Say:` and `Ask:`.
    pub script: usize,
    /// The words of each section's slide, with its heading.
    pub slides: Vec<Slide<'p>>,
}

pub struct Slide<'p> {
    pub section: &'p Section,
    pub words: usize,
}

impl LessonReading<'_> {
    /// The grade, where the text is English and long enough to say.
    pub fn grade(&self, language: &str) -> Option<f64> {
        self.counts.grade().filter(|_| self.is_sample(language))
    }

    /// Flesch Reading Ease of English, the perspicuity of Spanish, where the text is long enough to say.
    pub fn reading_ease(&self, language: &str) -> Option<f64> {
        let ease = match language.split('-').next() {
            Some("en") => self.counts.reading_ease(),
            Some("es") => self.counts.perspicuity(),
            _ => None,
        };
        ease.filter(|_| self.counts.words >= SAMPLE)
    }

    fn is_sample(&self, language: &str) -> bool {
        self.counts.words >= SAMPLE && language.split('-').next() == Some("en")
    }

    pub fn fullest_slide(&self) -> Option<&Slide<'_>> {
        self.slides.iter().max_by_key(|slide| slide.words)
    }

    pub fn place(&self) -> &Place {
        &self.lesson.title_place
    }
}

/// Minutes that so many words take, to half a minute up.
pub fn minutes(words: usize, words_a_minute: u32) -> Ratio<u64> {
    let halves = (words as u64 * 2).div_ceil(u64::from(words_a_minute.max(1)));
    Ratio::new(halves, 2)
}

/// Each lesson in the order of the syllabus.
pub fn lessons<'p>(understood: &Understood<'p>) -> Vec<LessonReading<'p>> {
    understood.content.lessons.iter().map(|lesson| of_lesson(understood, lesson)).collect()
}

fn of_lesson<'p>(understood: &Understood<'p>, lesson: &'p Lesson) -> LessonReading<'p> {
    let mut reader = TextCounter { understood, counts: Counts::default(), aloud: 0, script: 0 };
    let blocks = lesson.sections.iter().flat_map(|section| &section.blocks);
    lesson.opening.iter().chain(blocks).for_each(|block| reader.block(block, false));
    let slides = lesson.sections.iter().map(|section| slide(understood, section)).collect();
    LessonReading { lesson, counts: reader.counts, aloud: reader.aloud, script: reader.script, slides }
}

fn slide<'p>(understood: &Understood<'p>, section: &'p Section) -> Slide<'p> {
    let shown = section.blocks.iter().filter(|block| block.stands_on_slide());
    let heading = words(&understood.text_of(&section.heading)).count();
    Slide { section, words: heading + shown.map(|block| all_words(understood, block)).sum::<usize>() }
}

struct TextCounter<'u, 'p> {
    understood: &'u Understood<'p>,
    counts: Counts,
    aloud: usize,
    script: usize,
}

impl TextCounter<'_, '_> {
    /// `scripted` where the block belongs to what the presenter is given to say.
    fn block(&mut self, block: &Block, scripted: bool) {
        match block {
            Block::Paragraph { inlines, .. } => self.running(&self.understood.text_of(inlines), scripted),
            Block::List { items, .. } => {
                for item in items {
                    self.item(&item.blocks, scripted);
                }
            }
            Block::Quote { blocks, .. } => blocks.iter().for_each(|block| self.block(block, scripted)),
            Block::Cue { cue, blocks, .. } => {
                let scripted = matches!(cue, Cue::Say | Cue::Ask);
                if *cue != Cue::Bring {
                    blocks.iter().for_each(|block| self.block(block, scripted));
                }
            }
            Block::Heading { .. }
            | Block::Table { .. }
            | Block::Code { .. }
            | Block::Rule { .. }
            | Block::Picture(_)
            | Block::Series(_) => {}
        }
    }

    /// An item that only names a thing is read aloud but is no running text.
    fn item(&mut self, blocks: &[Block], scripted: bool) {
        for block in blocks {
            match block {
                Block::Paragraph { inlines, .. } => {
                    let text = self.understood.text_of(inlines);
                    if text.trim_end().ends_with(['.', '!', '?', '”', '"']) {
                        self.running(&text, scripted);
                    } else {
                        self.spoken(&text, scripted);
                    }
                }
                other => self.block(other, scripted),
            }
        }
    }

    fn running(&mut self, text: &str, scripted: bool) {
        self.counts = self.counts + Counts::of_in(text, &self.understood.content.settings.language);
        self.spoken(text, scripted);
    }

    fn spoken(&mut self, text: &str, scripted: bool) {
        let count = words(text).count();
        self.aloud += count;
        if scripted {
            self.script += count;
        }
    }
}

/// Every word that a block shows.
fn all_words(understood: &Understood, block: &Block) -> usize {
    let count = |inlines| words(&understood.text_of(inlines)).count();
    match block {
        Block::Heading { inlines, .. } | Block::Paragraph { inlines, .. } => count(inlines),
        Block::List { items, .. } => {
            items.iter().flat_map(|item| &item.blocks).map(|block| all_words(understood, block)).sum()
        }
        Block::Table { head, rows, .. } => {
            head.iter().chain(rows.iter().flatten()).map(|cell| count(&cell.inlines)).sum()
        }
        Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => {
            blocks.iter().map(|block| all_words(understood, block)).sum()
        }
        Block::Code { text, .. } => words(text).count(),
        Block::Picture(picture) => picture.caption.as_deref().map_or(0, |caption| words(caption).count()),
        Block::Rule { .. } | Block::Series(_) => 0,
    }
}

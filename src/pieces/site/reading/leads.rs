//! What leads away from its place on a page: links, quoted figures and charts of facts, pictures of the program.

use super::{DEEPEST, ProseWalker, Quote};
use crate::pieces::drawings::Form;
use crate::pieces::site::tree::{PageInline, PagePicture, PageSeries, PageSource};
use crate::pieces::site::{address, drawing_path};
use crate::pieces::tree::{Inline, Picture, Series, Target, words};

impl ProseWalker<'_> {
    pub(super) fn link(
        &mut self,
        to: &Target,
        inlines: Vec<Inline>,
        depth: usize,
        into: &mut Vec<PageInline>,
    ) {
        let href = if self.in_link { None } else { self.href(to) };
        match href {
            Some(href) if depth < DEEPEST => {
                self.in_link = true;
                let inlines = self.inlines(inlines, depth + 1);
                self.in_link = false;
                into.push(PageInline::Link { href, inlines });
                into.append(&mut self.held_back);
            }
            _ => {
                // The words stay; an address that is not followed is told beside them.
                let said = words(&inlines);
                self.inlines_into(inlines, depth, into);
                if let Target::Address { address } = to
                    && *address != said
                {
                    into.push(PageInline::Text { text: format!(" ({address})") });
                }
            }
        }
    }

    fn href(&self, to: &Target) -> Option<String> {
        match to {
            Target::Address { address } => address::followable(address),
            Target::Lesson { lesson, section, .. } => {
                let (page, id) = self.pages.lesson(lesson, section.as_deref())?;
                Some(self.page.link_to(page, id))
            }
        }
    }

    pub(super) fn figure(&mut self, fact: String, words: String) -> PageInline {
        let facts_page = self.pages.fact(&fact).filter(|_| !self.in_link);
        let Some(facts_page) = facts_page else { return PageInline::Text { text: words } };
        let href = self.page.link_to(facts_page, Some(&fact));
        if !self.quoted.contains_key(&fact) {
            self.tell_source(&fact, &words);
        }
        let id = self.quote(&fact, &words);
        PageInline::Figure { fact, id, href, words }
    }

    /// Where a figure comes from, once on the page; figures of one source stand together.
    fn tell_source(&mut self, fact: &str, words: &str) {
        let fact = self.facts.and_then(|facts| facts.fact(fact));
        let Some(source) = fact.and_then(|fact| fact.source.as_ref()) else { return };
        match self.sources.iter_mut().find(|told| told.source == source.text) {
            Some(told) => told.figures.push(words.to_owned()),
            None => {
                self.sources.push(PageSource { figures: vec![words.to_owned()], source: source.text.clone() })
            }
        }
    }

    fn quote(&mut self, fact: &str, words: &str) -> String {
        let count = self.quoted.entry(fact.to_owned()).or_insert(0);
        *count += 1;
        let id = format!("quote.{fact}.{count}");
        self.quotes.push(Quote {
            fact: fact.to_owned(),
            words: words.to_owned(),
            page: self.page.path.clone(),
            id: id.clone(),
            section: self.section.clone(),
        });
        id
    }

    /// Of a file that cannot be shown, its words, which stand in for it; the reader of the program has told of it.
    pub(super) fn picture(&mut self, picture: Picture) -> Result<PagePicture, String> {
        let Picture { file, alt, caption } = picture;
        let Some(path) = self.pages.picture(&file) else { return Err(alt) };
        let src = self.page.link_to(path, None);
        self.pictures.insert(file);
        Ok(PagePicture { src, alt, caption })
    }

    pub(super) fn series(&mut self, series: Series) -> PageSeries {
        let id = self.quote(&series.fact, &series.title);
        let [src, src_narrow, src_night, src_narrow_night] =
            Form::ALL.map(|form| self.page.link_to(&drawing_path(&series.fact, form), None));
        let facts_page = self.pages.fact(&series.fact);
        let href = facts_page.map(|page| self.page.link_to(page, Some(&series.fact)));
        PageSeries { series, id, src, src_narrow, src_night, src_narrow_night, href }
    }
}

//! The same page in the program's other languages.
//!
//! Each edition has a site of its own, in a folder of its language on the open shelf. Links between them are
//! relative like all others.

use super::head::EditionLink;
use super::pages::PageAddress;
use super::{FOLDER, FRONT_PAGE, Site, address};
use crate::pieces::edition_folder;
use crate::program::Spoken;
use url::Url;

impl Site<'_> {
    /// How a reader comes from a page to the other editions: to the same page, or to the front page where an
    /// edition has it not in its own words.
    pub(super) fn editions(&self, page: &PageAddress) -> Vec<EditionLink> {
        let own = &self.understood.content.settings.language;
        let others = self.languages().iter().filter(|spoken| spoken.language != *own);
        others
            .map(|spoken| {
                let same = has_page(spoken, page);
                let path = if same { &page.path } else { FRONT_PAGE };
                let href = format!("{}{}", page.up(), self.way_to(spoken));
                EditionLink {
                    language: spoken.language.clone(),
                    name: self.own_name(spoken),
                    href: href + &address::encoded_path(path),
                    whole: self.base_of(spoken).filter(|_| same).map(|base| address::whole(&base, path)),
                }
            })
            .collect()
    }

    /// The addresses on the web of a page in all languages that have it, by language: none where there is but one.
    pub(super) fn alternates(&self, path: &str) -> Vec<(&str, String)> {
        let page = PageAddress::new(path);
        let having = self.languages().iter().filter(|spoken| has_page(spoken, &page));
        let all: Vec<(&str, String)> = having
            .filter_map(|spoken| {
                Some((spoken.language.as_str(), address::whole(&self.base_of(spoken)?, path)))
            })
            .collect();
        if all.len() > 1 { all } else { Vec::new() }
    }

    /// Where this edition's folder of pages stands on the web.
    pub(super) fn base(&self) -> Option<String> {
        let own = &self.understood.content.settings.language;
        self.languages().iter().find(|spoken| spoken.language == *own).and_then(|spoken| self.base_of(spoken))
    }

    /// `[site] address` is the main edition's; the others lie beside it as they do on the shelf.
    fn base_of(&self, spoken: &Spoken) -> Option<String> {
        let main = self.understood.content.settings.site.address.as_deref()?;
        if self.is_main(spoken) {
            return Some(main.to_owned());
        }
        let beside = Url::parse(main).ok()?.join(&format!("../{}", folder_of(spoken, false))).ok()?;
        Some(beside.into())
    }

    /// From this edition's folder of pages to another's.
    fn way_to(&self, spoken: &Spoken) -> String {
        let up = if self.understood.content.fallback_language.is_some() { "../../" } else { "../" };
        format!("{up}{}", folder_of(spoken, self.is_main(spoken)))
    }

    fn languages(&self) -> &[Spoken] {
        &self.understood.content.languages
    }

    fn is_main(&self, spoken: &Spoken) -> bool {
        self.languages().first().is_some_and(|main| main.language == spoken.language)
    }

    /// A language's name in itself; with its tag where two are called the same.
    fn own_name(&self, spoken: &Spoken) -> String {
        let name = |spoken: &Spoken| self.selection.words.own_name(&spoken.language).to_owned();
        let (own, tag) = (name(spoken), &spoken.language);
        let called_so = self.languages().iter().filter(|other| name(other) == own).count();
        if called_so > 1 { format!("{own} ({tag})") } else { own }
    }
}

/// Below the open shelf.
fn folder_of(spoken: &Spoken, is_main: bool) -> String {
    if is_main { format!("{FOLDER}/") } else { format!("{}/{FOLDER}/", edition_folder(&spoken.language)) }
}

/// Whether a language has a page in its own words. All have the same pages; a lesson may be lacking.
fn has_page(spoken: &Spoken, page: &PageAddress) -> bool {
    page.lesson().is_none_or(|lesson| spoken.lessons.contains(lesson))
}

//! Which pages a site has, and how one leads to another.

use super::address;
use std::collections::{BTreeMap, BTreeSet};

/// Where a page stands; links from it are relative, so that the site works from any folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageAddress {
    /// Below the site's folder: `lessons/water-and-heat.html`.
    pub path: String,
}

impl PageAddress {
    pub fn new(path: impl Into<String>) -> Self {
        Self { path: path.into() }
    }

    pub fn of_lesson(id: &str) -> Self {
        Self::new(format!("lessons/{id}.html"))
    }

    /// A link to a file below the site's folder, and perhaps to an id in it.
    pub fn link_to(&self, path: &str, id: Option<&str>) -> String {
        let fragment = id.map(address::fragment).unwrap_or_default();
        if path == self.path && !fragment.is_empty() {
            return fragment;
        }
        format!("{}{}{fragment}", self.up(), address::encoded_path(path))
    }

    /// A link to a file of the open shelf, which holds the site's folder.
    pub fn link_to_shelf(&self, path: &str) -> String {
        format!("{}../{}", self.up(), address::encoded_path(path))
    }

    /// From this page to the site's folder.
    pub fn up(&self) -> String {
        "../".repeat(self.path.matches('/').count())
    }
}

/// What pages can lead to.
#[derive(Clone, Debug, Default)]
pub struct Pages {
    /// By a lesson's id: its page below the site's folder, and the ids of its sections.
    lessons: BTreeMap<String, (String, BTreeSet<String>)>,
    /// By a fact's name: the page that tells of it.
    facts: BTreeMap<String, String>,
    /// By a picture's file in the program: where it stands below the site.
    pictures: BTreeMap<String, String>,
}

impl Pages {
    pub fn add_lesson<'s>(&mut self, id: &str, sections: impl Iterator<Item = &'s str>) {
        let page = PageAddress::of_lesson(id).path;
        self.lessons.insert(id.to_owned(), (page, sections.map(str::to_owned).collect()));
    }

    pub fn add_fact(&mut self, name: &str, page: &str) {
        self.facts.insert(name.to_owned(), page.to_owned());
    }

    /// A picture that can be shown.
    pub fn add_picture(&mut self, file: &str, path: String) {
        self.pictures.insert(file.to_owned(), path);
    }

    pub fn lesson(&self, id: &str) -> Option<(&str, &BTreeSet<String>)> {
        self.lessons.get(id).map(|(page, sections)| (page.as_str(), sections))
    }

    pub fn fact(&self, name: &str) -> Option<&str> {
        self.facts.get(name).map(String::as_str)
    }

    pub fn picture(&self, file: &str) -> Option<&str> {
        self.pictures.get(file).map(String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_are_relative_to_the_page() {
        let lesson = PageAddress::of_lesson("heat");
        assert_eq!(lesson.link_to("facts.html", Some("ground-heat")), "../facts.html#ground-heat");
        assert_eq!(lesson.link_to("lessons/ropes.html", None), "../lessons/ropes.html");
        assert_eq!(lesson.link_to("lessons/heat.html", Some("shade")), "#shade");
        assert_eq!(lesson.link_to("lessons/heat.html", None), "../lessons/heat.html");
        assert_eq!(lesson.link_to_shelf("handbook.pdf"), "../../handbook.pdf");
        assert_eq!(PageAddress::new("index.html").link_to_shelf("handbook.pdf"), "../handbook.pdf");
    }
}

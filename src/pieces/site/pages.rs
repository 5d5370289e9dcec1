//! Which pages a site has, and how one leads to another.

use super::address;
use std::collections::BTreeMap;

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

    /// The lesson that the page shows, where it is a lesson's.
    pub fn lesson(&self) -> Option<&str> {
        self.path.strip_prefix("lessons/")?.strip_suffix(".html")
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

/// Where a lesson is shown.
#[derive(Clone, Debug)]
struct LessonPlace {
    /// Below the site's folder.
    page: String,
    /// The lesson's id on a page that shows others too.
    id: Option<String>,
    /// Each section's id on the page, by its id in the lesson.
    sections: BTreeMap<String, String>,
}

/// What pages can lead to.
#[derive(Clone, Debug, Default)]
pub struct Pages {
    /// By a lesson's id: where it is shown.
    lessons: BTreeMap<String, LessonPlace>,
    /// By a fact's name: the page that tells of it.
    facts: BTreeMap<String, String>,
    /// By a picture's file in the program: where it stands below the site.
    pictures: BTreeMap<String, String>,
}

impl Pages {
    pub fn add_lesson<'s>(&mut self, id: &str, sections: impl Iterator<Item = &'s str>) {
        let page = PageAddress::of_lesson(id).path;
        let sections = sections.map(|section| (section.to_owned(), section.to_owned())).collect();
        self.lessons.insert(id.to_owned(), LessonPlace { page, id: None, sections });
    }

    /// Leads to a lesson on a page that holds several, with the ids that its sections have there.
    pub fn lead_lesson_to(&mut self, lesson: &str, page: &str, sections: &BTreeMap<String, String>) {
        let place =
            LessonPlace { page: page.to_owned(), id: Some(lesson.to_owned()), sections: sections.clone() };
        self.lessons.insert(lesson.to_owned(), place);
    }

    pub fn add_fact(&mut self, name: &str, page: &str) {
        self.facts.insert(name.to_owned(), page.to_owned());
    }

    /// A picture that can be shown.
    pub fn add_picture(&mut self, file: &str, path: String) {
        self.pictures.insert(file.to_owned(), path);
    }

    /// The page of a lesson, and the id on it of a section, or of the lesson.
    pub fn lesson(&self, id: &str, section: Option<&str>) -> Option<(&str, Option<&str>)> {
        let LessonPlace { page, id, sections } = self.lessons.get(id)?;
        let section = section.and_then(|section| sections.get(section));
        Some((page, section.or(id.as_ref()).map(String::as_str)))
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

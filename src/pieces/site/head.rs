//! What every page is given: the program, whom to call, and the way to the other pages.

use super::pages::PageAddress;
use super::{
    FACTS_PAGE, FRONT_PAGE, STYLE_SHEET, Site, address, answers, check, glossary, here_name, search,
    self_check, slides, workshops,
};
use crate::imposition::Reading;
use crate::pieces::common::{self, ContactData, Head};
use schemars::JsonSchema;
use serde::Serialize;

/// The common part of a page's data; the page has its own keys beside.
#[derive(Serialize, JsonSchema)]
pub struct PageHead<'p> {
    /// What the page is called.
    title: String,
    program: PageProgram<'p>,
    page: PageWay,
}

/// The program that the site belongs to.
#[derive(Serialize, JsonSchema)]
pub struct PageProgram<'p> {
    /// The language of the program (BCP 47): en, es-MX.
    language: &'p str,
    name: &'p str,
    /// The agency that runs the program.
    agency: &'p str,
    /// The season, as `program.toml` has it.
    season: &'p str,
    /// Whom to call in an emergency.
    emergency: Vec<PageContact<'p>>,
    /// Whom to ask else, in the order of `program.toml`.
    contacts: Vec<PageContact<'p>>,
}

/// A contact with the links that call and write to it.
#[derive(Serialize, JsonSchema)]
pub struct PageContact<'p> {
    #[serde(flatten)]
    contact: ContactData<'p>,
    /// The link that calls; null where the words are no plain number.
    call: Option<String>,
    /// The link that writes; null where there is no address.
    write: Option<String>,
}

/// Where the page stands, and the way from it to the others. Addresses are relative to this page.
#[derive(Serialize, JsonSchema)]
pub struct PageWay {
    /// Which entry of the way is this page: front, facts, lesson and so on.
    here: &'static str,
    /// The language of the program (BCP 47): en, es-MX.
    language: String,
    direction: Direction,
    front: String,
    facts: String,
    slides: String,
    /// Null where there is no event with a date.
    workshops: Option<String>,
    /// Null where there is no glossary.
    glossary: Option<String>,
    /// Null where the program keeps its key.
    self_check: Option<String>,
    /// Null where there are no questions.
    answers: Option<String>,
    check: String,
    search: String,
    /// The page's own address on the web; null where the program does not say where its pages stand.
    canonical: Option<String>,
    /// The same page in the program's other languages; the front page where an edition has it not.
    editions: Vec<EditionLink>,
    /// The style sheet.
    style: String,
}

/// Which way lines run.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Direction {
    Ltr,
    Rtl,
}

/// The same page in another language.
#[derive(Serialize, JsonSchema)]
pub struct EditionLink {
    /// A language (BCP 47): en, es-MX.
    pub language: String,
    /// What the language is called in itself.
    pub name: String,
    pub href: String,
    /// The address on the web of the same page; null where there is none.
    pub whole: Option<String>,
}

impl<'u> Site<'u> {
    pub(super) fn head(&self, page: &PageAddress, title: &str) -> PageHead<'u> {
        let Head { title, program, .. } = common::head(self.understood, self.selection, title);
        let (emergency, contacts): (Vec<PageContact>, Vec<PageContact>) =
            program.contacts.into_iter().map(reachable).partition(|contact| contact.contact.emergency);
        PageHead {
            title,
            program: PageProgram {
                language: program.language,
                name: program.name,
                agency: program.agency,
                season: program.season,
                emergency,
                contacts,
            },
            page: self.way(page),
        }
    }

    fn way(&self, page: &PageAddress) -> PageWay {
        let language = &self.understood.content.settings.language;
        let link = |path: &str| page.link_to(path, None);
        PageWay {
            here: here_name(&page.path),
            language: language.clone(),
            direction: match Reading::of(language) {
                Reading::LeftToRight => Direction::Ltr,
                Reading::RightToLeft => Direction::Rtl,
            },
            front: link(FRONT_PAGE),
            facts: link(FACTS_PAGE),
            slides: link(&slides::address(None).path),
            workshops: self.has_workshops().then(|| link(workshops::PAGE)),
            glossary: self.has_glossary().then(|| link(glossary::PAGE)),
            self_check: self.has_self_check().then(|| link(self_check::PAGE)),
            answers: self.has_answer_form().then(|| link(answers::PAGE)),
            check: link(check::PAGE),
            search: link(search::PAGE),
            canonical: self.base().map(|base| address::whole(&base, &page.path)),
            editions: self.editions(page),
            style: link(STYLE_SHEET),
        }
    }
}

fn reachable(contact: ContactData) -> PageContact {
    PageContact {
        call: contact.phone.and_then(address::call_to),
        write: contact.email.and_then(address::letter_to),
        contact,
    }
}

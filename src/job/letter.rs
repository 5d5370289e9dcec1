//! A letter by e-mail: what stands in it, but for the certificate, which the press makes for it.

use jiff::civil::Date;

/// A draft for any mail program, with a page of a run attached to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Letter {
    pub from: Mailbox,
    pub to: Mailbox,
    /// The same letter has the same day, whenever it is made.
    pub day: Date,
    /// A BCP 47 tag.
    pub language: String,
    pub subject: String,
    pub text: String,
    /// What the page is called that is attached, `elena-marquez-jrhy4p87.pdf`.
    pub page: String,
    /// What is attached beside it: its name, and its text.
    pub record: Option<(String, String)>,
}

/// A name, and the address that belongs to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mailbox {
    pub name: String,
    pub address: String,
}

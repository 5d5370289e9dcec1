//! `[[contacts]]` and `[[signatures]]`: who answers questions, and who signs the certificates.

use super::{optional, picture_path};
use crate::finding::{Place, rules};
use crate::program::Written;
use crate::program::form::{Form, slug};

/// Whom to call or write to, and what for. Emergencies stand apart in print.
#[derive(Clone, Debug)]
pub struct Contact {
    /// By which a text links to what it says: its own, else its name in small letters with hyphens.
    pub id: Written,
    /// Whether the id was written down.
    pub has_own_id: bool,
    pub name: String,
    pub purpose: String,
    pub phone: Option<String>,
    pub hours: Option<String>,
    /// Where the purpose stands, and the hours.
    pub purpose_place: Place,
    pub hours_place: Option<Place>,
    pub email: Option<String>,
    pub emergency: bool,
}

impl Contact {
    pub(super) fn read(mut table: Form) -> Self {
        let name = table.need_text("name", "Basin Dispatch");
        let own_id = table.id("id");
        let has_own_id = own_id.is_some();
        let id = own_id.unwrap_or_else(|| Written { text: slug(&name.text), place: name.place.clone() });
        let purpose = table.need_text("for", "Injury or fire");
        let phone = optional(table.text("phone"));
        let hours = table.text("hours");
        let contact = Self {
            id,
            has_own_id,
            name: name.text,
            purpose: purpose.text,
            purpose_place: purpose.place,
            phone,
            hours_place: hours.as_ref().map(|hours| hours.place.clone()),
            hours: optional(hours),
            email: optional(table.text("email")),
            emergency: table.flag("emergency"),
        };
        table.finish();
        contact
    }
}

const SIGNATURES: usize = 3;

/// Somebody who signs the certificates.
#[derive(Clone, Debug)]
pub struct Signature {
    pub name: String,
    pub title: String,
    /// The signature itself: `pictures/signature-calloway.svg`.
    pub picture: Option<Written>,
}

impl Signature {
    pub(super) fn read(mut table: Form) -> Self {
        let signature = Self {
            name: table.need_text("name", "Ines Calloway").text,
            title: table.need_text("title", "Outreach Ranger").text,
            picture: picture_path(&mut table, "picture"),
        };
        table.finish();
        signature
    }
}

pub(super) fn signatures(file: &mut Form) -> Vec<Signature> {
    let tables = file.forms("signatures", "signature");
    if let Some(more) = tables.get(SIGNATURES) {
        let message = "A certificate has room for three signatures, and this is the fourth.";
        file.tell(&rules::VALUE_UNFIT, more.place.clone(), message, "Take one of them out.");
    }
    tables.into_iter().map(Signature::read).collect()
}

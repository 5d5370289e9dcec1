//! What the signed record of a certificate says.

use crate::credential::{self, SecretKey, badge};
use crate::program::Settings;
use crate::program::register::{Given, Occasion};

/// What a certificate is called where the program does not say.
const TITLE: &str = "Certificate";

/// What a certificate is called, as its record says it.
pub(super) fn title(settings: &Settings) -> &str {
    settings.certificate.title.as_deref().unwrap_or(TITLE)
}

/// What it was given by, as its record says it: the program, and its season or its service unit.
pub(super) fn description(given: &Given, settings: &Settings) -> String {
    match &given.occasion {
        Occasion::Event { .. } => format!("{}, {}", settings.name, given.season),
        Occasion::Award { .. } => format!("{}, service unit", settings.name),
    }
}

/// Signs a certificate: its record becomes part of its line in the register.
pub fn sign(mut given: Given, settings: &Settings, key: &SecretKey) -> Given {
    let criteria = match &given.occasion {
        Occasion::Event { .. } => "Attended the workshop and passed its questions.",
        Occasion::Award { .. } => "Gave the hours of service that the award asks for.",
    };
    let description = description(&given, settings);
    let record = badge::sign_given(
        &credential::Claims {
            agency: given.agency.as_deref().unwrap_or(&settings.agency),
            title: title(settings),
            number: &given.number.to_string(),
            holder: &given.name,
            companion: given.companion.as_deref(),
            achievement: given.occasion.name(),
            description: &description,
            criteria,
            date: given.occasion.date(),
            until: given.until,
        },
        key,
    );
    given.credential = Some(record);
    given
}

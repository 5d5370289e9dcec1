//! What the signed record of a certificate says.

use crate::credential::{self, SecretKey, badge};
use crate::program::Settings;
use crate::program::register::{Given, Occasion};

/// What a certificate is called where the program does not say.
const TITLE: &str = "Certificate";

/// Signs a certificate: its record becomes part of its line in the register.
pub fn sign(mut given: Given, settings: &Settings, key: &SecretKey) -> Given {
    let (description, criteria) = match &given.occasion {
        Occasion::Event { .. } => (
            format!("{}, {}", settings.name, given.season),
            "Attended the workshop and passed its questions.",
        ),
        Occasion::Award { .. } => {
            (format!("{}, service unit", settings.name), "Gave the hours of service that the award asks for.")
        }
    };
    let record = badge::sign_given(
        &credential::Claims {
            agency: given.agency.as_deref().unwrap_or(&settings.agency),
            title: settings.certificate.title.as_deref().unwrap_or(TITLE),
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

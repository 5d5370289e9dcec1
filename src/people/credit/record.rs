//! What the signed record of a certificate says.

use crate::credential::{self, SecretKey, badge};
use crate::program::Settings;
use crate::program::register::{Given, Occasion};

/// What a certificate is called where the program does not say; on paper the theme has its own words then.
pub const TITLE: &str = "Certificate";

/// What a certificate is called, as its record says it.
pub fn title(settings: &Settings) -> &str {
    settings.certificate.title.as_deref().unwrap_or(TITLE)
}

/// What it was given by, as its record says it: the program, and its season or its service unit.
fn description(given: &Given, program: &str) -> String {
    format!("{program}{}", after_program(given))
}

fn after_program(given: &Given) -> String {
    match &given.occasion {
        Occasion::Event { .. } => format!(", {}", given.season),
        Occasion::Award { .. } => ", service unit".to_owned(),
    }
}

/// What a certificate is called, by its record or its line; lines of an older form that nobody signed do not say.
pub fn title_of(given: &Given) -> Option<&str> {
    let of_record = || Some(badge::claims(given.credential.as_ref()?)?.title);
    given.title.as_deref().or_else(of_record)
}

/// The program that gave it, by its record or its line.
pub fn program_of(given: &Given) -> Option<&str> {
    let of_record = || {
        let description = badge::claims(given.credential.as_ref()?)?.description;
        description.strip_suffix(&*after_program(given))
    };
    given.program.as_deref().or_else(of_record)
}

/// A certificate that nobody signs: its line itself says what its record would.
pub fn unsigned(given: Given, settings: &Settings) -> Given {
    Given { title: Some(title(settings).to_owned()), program: Some(settings.name.clone()), ..given }
}

/// Signs a certificate: its record becomes part of its line in the register.
pub fn sign(mut given: Given, settings: &Settings, key: &SecretKey) -> Given {
    let criteria = match &given.occasion {
        Occasion::Event { .. } => "Attended the workshop and passed its questions.",
        Occasion::Award { .. } => "Gave the hours of service that the award asks for.",
    };
    let description = description(&given, &settings.name);
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
    (given.title, given.program, given.credential) = (None, None, Some(record));
    given
}

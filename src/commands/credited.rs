//! Who was newly credited, as it is told.

use crate::program::Program;
use crate::session::{Credited, Signing};
use std::io::{self, Write};

/// Says who was newly credited, by event, and where their certificates are.
pub(super) fn tell(credited: &Credited, program: &Program, out: &mut dyn Write) -> io::Result<()> {
    if credited.mended {
        writeln!(
            out,
            "An earlier run was interrupted while it wrote to the certificate register; what it had not finished was removed."
        )?;
    }
    let people = |count| if count == 1 { "1 person".to_owned() } else { format!("{count} people") };
    for ((name, path), count) in Credited::counts(&credited.newly, program) {
        writeln!(out, "Newly credited: {} for {name}; to print: private/{path}.", people(count))?;
    }
    for ((name, path), count) in Credited::counts(&credited.unprinted, program) {
        let people = people(count);
        writeln!(
            out,
            "Credited before, and made here for the first time: {people} for {name}; to print: private/{path}."
        )?;
    }
    tell_signing(&credited.signing, credited.newly.len(), out)
}

/// Says of so many new certificates that they are not signed, and how to have them signed.
pub(super) fn tell_signing(signing: &Signing, count: usize, out: &mut dyn Write) -> io::Result<()> {
    let unsigned = match count {
        0 => return Ok(()),
        1 => "The new certificate is not signed".to_owned(),
        _ => format!("The {count} new certificates are not signed"),
    };
    match signing {
        Signing::With(_) => Ok(()),
        Signing::NoKey => writeln!(
            out,
            "{unsigned}: this program has no signing key. `packstring certificates key` makes one."
        ),
        Signing::KeyElsewhere => writeln!(
            out,
            "{unsigned}: the program's signing key is not on this computer. `packstring certificates key` says where to put your copy of it."
        ),
    }
}

//! `packstring certificates withdraw`: a certificate no longer counts, and the register says why.

use crate::commands::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::program::Program;
use crate::session::{Environment, withdraw};
use std::io::Write;

pub fn run(
    program: &Program,
    number: &Number,
    because: &str,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    withdraw(program, None, number, because, environment)?;
    writeln!(
        out,
        "{number} is withdrawn. Its number is not used again, and packstring does not give the certificate again on its own."
    )?;
    writeln!(
        out,
        "The next full `packstring make` removes its PDF. Withdrawn in error? `packstring certificates replace {number}` gives a new one."
    )?;
    Ok(Outcome::Clear)
}

//! `packstring certificates key`: the program's signing key, made and shown by its public half.

use crate::commands::{CommandError, Outcome};
use crate::credential::SecretKey;
use crate::program::Program;
use crate::program::register::{Entry, Key, Register, SignedIn};
use crate::session::{Environment, note_register, signing};
use crate::shelf::register::RegisterError;
use crate::shelf::{keys, register};
use std::io::Write;
use std::path::Path;

pub fn run(
    program: &Program,
    (new, lost): (bool, bool),
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let Some(folder) = &environment.keys else {
        return Err(CommandError::said(
            "The system has no folder for this user's settings. Name one for signing keys with the variable PACKSTRING_KEYS.",
        ));
    };
    match program.people.register.key() {
        Some(key) if !new => show(program, key, folder, out),
        _ => make(program, folder, lost, environment, out),
    }
}

fn show(program: &Program, key: &Key, folder: &Path, out: &mut dyn Write) -> Result<Outcome, CommandError> {
    writeln!(
        out,
        "Certificates of {} are signed with the key of {}.",
        program.content.settings.name, key.day
    )?;
    writeln!(out, "Its public half, which anyone may know: {}", key.public)?;
    match keys::find(folder, &key.public)? {
        Some(kept) => {
            writeln!(out, "Its private half is in {}. Keep a copy elsewhere.", kept.file.display())?
        }
        None => writeln!(
            out,
            "Its private half is not on this computer: put your copy of the file into {}. Without a copy, make a new key with --new --lost; what was signed stays valid.",
            folder.display()
        )?,
    }
    let earlier = program.people.register.keys().count() - 1;
    if earlier > 0 {
        let keys = if earlier == 1 { "1 earlier key".to_owned() } else { format!("{earlier} earlier keys") };
        writeln!(out, "The register also has {keys}; certificates signed with them stay valid.")?;
    }
    Ok(Outcome::Clear)
}

/// The private half is kept first: a public half that nobody can sign for would be in the register for
/// good.
fn make(
    program: &Program,
    folder: &Path,
    lost: bool,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    refuse_inside(program, folder)?;
    // Before the private half is kept.
    register::check(&program.folder)?;
    let mut seed = [0; 32];
    getrandom::fill(&mut seed).map_err(|error| {
        CommandError::said(format!("The system gives no random numbers to make a key of: {error}."))
    })?;
    let key = SecretKey::from_seed(seed);
    let earlier = signing(program, environment)?;
    if program.people.register.key().is_some() && earlier.key().is_none() && !lost {
        return Err(CommandError::said(format!(
            "A new key counts only if the earlier one signs it, and the earlier one is not on this computer: put your copy of it into {}. If it is lost, add --lost. Then make the new key known to the people who check certificates, because the register alone cannot vouch for it.",
            folder.display()
        )));
    }
    let file = keys::keep(folder, &program.content.settings.name, environment.today, &key)?;
    let public = key.public().to_string();
    let of = |register: &Register| register.keys().count() + register.keys_unsigned().count();
    let known = of(&program.people.register);
    let day = environment.today;
    // The first key signs the head itself; one that nobody signs in vouches for nothing.
    let by = earlier.key().or(Some(&key));
    let added = register::add(&program.folder, by, |register: &Register| {
        // Two runs at once make one key, not two.
        if of(register) != known {
            return Ok(Vec::new());
        }
        let signed = earlier.key().map(|by| SignedIn::of(&public, day, register, by));
        Ok::<_, RegisterError>(vec![Entry::Key(Key { public: public.clone(), day, signed })])
    });
    match added {
        Ok(added) if !added.entries.is_empty() => note_register(&program.folder, None, &added.register),
        Ok(_) => {
            keys::discard(&file)?;
            return Err(CommandError::said(
                "Another packstring has made a key just now. See `packstring certificates key`.",
            ));
        }
        Err(error) => {
            keys::discard(&file)?;
            return Err(error.into());
        }
    }
    writeln!(
        out,
        "Made a signing key for {}. From now on, certificates are signed with it.",
        program.content.settings.name
    )?;
    writeln!(out, "Its public half is in the certificate register: {public}")?;
    writeln!(
        out,
        "Its private half is in {}. Keep a copy where only you can get it: anybody who has it can sign in the program's name, and without it nobody can.",
        file.display()
    )?;
    Ok(Outcome::Clear)
}

/// A key in the program folder would go wherever the folder goes.
fn refuse_inside(program: &Program, folder: &Path) -> Result<(), CommandError> {
    let whole = |path: &Path| path.canonicalize().or_else(|_| std::path::absolute(path));
    let (Ok(inside), Ok(outside)) = (whole(folder), whole(&program.folder)) else { return Ok(()) };
    if inside.starts_with(outside) {
        return Err(CommandError::said(format!(
            "{} is in the program folder, and a signing key must not be there: it would go wherever the folder goes. Name another folder with PACKSTRING_KEYS.",
            folder.display()
        )));
    }
    Ok(())
}

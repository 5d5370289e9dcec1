//! Whether what was asked for is there.

use super::SessionError;
use crate::job::Piece;
use crate::nearest::nearest;
use crate::people;
use crate::pieces::Selection;
use crate::program::Program;

/// An event or a participant that is not there is a slip of the keyboard; the nearest one is offered.
pub fn check_selection(program: &Program, selection: &Selection) -> Result<(), SessionError> {
    if selection.pieces.contains(&Piece::Errata) && selection.since.is_none() {
        return Err(SessionError::said(
            "Errata correct what was printed before. Say which earlier making with --since: an out folder, or the name of a record that `packstring make --keep-record NAME` kept.",
        ));
    }
    if let Some(event) = &selection.scope.event
        && !program.content.settings.events.iter().any(|known| known.id == *event)
    {
        if let Some(undated) = program.content.settings.undated.iter().find(|known| known.id == *event) {
            return Err(SessionError::said(format!(
                "The event “{}” has no date yet. Write it in program.toml.",
                undated.id
            )));
        }
        let known: Vec<&str> =
            program.content.settings.events.iter().map(|event| event.id.as_str()).collect();
        let offer = match nearest(event, known.iter().copied()) {
            Some(near) => format!("Did you mean “{near}”?"),
            None if known.is_empty() => "It names none; add one under [[events]].".to_owned(),
            None => format!("The events are: {}.", known.join(", ")),
        };
        return Err(SessionError::said(format!("There is no event “{event}” in program.toml. {offer}")));
    }
    let labels = program.content.settings.mail().labels;
    if let Some(start) = selection.start_label.filter(|start| *start as usize > labels.on_sheet()) {
        return Err(SessionError::said(format!(
            "There is no label {start} on a sheet of {} ({}). Write a number from 1 to {0}.",
            labels.on_sheet(),
            labels.name
        )));
    }
    if let Some(name) = &selection.scope.participant {
        find_participant(program, name)?;
    }
    Ok(())
}

fn find_participant(program: &Program, name: &str) -> Result<(), SessionError> {
    let given = program.people.register.all_given().map(|given| &given.name);
    let served = program.people.hours.iter().map(|entry| &entry.name);
    if !people::find(program, name).is_empty()
        || given.chain(served).any(|known| people::same_name(known, name))
    {
        return Ok(());
    }
    let near = people::nearest_names(program, name, 3);
    let offer = if near.is_empty() {
        "Write the name as the roster has it.".to_owned()
    } else {
        format!("Did you mean {}?", near.join(" or "))
    };
    Err(SessionError::said(format!("There is no participant “{name}” in the roster. {offer}")))
}

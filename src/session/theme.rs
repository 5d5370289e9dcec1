//! The program's theme, and a press with it.

use super::SessionError;
use crate::press::{Press, Theme};
use crate::program::Program;

/// The press with the program's theme and pictures.
///
/// # Errors
/// The theme or its words cannot be read.
pub fn open_press(program: &Program) -> Result<Press, SessionError> {
    let theme = theme_of(program)?;
    theme.words()?;
    Ok(Press::open(theme, &program.folder))
}

/// The program's theme: the built-in one, with the files of the program's own folder where it has one.
pub(super) fn theme_of(program: &Program) -> Result<Theme, SessionError> {
    Ok(match &program.content.settings.theme {
        Some(folder) => Theme::with_folder(&program.folder, &folder.text)?,
        None => Theme::plain(),
    })
}

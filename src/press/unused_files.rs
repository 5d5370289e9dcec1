//! Files in the program's own theme folder that nothing asks for: most are slips of a name, and the
//! built-in file is used while the ranger wonders why nothing changes.

use super::Theme;
use crate::finding::{Finding, Place, rules};
use crate::nearest::nearest;

/// A note for each file that is not one of the built-in theme, no font, no table of words and no note of
/// the author's, and that no other file of the theme names.
pub fn unused_files(theme: &Theme) -> Vec<Finding> {
    let plain = Theme::plain();
    let asked = |name: &str| plain.file(name).is_some() || is_at_home(name) || is_named(theme, name);
    let strangers = theme.own_files().filter(|name| !asked(name));
    strangers
        .map(|name| {
            let message = "Nothing uses this file of the theme: it does not replace a built-in file, and no template names it.";
            let known = || plain.files().map(|(name, _)| name);
            // In its own folder first: a near name elsewhere is a file in the wrong folder.
            let same_file = || known().find(|known| file_of(known) == file_of(name));
            let mend = match nearest(name, known()).or_else(same_file) {
                Some(near) => format!("Call it {near} if that is the file that it is to replace."),
                None => "See `packstring theme DIR` for the names of all files of a theme.".to_owned(),
            };
            Finding::of(&rules::THEME_FILE_UNUSED, Place::whole(&theme.shown(name)), message).mend(mend)
        })
        .collect()
}

/// Whether it has its place by what it is.
fn is_at_home(name: &str) -> bool {
    let (folder, file) = name.rsplit_once('/').unwrap_or(("", name));
    let is = |endings: &[&str]| {
        file.rsplit_once('.').is_some_and(|(_, ending)| endings.contains(&ending.to_lowercase().as_str()))
    };
    // Licenses and notes of the author may lie anywhere.
    is(&["txt", "md"])
        || file.to_lowercase().starts_with("license")
        || (folder.split('/').next() == Some("type") && is(&["ttf", "otf", "ttc", "otc"]))
        || (["words", "desk/words"].contains(&folder)
            && is(&["toml"])
            && is_language(&file[..file.len() - ".toml".len()]))
}

/// `es`, `es-MX`: two or three letters, then parts of two to eight letters and digits (BCP 47).
fn is_language(name: &str) -> bool {
    let mut parts = name.split('-');
    let first = parts.next().unwrap_or_default();
    (2..=3).contains(&first.len())
        && first.chars().all(|letter| letter.is_ascii_lowercase())
        && parts.all(|part| {
            (2..=8).contains(&part.len()) && part.chars().all(|letter| letter.is_ascii_alphanumeric())
        })
}

/// Whether another file of the theme has its name in its text.
fn is_named(theme: &Theme, name: &str) -> bool {
    let file = file_of(name);
    theme
        .files()
        .filter(|(other, _)| *other != name)
        .filter_map(|(_, bytes)| std::str::from_utf8(bytes).ok())
        .any(|text| text.contains(file))
}

fn file_of(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_nothing_asks_for_is_told_with_the_nearest_name() {
        let program = tempfile::tempdir().unwrap();
        let put = |name: &str, text: &str| {
            let path = program.path().join("themes/ours").join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        };
        put("sheets/hanbook.typ", "");
        put("handout.typ", "");
        put("sheets/deck.typ", "#import \"lib/ours.typ\"");
        put("sheets/lib/ours.typ", "");
        put("words/es-MX.toml", "");
        put("words/engl.toml", "");
        put("type/Ours.otf", "");
        put("type/LICENSE", "");
        put("README.md", "");
        let theme = Theme::with_folder(program.path(), "themes/ours").unwrap();
        let told: Vec<_> = unused_files(&theme)
            .into_iter()
            .map(|finding| (finding.place.file.to_string(), finding.mend.unwrap()))
            .collect();
        let replaces = |name: &str| format!("Call it {name} if that is the file that it is to replace.");
        let expected = [
            ("themes/ours/handout.typ".to_owned(), replaces("sheets/handout.typ")),
            ("themes/ours/sheets/hanbook.typ".to_owned(), replaces("sheets/handbook.typ")),
            ("themes/ours/words/engl.toml".to_owned(), replaces("words/en.toml")),
        ];
        assert_eq!(told, expected);
        assert_eq!(unused_files(&Theme::plain()), []);
    }
}

//! What a cell answers to yes or no, in English and Spanish and with the marks of lists; and which language it names.

pub(super) enum Answer {
    Yes,
    No,
    /// The cell is empty.
    Nothing,
    Unclear,
}

const YES: [&str; 14] =
    ["yes", "y", "true", "1", "x", "✓", "✔", "☑", "sí", "si", "s", "pass", "passed", "attended"];
const NO: [&str; 11] = ["no", "n", "false", "0", "-", "–", "✗", "✘", "☐", "fail", "failed"];

pub(super) fn answer(value: &str) -> Answer {
    let is = |words: &[&str]| {
        words.iter().any(|word| value.eq_ignore_ascii_case(word))
            || (!value.is_ascii() && words.contains(&value.to_lowercase().as_str()))
    };
    match () {
        () if value.is_empty() => Answer::Nothing,
        () if is(&YES) => Answer::Yes,
        () if is(&NO) => Answer::No,
        () => Answer::Unclear,
    }
}

/// The tag of a language by what people call it; other words as they are.
pub(super) fn language(value: &str) -> &str {
    match value.to_lowercase().as_str() {
        "english" | "inglés" | "ingles" => "en",
        "spanish" | "español" | "espanol" | "castellano" => "es",
        _ => value,
    }
}

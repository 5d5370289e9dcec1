//! Targets: what the address of a link or picture means.

use super::super::files::unfit_path;
use super::super::lesson::Target;
use super::super::mistakes::offer;
use crate::finding::{Rule, rules};

/// Why an address cannot be taken.
pub(super) struct Unfit {
    pub rule: &'static Rule,
    pub message: String,
    pub mend: String,
}

impl Unfit {
    fn new(rule: &'static Rule, message: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { rule, message: message.into(), mend: mend.into() }
    }
}

/// The address of a link that is no backed figure.
pub(super) fn link(address: &str) -> Result<Target, Unfit> {
    if address.is_empty() {
        return Err(Unfit::new(
            &rules::LINK_UNFIT,
            "This link leads nowhere.",
            "Write an address between ( and ).",
        ));
    }
    if let Some(section) = address.strip_prefix('#') {
        return Ok(Target::Section(decode(section)));
    }
    if let Some(scheme) = scheme(address) {
        return match scheme.as_str() {
            "https" | "http" | "mailto" | "tel" => Ok(Target::Address(address.to_owned())),
            _ => {
                let known = ["https", "http", "mailto", "tel", "fact"];
                let all =
                    "A link starts with https:, mailto:, tel: or fact:, or names a lesson such as water.md.";
                let written = &address[..scheme.len()];
                if known.contains(&scheme.as_str()) {
                    let message = format!("“{written}:” must be in small letters.");
                    return Err(Unfit::new(
                        &rules::LINK_UNFIT,
                        message,
                        format!("Write {scheme}: in small letters."),
                    ));
                }
                let message = format!("packstring does not know links that start with “{written}:”.");
                Err(Unfit::new(&rules::LINK_UNFIT, message, offer(&scheme, known, all)))
            }
        };
    }
    let address = decode(address);
    if let Some(why) = unfit_path(&address) {
        return Err(Unfit::new(
            &rules::PATH_ESCAPES,
            why,
            "Name a lesson by its file alone, such as water.md.",
        ));
    }
    let (file, section) = match address.split_once('#') {
        Some((file, section)) => (file, Some(section.to_owned())),
        None => (address.as_str(), None),
    };
    let file = file.strip_prefix("./").unwrap_or(file);
    let file = file.strip_prefix("lessons/").unwrap_or(file);
    match file.strip_suffix(".md") {
        Some(id) if !id.is_empty() && !id.contains('/') => Ok(Target::Lesson { id: id.to_owned(), section }),
        _ => {
            let could_be_lesson = !file.is_empty() && !file.contains(['.', '/', ' ']);
            let mend = match section {
                _ if !could_be_lesson => {
                    "Write the whole address (https://…), or name a lesson such as water.md.".to_owned()
                }
                Some(section) => format!(
                    "For a lesson, write {file}.md#{section}; for a web page, the whole address (https://…)."
                ),
                None => {
                    format!("For a lesson, write {file}.md; for a web page, the whole address (https://…).")
                }
            };
            Err(Unfit::new(
                &rules::LINK_UNFIT,
                "This link leads to something that is neither a lesson nor an address.",
                mend,
            ))
        }
    }
}

/// A link to a fact: its name, and the value of the one question that may follow.
pub(super) struct FactLink {
    pub fact: String,
    pub query: Option<String>,
}

/// Reads what follows `fact:`; `key` is what may be asked, as in `lead-length?unit=m`.
pub(super) fn fact(link: &str, key: &str) -> Result<FactLink, Unfit> {
    let (name, query) = match link.split_once('?') {
        Some((name, query)) => (name, Some(query)),
        None => (link, None),
    };
    if name.is_empty() {
        return Err(Unfit::new(
            &rules::LINK_UNFIT,
            "This link does not name a fact.",
            "Write the fact's name after “fact:”.",
        ));
    }
    let query = match query.map(|query| query.split_once('=').unwrap_or((query, ""))) {
        None => None,
        Some((asked, value)) if asked == key && !value.is_empty() => Some(decode(value)),
        Some((asked, _)) => {
            let message = format!("packstring does not know what “?{asked}” asks of a fact here.");
            return Err(Unfit::new(&rules::LINK_UNFIT, message, format!("Write “?{key}=…”, or nothing.")));
        }
    };
    Ok(FactLink { fact: decode(name), query })
}

/// The fact of a series that is drawn, and whether it is set as a table.
pub(super) fn series(link: &str) -> Result<(String, bool), Unfit> {
    let FactLink { fact, query } = fact(link, "as")?;
    match query.as_deref() {
        None | Some("chart") => Ok((fact, false)),
        Some("table") => Ok((fact, true)),
        Some(other) => {
            let message = format!("A series cannot be set as “{other}”.");
            Err(Unfit::new(&rules::LINK_UNFIT, message, "Write “?as=chart” or “?as=table”."))
        }
    }
}

/// The file of a picture, relative to the program folder. A lesson may also name it as seen from its
/// own folder (`../pictures/x.svg`), so that any Markdown viewer finds it.
pub(super) fn picture(address: &str, in_lesson: bool) -> Result<String, Unfit> {
    const ENDINGS: [&str; 4] = [".svg", ".png", ".jpg", ".jpeg"];
    if address.is_empty() {
        let mend = "Write its path between ( and ), such as (pictures/NAME.png).";
        return Err(Unfit::new(&rules::PICTURE_UNFIT, "This picture names no file.", mend));
    }
    if scheme(address).is_some() {
        let message = "A picture must be in the program folder, so that it can be printed without a network.";
        let mend = "Save it in pictures/ and write (pictures/NAME.png).";
        return Err(Unfit::new(&rules::PICTURE_UNFIT, message, mend));
    }
    let path = decode(address);
    let path = if in_lesson {
        // from lessons/, or from lessons/es/
        let below = path.strip_prefix("../").unwrap_or(&path);
        below
            .strip_prefix("../")
            .filter(|rest| !rest.starts_with("..") && path.contains("/pictures/"))
            .unwrap_or(below)
    } else {
        &path
    };
    if let Some(why) = unfit_path(path) {
        let turned = address.replace('\\', "/");
        let mend = match turned != address && picture(&turned, in_lesson).is_ok() {
            true => format!("Write “{turned}”."),
            false => "Put the picture into pictures/ and write (pictures/NAME.png).".to_owned(),
        };
        return Err(Unfit::new(&rules::PATH_ESCAPES, why, mend));
    }
    let lower = path.to_lowercase();
    if !ENDINGS.iter().any(|ending| lower.ends_with(ending)) {
        let message = "This is not the name of a PNG, JPEG or SVG picture, and no other kind can be printed.";
        return Err(Unfit::new(&rules::PICTURE_UNFIT, message, "Save the picture as .svg, .png or .jpg."));
    }
    Ok(path.strip_prefix("./").unwrap_or(path).to_owned())
}

/// The part before the colon of `https://…`, in lower case.
fn scheme(address: &str) -> Option<String> {
    let (scheme, _) = address.split_once(':')?;
    let fits = scheme.starts_with(|letter: char| letter.is_ascii_alphabetic())
        && scheme.chars().all(|letter| letter.is_ascii_alphanumeric() || "+-.".contains(letter));
    fits.then(|| scheme.to_ascii_lowercase())
}

/// Reads `%20` and its like; what is none stays as it is.
fn decode(text: &str) -> String {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&first, after)) = rest.split_first() {
        let code = (first == b'%').then(|| after.get(..2)).flatten();
        let code = code.and_then(|hex| std::str::from_utf8(hex).ok());
        match code.and_then(|hex| u8::from_str_radix(hex, 16).ok()) {
            Some(byte) => {
                bytes.push(byte);
                rest = &after[2..];
            }
            None => {
                bytes.push(first);
                rest = after;
            }
        }
    }
    String::from_utf8(bytes).unwrap_or_else(|_| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_lead_to_addresses_lessons_and_sections() {
        let lesson = |id: &str, section: Option<&str>| Target::Lesson {
            id: id.to_owned(),
            section: section.map(str::to_owned),
        };
        assert_eq!(link("water.md").ok(), Some(lesson("water", None)));
        assert_eq!(link("./water.md#on-the-trail").ok(), Some(lesson("water", Some("on-the-trail"))));
        assert_eq!(link("lessons/water.md").ok(), Some(lesson("water", None)));
        assert_eq!(link("#gr%C3%B6%C3%9Fe").ok(), Some(Target::Section("größe".into())));
        assert_eq!(link("tel:555-0100").ok(), Some(Target::Address("tel:555-0100".into())));
    }

    #[test]
    fn unfit_links_are_told() {
        let rule = |address| link(address).err().map(|unfit| unfit.rule);
        assert_eq!(rule("javascript:alert(1)"), Some(&rules::LINK_UNFIT));
        assert_eq!(rule("../secret.md"), Some(&rules::PATH_ESCAPES));
        assert_eq!(rule("%2e%2e/secret.md"), Some(&rules::PATH_ESCAPES));
        assert_eq!(rule("water.pdf"), Some(&rules::LINK_UNFIT));
        assert_eq!(rule(""), Some(&rules::LINK_UNFIT));
        assert!(picture("data:image/png;base64,xx", true).is_err());
        assert!(picture("", true).is_err());
        assert!(picture("pictures/x.tiff", true).is_err());
        assert!(picture("/pictures/x.svg", true).is_err());
        assert!(picture("../../x.svg", true).is_err());
        assert!(picture("../pictures/x.svg", false).is_err());
        assert_eq!(picture("../pictures/x.svg", true).ok().as_deref(), Some("pictures/x.svg"));
        assert_eq!(picture("pictures/x.svg", true).ok().as_deref(), Some("pictures/x.svg"));
    }

    #[test]
    fn facts_may_be_asked_for_a_unit() {
        let link = fact("lead-length?unit=square%20feet", "unit").ok().unwrap();
        assert_eq!((link.fact.as_str(), link.query.as_deref()), ("lead-length", Some("square feet")));
        assert!(fact("lead-length?units=m", "unit").is_err());
        assert_eq!(series("heat?as=table").ok(), Some(("heat".into(), true)));
        assert!(series("heat?as=pie").is_err());
    }
}

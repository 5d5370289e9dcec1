//! Pages: HTML from the theme's `pages/`.
//!
//! Everything that a template prints is escaped, in files of every kind; what is not there is a
//! mistake and not an empty space.

use super::error::{Fault, PressError, read_toml};
use super::theme::Theme;
use crate::words::Words;
use serde_json::Value;
use tera::{Context, ErrorKind, Tera};

pub(super) struct Pages {
    tera: Tera,
    words: Words,
}

impl Pages {
    pub fn new(theme: &Theme) -> Result<Self, PressError> {
        let texts = theme.folder("pages").filter(|(name, _)| !name.starts_with("pages/faces/"));
        let pages = texts.filter_map(|(name, bytes)| {
            Some((name.strip_prefix("pages/")?.to_owned(), std::str::from_utf8(bytes).ok()?))
        });
        Self::of(theme, pages, theme.words()?)
    }

    /// The pages of the front desk, in `desk/`, with its own words, beside those that the site's pages share.
    pub fn of_desk(theme: &Theme) -> Result<Self, PressError> {
        let texts = ["pages", "desk"].into_iter().flat_map(|folder| theme.folder(folder));
        let pages = texts.filter(|(name, _)| [".html", ".css"].iter().any(|end| name.ends_with(end)));
        let pages = pages.filter_map(|(name, bytes)| {
            let name = name.strip_prefix("pages/").unwrap_or(name);
            Some((name.to_owned(), std::str::from_utf8(bytes).ok()?))
        });
        Self::of(theme, pages, theme.desk_words()?)
    }

    fn of<'t>(
        theme: &Theme,
        templates: impl Iterator<Item = (String, &'t str)>,
        words: Words,
    ) -> Result<Self, PressError> {
        let mut tera = Tera::default();
        // Every name ends so: nothing goes out unescaped because of what its file is called.
        tera.autoescape_on([""]);
        tera.add_raw_templates(templates.collect::<Vec<_>>())
            .map_err(|error| PressError::Template { path: "site".into(), faults: faults(theme, &error) })?;
        Ok(Self { tera, words })
    }

    /// The page of a template. `data` has `words` and `inks` of the theme beside its own keys.
    pub fn render(
        &self,
        theme: &Theme,
        path: &str,
        template: &str,
        data: &Value,
    ) -> Result<Vec<u8>, PressError> {
        let failed =
            |error: tera::Error| PressError::Template { path: path.into(), faults: faults(theme, &error) };
        let language = data.pointer("/program/language").and_then(Value::as_str).unwrap_or("en");
        let mut context = Context::from_serialize(data).map_err(failed)?;
        context.insert("words", &*self.words.of(language));
        if let Some(bytes) = theme.file("inks.toml") {
            context.insert("inks", &read_toml(theme, "inks.toml", bytes)?);
        }
        self.tera.render(template, &context).map(String::into_bytes).map_err(failed)
    }
}

fn faults(theme: &Theme, error: &tera::Error) -> Vec<Fault> {
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let span = report.span();
            let at = (report.filename(), span.start_line, span.start_col + 1);
            vec![fault_at(theme, at, report.message().to_owned())]
        }
        ErrorKind::MissingParent { current, parent } => {
            let message = format!("it extends {parent}, which the theme's pages have not");
            vec![fault_at(theme, (current, 1, 1), message)]
        }
        ErrorKind::TemplateNotFound(name) => {
            vec![Fault { message: format!("the theme has no pages/{name}"), ..Fault::default() }]
        }
        ErrorKind::Msg(reports) => out_of_reports(theme, reports),
        other => vec![Fault { message: other.to_string(), ..Fault::default() }],
    }
}

fn fault_at(theme: &Theme, (name, line, column): (&str, usize, usize), message: String) -> Fault {
    let file = (!name.is_empty()).then(|| theme.shown(&format!("pages/{name}")));
    Fault { file, line, column, message, hints: Vec::new() }
}

/// What is found when templates are put together comes as reports for a terminal, one after the other:
/// `error: Unknown filter …`, then ` --> lesson.html:2:28`, then the line itself.
fn out_of_reports(theme: &Theme, reports: &str) -> Vec<Fault> {
    let mut faults: Vec<Fault> = Vec::new();
    for line in reports.lines() {
        if let Some(message) = line.strip_prefix("error: ") {
            faults.push(Fault { message: message.to_owned(), ..Fault::default() });
        } else if let Some((file, line, column)) = line.trim_start().strip_prefix("--> ").and_then(place)
            && let Some(fault) = faults.last_mut().filter(|fault| fault.file.is_none())
        {
            *fault = fault_at(theme, (file, line, column), std::mem::take(&mut fault.message));
        }
    }
    if faults.is_empty() {
        faults.push(Fault { message: reports.to_owned(), ..Fault::default() });
    }
    faults
}

/// `lesson.html:2:28`
fn place(words: &str) -> Option<(&str, usize, usize)> {
    let mut parts = words.trim().rsplitn(3, ':');
    let (column, line) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    Some((parts.next()?, line, column))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn render(template: &[u8], data: Value) -> Result<String, PressError> {
        let theme = Theme::of_files([
            ("pages/page.html", template),
            ("pages/look.css", template),
            ("inks.toml", b"[color]\nink = \"#000\"\n".as_slice()),
            ("words/en.toml", b"[common]\nhello = \"Hello\"\n"),
            ("words/es.toml", b"[common]\nhello = \"Hola\"\n"),
        ]);
        let pages = Pages::new(&theme)?;
        let html = pages.render(&theme, "a.html", "page.html", &data)?;
        assert_eq!(html, pages.render(&theme, "a.css", "look.css", &data)?);
        Ok(String::from_utf8(html).unwrap())
    }

    #[test]
    fn what_a_person_wrote_is_escaped_and_never_run() {
        let name = "<b>{{7*7}}</b> & \"'";
        let html = render(b"<p title=\"{{ name }}\">{{ name }}", json!({ "name": name })).unwrap();
        let escaped = "&lt;b&gt;{{7*7}}&lt;&#x2F;b&gt; &amp; &quot;&#x27;";
        let either = [
            escaped.to_owned(),
            escaped.replace("&#x2F;", "/"),
            escaped.replace("&#x27;", "&#39;").replace("&#x2F;", "/"),
        ];
        assert!(either.iter().any(|e| html == format!("<p title=\"{e}\">{e}")), "{html}");
    }

    #[test]
    fn a_table_is_gone_through_in_one_order() {
        let data = json!({ "many": { "a": 1, "b": 2, "c": 3, "d": 4, "e": 5, "f": 6, "g": 7, "h": 8 } });
        let template = b"{% for name, number in many %}{{ name }}{{ number }}{% endfor %}";
        for _ in 0..8 {
            assert_eq!(render(template, data.clone()).unwrap(), "a1b2c3d4e5f6g7h8");
        }
    }

    #[test]
    fn words_are_those_of_the_programs_language() {
        let data = |language: &str| json!({ "program": { "language": language } });
        let template = b"{{ words.common.hello }} {{ inks.color.ink }}";
        assert_eq!(render(template, data("es-MX")).unwrap(), "Hola #000");
        assert_eq!(render(template, data("fr")).unwrap(), "Hello #000");
    }

    #[test]
    fn what_is_not_there_is_told_with_its_place() {
        let error = render(b"<p>\n  {{ nothing }}", json!({})).unwrap_err();
        let PressError::Template { path, faults } = error else { panic!("{error}") };
        assert_eq!(path, "a.html");
        assert_eq!(faults[0].file.as_deref(), Some("pages/page.html"));
        assert_eq!((faults[0].line, faults[0].column), (2, 6));
    }

    #[test]
    fn what_templates_ask_for_and_have_not_is_told_with_its_place() {
        let error = render(b"<p>\n{{ name | louder }}{{ name | softer }}", json!({})).unwrap_err();
        let PressError::Template { faults, .. } = error else { panic!("{error}") };
        let told: Vec<_> =
            faults.iter().map(|f| (f.file.as_deref(), f.line, f.column, f.message.as_str())).collect();
        assert!(told.contains(&(Some("pages/page.html"), 2, 11, "Unknown filter `louder`")), "{told:?}");
        assert!(told.contains(&(Some("pages/page.html"), 2, 30, "Unknown filter `softer`")), "{told:?}");
        let error = render(b"{% extends \"none.html\" %}", json!({})).unwrap_err();
        assert!(error.to_string().contains("pages/look.css:1:1: it extends none.html"), "{error}");
    }

    #[test]
    fn a_template_that_cannot_be_read_is_told_with_its_place() {
        let error = render(b"<p>\n{{ }", json!({})).unwrap_err();
        let PressError::Template { faults, .. } = error else { panic!("{error}") };
        assert_eq!((faults[0].file.as_deref(), faults[0].line), (Some("pages/look.css"), 2));
    }
}

//! Pages: HTML from the theme's `pages/`.
//!
//! Everything that a template prints is escaped, in files of every kind; what is not there is a
//! mistake and not an empty space.

use super::error::{Fault, PressError};
use super::theme::Theme;
use crate::pieces::Words;
use serde_json::Value;
use tera::{Context, ErrorKind, Tera};

pub(super) struct Pages {
    tera: Tera,
    words: Words,
}

impl Pages {
    pub fn new(theme: &Theme) -> Result<Self, PressError> {
        let mut tera = Tera::default();
        // Every name ends so: nothing goes out unescaped because of what its file is called.
        tera.autoescape_on([""]);
        let templates: Vec<_> = theme
            .folder("pages")
            .filter_map(|(name, bytes)| {
                Some((name.strip_prefix("pages/")?, std::str::from_utf8(bytes).ok()?))
            })
            .collect();
        tera.add_raw_templates(templates)
            .map_err(|error| PressError::Template { path: "pages".into(), faults: vec![fault(&error)] })?;
        Ok(Self { tera, words: theme.words()? })
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
            |error: tera::Error| PressError::Template { path: path.into(), faults: vec![fault(&error)] };
        let language = data.pointer("/program/language").and_then(Value::as_str).unwrap_or("en");
        let mut context = Context::from_serialize(data).map_err(failed)?;
        context.insert("words", self.words.of(language));
        if let Some(bytes) = theme.file("inks.toml") {
            context.insert("inks", &table("inks.toml", bytes)?);
        }
        self.tera.render(template, &context).map(String::into_bytes).map_err(failed)
    }
}

fn table(file: &str, bytes: &[u8]) -> Result<toml::Table, PressError> {
    let unreadable = |message: String| PressError::Theme { file: file.into(), message };
    let text = std::str::from_utf8(bytes).map_err(|error| unreadable(error.to_string()))?;
    text.parse().map_err(|error: toml::de::Error| unreadable(error.message().to_owned()))
}

fn fault(error: &tera::Error) -> Fault {
    let (mut file, mut line, mut column, message) = match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let span = report.span();
            (Some(report.filename()), span.start_line, span.start_col + 1, report.message().to_owned())
        }
        other => (None, 1, 1, other.to_string()),
    };
    if file.is_some_and(str::is_empty) {
        (file, line, column) = (None, 1, 1);
    }
    Fault { file: file.map(|name| format!("pages/{name}")), line, column, message, hints: Vec::new() }
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
    fn a_template_that_cannot_be_read_is_told_with_its_place() {
        let error = render(b"<p>\n{{ }", json!({})).unwrap_err();
        let PressError::Template { faults, .. } = error else { panic!("{error}") };
        assert_eq!((faults[0].file.as_deref(), faults[0].line), (Some("pages/look.css"), 2));
    }
}

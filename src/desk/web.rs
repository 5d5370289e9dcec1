//! What a browser asks of the desk, and what it is answered, as plain values.

use url::form_urlencoded;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Method {
    Get,
    Post,
    Other,
}

/// A request.
#[derive(Clone, Debug)]
pub(super) struct Asked {
    pub method: Method,
    pub path: String,
    pub query: Vec<(String, String)>,
    /// Names in lower case.
    pub headers: Vec<(String, String)>,
    /// Of a form that was sent.
    pub form: Vec<(String, String)>,
}

/// A form may be so large.
pub(super) const LARGEST_FORM: usize = 256 * 1024;

/// The fields of a form or of a query.
pub(super) fn fields(text: &[u8]) -> Vec<(String, String)> {
    form_urlencoded::parse(text).map(|(key, value)| (key.into_owned(), value.into_owned())).collect()
}

impl Asked {
    /// A header that is sent once; of one that is sent again, nothing is sure.
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut all = self.headers.iter().filter(|(known, _)| known == name);
        let (_, value) = all.next()?;
        Some(if all.next().is_some() { "" } else { value })
    }

    /// A field of the form; empty where it is not there.
    pub fn field(&self, name: &str) -> &str {
        self.form.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value)
    }

    pub fn number(&self, name: &str) -> Option<usize> {
        self.field(name).parse().ok()
    }

    /// A value of the query.
    pub fn asks(&self, name: &str) -> &str {
        self.query.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value)
    }
}

/// An answer.
#[derive(Clone, Debug)]
pub(super) struct Reply {
    pub status: u16,
    pub kind: &'static str,
    pub body: Vec<u8>,
    /// Where to go on.
    pub to: Option<String>,
    pub cookie: Option<String>,
    /// Fonts and scripts are the same as long as the desk is open.
    pub may_be_kept: bool,
}

impl Reply {
    pub fn of(kind: &'static str, body: Vec<u8>) -> Self {
        Self { status: 200, kind, body, to: None, cookie: None, may_be_kept: false }
    }

    pub fn page(body: Vec<u8>) -> Self {
        Self::of("text/html; charset=utf-8", body)
    }

    pub fn plain(status: u16, words: &str) -> Self {
        Self { status, ..Self::of("text/plain; charset=utf-8", words.as_bytes().to_vec()) }
    }

    /// After a form was taken: the browser goes on with a page, so that going back sends nothing again.
    pub fn go_to(path: String) -> Self {
        Self { status: 303, to: Some(path), ..Self::plain(303, "") }
    }

    pub fn status(self, status: u16) -> Self {
        Self { status, ..self }
    }
}

/// Headers of every answer. Styles, scripts and pictures come from the desk alone, nothing is sent anywhere else, no
/// other page may show it, and nothing of it stays in the browser. The address of a page is told to the desk itself and
/// to nobody else, for a form must say where it comes from.
pub(super) const HEADERS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; \
         connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), geolocation=(), microphone=()"),
];

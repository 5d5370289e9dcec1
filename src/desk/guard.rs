//! Who may speak with the desk: the one browser that came by the start link, and no page of anybody else.
//!
//! The desk listens on this machine alone. That is not enough: a page from anywhere in the same browser can send requests
//! to it, and a name that somebody else's server answers for may lead here (DNS rebinding). So each request is held
//! against these, and what does not fit is refused with words and changes nothing:
//!
//! - `Host` is the desk's own address (RFC 9110, section 7.2), so that no other name leads here.
//! - `Origin` (RFC 6454) and `Sec-Fetch-Site` (W3C Fetch Metadata), where they are sent, say that the desk's own page
//!   asks. What changes anything must say where it comes from.
//! - A cookie that the start link was exchanged for, which no script reads and no other site's request carries
//!   (`HttpOnly`, `SameSite=Strict`; RFC 6265bis).
//! - What changes anything brings the token that stands in the desk's own forms, too.

use super::web::{Asked, Method};
use crate::digest::hex;
use std::sync::{Mutex, PoisonError};

/// What the desk knows its browser by.
pub(super) struct Guard {
    port: u16,
    /// Of the start link, until it is used.
    start: Mutex<Option<String>>,
    cookie: String,
    token: String,
}

/// Why a request is refused; each has its words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Refused {
    /// It names another host.
    Host,
    /// Another page asks.
    Origin,
    /// The browser did not come by the start link.
    Stranger,
    /// The start link was used before.
    Spent,
    /// The form is not one of this desk.
    Token,
    Method,
}

impl Refused {
    /// Its key among the words of the desk.
    pub fn key(self) -> &'static str {
        match self {
            Self::Host => "host",
            Self::Origin => "origin",
            Self::Stranger => "stranger",
            Self::Spent => "spent",
            Self::Token => "token",
            Self::Method => "method",
        }
    }

    pub fn status(self) -> u16 {
        if self == Self::Method { 405 } else { 403 }
    }
}

/// Where the start link leads.
pub(super) const START: &str = "/start/";

impl Guard {
    /// With fresh secrets.
    ///
    /// # Errors
    /// The system gives no random bytes.
    pub fn new(port: u16) -> Result<Self, getrandom::Error> {
        let secret = || {
            let mut bytes = [0; 16];
            getrandom::fill(&mut bytes).map(|()| hex(bytes))
        };
        Ok(Self { port, start: Mutex::new(Some(secret()?)), cookie: secret()?, token: secret()? })
    }

    /// What stands in the desk's own forms.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// The address by which a browser comes in, once.
    pub fn link(&self) -> String {
        let start = self.start.lock().unwrap_or_else(PoisonError::into_inner);
        format!("http://{}{START}{}", self.host(), start.as_deref().unwrap_or_default())
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// Cookies know no ports, so that each desk on this machine has a name of its own for it.
    fn cookie_name(&self) -> String {
        format!("desk-{}", self.port)
    }

    /// The header that lets the browser in from now on.
    pub fn set_cookie(&self) -> String {
        format!("{}={}; Path=/; HttpOnly; SameSite=Strict", self.cookie_name(), self.cookie)
    }

    /// Whether the request comes from the desk's own browser.
    pub fn is_known(&self, asked: &Asked) -> bool {
        let name = self.cookie_name();
        let mut cookies = asked.header("cookie").into_iter().flat_map(|all| all.split(';'));
        cookies.any(|cookie| {
            let (key, value) = cookie.trim().split_once('=').unwrap_or_default();
            key == name && is_same(value, &self.cookie)
        })
    }

    /// Lets a request through, or says why not.
    ///
    /// # Errors
    /// Why it is refused.
    pub fn check(&self, asked: &Asked) -> Result<(), Refused> {
        self.check_page(asked)?;
        match self.is_known(asked) {
            false => Err(Refused::Stranger),
            true if asked.method == Method::Post && !is_same(asked.field("token"), &self.token) => {
                Err(Refused::Token)
            }
            true => Ok(()),
        }
    }

    /// What holds of every request, also of one by the start link.
    fn check_page(&self, asked: &Asked) -> Result<(), Refused> {
        if asked.header("host") != Some(&self.host()) {
            return Err(Refused::Host);
        }
        if asked.method == Method::Other {
            return Err(Refused::Method);
        }
        let own = format!("http://{}", self.host());
        let is_own_origin = asked.header("origin").map(|origin| origin == own);
        let is_own_site = asked.header("sec-fetch-site").map(|site| {
            // A person typed the address, or opened it from elsewhere than a page.
            site == "same-origin" || (site == "none" && asked.method == Method::Get)
        });
        // By the start link a browser may come from anywhere: a page that shows the terminal.
        let is_start = asked.path.starts_with(START) && asked.method == Method::Get;
        if is_own_origin == Some(false) || (is_own_site == Some(false) && !is_start) {
            return Err(Refused::Origin);
        }
        if asked.method == Method::Post && is_own_origin.is_none() {
            return Err(Refused::Origin);
        }
        Ok(())
    }

    /// Uses the start link up.
    ///
    /// # Errors
    /// It is not the link, or was used before.
    pub fn start(&self, asked: &Asked) -> Result<(), Refused> {
        self.check_page(asked)?;
        let mut start = self.start.lock().unwrap_or_else(PoisonError::into_inner);
        let given = asked.path.strip_prefix(START).unwrap_or_default();
        match start.as_deref() {
            Some(secret) if is_same(given, secret) => {
                *start = None;
                Ok(())
            }
            Some(_) => Err(Refused::Stranger),
            None => Err(Refused::Spent),
        }
    }
}

/// Compares in a time that does not tell how much of it is right.
fn is_same(given: &str, secret: &str) -> bool {
    let differs = given.bytes().zip(secret.bytes()).fold(0, |differs, (one, other)| differs | (one ^ other));
    given.len() == secret.len() && differs == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(guard: &Guard, method: Method, path: &str, headers: &[(&str, &str)]) -> Asked {
        let host = guard.host();
        let cookie = format!("other=1; {}={}", guard.cookie_name(), guard.cookie);
        let mut all = vec![("host".to_owned(), host), ("cookie".to_owned(), cookie)];
        for (name, value) in headers {
            all.retain(|(known, _)| known != name);
            all.push(((*name).to_owned(), (*value).to_owned()));
        }
        let form = vec![("token".to_owned(), guard.token.clone())];
        Asked { method, path: path.to_owned(), query: Vec::new(), headers: all, form }
    }

    // From memory: what browsers send; RFC 9110, RFC 6454, W3C Fetch Metadata.
    #[test]
    fn each_thing_that_does_not_fit_is_refused() {
        let guard = Guard::new(4711).unwrap();
        let own = ("origin", "http://127.0.0.1:4711");
        let get = |headers: &[(&str, &str)]| guard.check(&asked(&guard, Method::Get, "/", headers));
        let post = |headers: &[(&str, &str)]| guard.check(&asked(&guard, Method::Post, "/tick", headers));
        assert_eq!(get(&[]), Ok(()));
        assert_eq!(post(&[own]), Ok(()));
        assert_eq!(post(&[own, ("sec-fetch-site", "same-origin")]), Ok(()));
        for host in
            ["127.0.0.1", "127.0.0.1:80", "localhost:4711", "desk.example:4711", "127.0.0.1:4711.example"]
        {
            assert_eq!(get(&[("host", host)]), Err(Refused::Host), "{host}");
        }
        for origin in ["null", "http://desk.example", "http://127.0.0.1:4712", "https://127.0.0.1:4711", ""] {
            assert_eq!(get(&[("origin", origin)]), Err(Refused::Origin), "{origin}");
            assert_eq!(post(&[("origin", origin)]), Err(Refused::Origin), "{origin}");
        }
        for site in ["cross-site", "same-site"] {
            assert_eq!(get(&[("sec-fetch-site", site)]), Err(Refused::Origin), "{site}");
            assert_eq!(post(&[own, ("sec-fetch-site", site)]), Err(Refused::Origin), "{site}");
        }
        // A change that does not say where it comes from is none of the desk's.
        assert_eq!(post(&[]), Err(Refused::Origin));
        assert_eq!(post(&[own, ("sec-fetch-site", "none")]), Err(Refused::Origin));
        for cookie in ["", "desk-4711=", "desk-4711=0", "desk-4712=0"] {
            assert_eq!(get(&[("cookie", cookie)]), Err(Refused::Stranger), "{cookie}");
            assert_eq!(post(&[own, ("cookie", cookie)]), Err(Refused::Stranger), "{cookie}");
        }
        let mut without = asked(&guard, Method::Post, "/tick", &[own]);
        without.form.clear();
        assert_eq!(guard.check(&without), Err(Refused::Token));
        assert_eq!(guard.check(&asked(&guard, Method::Other, "/", &[])), Err(Refused::Method));
    }

    #[test]
    fn the_start_link_works_once_and_for_nobody_who_guesses() {
        let guard = Guard::new(4711).unwrap();
        let link = guard.link();
        let path = link.strip_prefix("http://127.0.0.1:4711").unwrap();
        let by =
            |path: &str, headers: &[(&str, &str)]| guard.start(&asked(&guard, Method::Get, path, headers));
        assert_eq!(by("/start/0", &[]), Err(Refused::Stranger));
        assert_eq!(by(path, &[("host", "desk.example:4711")]), Err(Refused::Host));
        assert_eq!(by(path, &[("sec-fetch-site", "cross-site"), ("cookie", "")]), Ok(()));
        assert_eq!(by(path, &[]), Err(Refused::Spent));
        assert_eq!(by("/start/", &[]), Err(Refused::Spent));
    }
}

//! E-mail addresses: whether one can be one at all (RFC 5321, section 4.1.2, and RFC 6531 for letters
//! beyond ASCII). Whether anybody reads it, only writing to it tells.

/// Longest local part and longest domain, in bytes (RFC 5321, section 4.5.3.1).
const LOCAL: usize = 64;
const DOMAIN: usize = 255;
/// Longest part of a domain (RFC 1035, section 2.3.4).
const LABEL: usize = 63;

/// Why a text cannot be an e-mail address, as the end of a sentence; `None` where it can.
pub fn unfit(text: &str) -> Option<&'static str> {
    if text.chars().any(|c| c.is_whitespace() || c.is_control()) {
        return Some("there is white space in it");
    }
    if text.contains([';', '|']) || text.matches('@').count() > 1 && text.contains([',', '/']) {
        return Some("there is more than one address in the cell");
    }
    let Some((local, domain)) = text.rsplit_once('@') else {
        return Some("it has no @");
    };
    if local.contains('@') && !local.starts_with('"') {
        return Some("it has more than one @");
    }
    unfit_local(local).or_else(|| unfit_domain(domain))
}

/// Whether an address has letters that only servers of RFC 6531 take; one without can be written into any message
/// (RFC 5322, section 3.4.1).
pub fn is_international(address: &str) -> bool {
    !address.is_ascii()
}

fn unfit_local(local: &str) -> Option<&'static str> {
    let quoted = local.len() > 2 && local.starts_with('"') && local.ends_with('"');
    if local.is_empty() {
        Some("nothing stands before the @")
    } else if local.len() > LOCAL {
        Some("what stands before the @ is too long")
    } else if quoted {
        None
    } else if local.starts_with('.') || local.ends_with('.') || local.contains("..") {
        Some("a dot stands at the edge of what is before the @, or beside another dot")
    } else if !local
        .chars()
        .all(|c| !c.is_ascii() || c.is_ascii_alphanumeric() || ".!#$%&'*+-/=?^_`{|}~".contains(c))
    {
        Some("a character stands before the @ that no address has there")
    } else {
        None
    }
}

fn unfit_domain(domain: &str) -> Option<&'static str> {
    let labels: Vec<&str> = domain.split('.').collect();
    let is_sound = |label: &&str| {
        !label.is_empty()
            && label.len() <= LABEL
            && !label.starts_with('-')
            && !label.ends_with('-')
            && label.chars().all(|c| !c.is_ascii() || c.is_ascii_alphanumeric() || c == '-')
    };
    if domain.is_empty() {
        Some("nothing stands after the @")
    } else if domain.contains(',') {
        Some("a comma stands after the @ where a dot belongs")
    } else if labels.len() < 2 {
        Some("what stands after the @ has no dot")
    } else if labels.iter().any(|label| label.is_empty()) {
        Some("a dot stands at the edge of what is after the @, or beside another dot")
    } else if domain.len() > DOMAIN || !labels.iter().all(is_sound) {
        Some("what stands after the @ is no domain")
    } else if labels.last().is_some_and(|last| last.bytes().all(|byte| byte.is_ascii_digit())) {
        Some("what stands after the @ ends in a number")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::unfit;

    #[test]
    fn addresses_that_can_be_ones() {
        for address in [
            "ada@vell.example",
            "a.vell+riders@post.mail.example",
            "o'dowd@post.example",
            "maría@correo.example",
            "ada@bücher.example",
            "\"ada vell\"@post.example".replace(' ', ".").as_str(),
            "1@2a.example",
        ] {
            assert_eq!(unfit(address), None, "{address}");
        }
    }

    #[test]
    fn addresses_that_cannot() {
        for address in [
            "ada",
            "ada@",
            "@vell.example",
            "ada@vell",
            "ada@vell,example",
            "ada@vell..example",
            "ada.@vell.example",
            "a..da@vell.example",
            "ada vell@post.example",
            "ada@post.example; a@vell.example",
            "ada@post.example;a@vell.example",
            "ada@post.example,a@vell.example",
            "ada@@post.example",
            "<ada@post.example>",
            "ada@-post.example",
            "ada@post.example.",
            "ada@10.0.0.1",
            "n/a",
            "none",
        ] {
            assert!(unfit(address).is_some(), "{address}");
        }
        assert_eq!(
            unfit("<ada@post.example>").unwrap(),
            "a character stands before the @ that no address has there"
        );
    }
}

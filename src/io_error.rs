//! What the system says when it refuses a file or a folder, in plain words: every message asks here.

use std::fmt;
use std::io::{Error, ErrorKind};

/// What packstring itself refuses to open, told as what the system refuses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// A link, where it would lead to what is nobody's to change here.
    Link,
    /// A pipe, a socket or a device.
    Special,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Link => "it is a link, and must be a plain file or folder of its own",
            Self::Special => "it is a pipe or a device",
        })
    }
}

impl std::error::Error for Refusal {}

/// A refusal of packstring's own as an error of the system's kind.
pub fn refused(refusal: Refusal) -> Error {
    Error::other(refusal)
}

/// What packstring itself refused, where it did.
pub fn refusal(error: &Error) -> Option<Refusal> {
    error.get_ref()?.downcast_ref().copied()
}

/// Why it could not be done, as the end of a sentence: `the disk is full`.
pub fn in_words(error: &Error) -> String {
    let words = match error.kind() {
        ErrorKind::NotFound => "it is not there",
        ErrorKind::PermissionDenied => "this account may not do that there",
        ErrorKind::AlreadyExists => "something else of that name is there",
        ErrorKind::NotADirectory => "a file stands where a folder must be",
        ErrorKind::IsADirectory => "it is a folder",
        ErrorKind::DirectoryNotEmpty => "the folder is not empty",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => "the disk is full",
        ErrorKind::ReadOnlyFilesystem => "the disk can only be read",
        ErrorKind::FileTooLarge => "the file is too large for the disk",
        ErrorKind::InvalidFilename => "the disk takes no such name",
        ErrorKind::InvalidData => "it is not UTF-8 text",
        ErrorKind::BrokenPipe => "nobody reads it any longer",
        _ => return refusal(error).map_or_else(|| without_number(error), |refused| refused.to_string()),
    };
    words.to_owned()
}

/// The system's own words without their number, which tells a ranger nothing.
fn without_number(error: &Error) -> String {
    let words = error.to_string();
    let end = words.find(" (os error").unwrap_or(words.len());
    format!("the system says “{}”", &words[..end])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_number_of_the_system_is_told() {
        for number in 1..60 {
            let words = in_words(&Error::from_raw_os_error(number));
            assert!(!words.contains("os error") && !words.is_empty(), "{words}");
        }
        assert_eq!(in_words(&ErrorKind::StorageFull.into()), "the disk is full");
    }
}

//! What the system says when it refuses a file or a folder, in plain words: every message asks here.

use std::io::{Error, ErrorKind};

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
        _ => return without_number(error),
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

//! An address as somebody wrote it.

/// Where somebody is to be mailed, each part as it was written; empty where nothing was.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    pub street: String,
    pub town: String,
    pub state: String,
    pub postcode: String,
    pub country: String,
}

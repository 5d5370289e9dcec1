//! Text of a file with its place.

use crate::finding::Place;

/// Text from the file and where it stands (inside the quotation marks).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    pub text: String,
    pub place: Place,
}

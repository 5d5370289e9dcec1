//! `[answers.headings]`: what the columns of the answers are called where their headings do not tell.

use super::super::Written;
use super::super::form::{Form, Value};

/// One column: what it holds, and the heading that it has in the answers.
#[derive(Clone, Debug)]
pub struct AnswerHeading {
    /// `event`, `name`, `email`, `version`, or a question's id.
    pub column: Written,
    pub heading: Written,
}

pub(super) fn headings(file: &mut Form) -> Vec<AnswerHeading> {
    let Some(mut answers) = file.form("answers", "[answers] table") else { return Vec::new() };
    let mut headings = answers.form("headings", "[answers.headings] table");
    answers.finish();
    let entries = headings.as_mut().map(Form::take_all).unwrap_or_default();
    let entry = |(column, value): (Written, Value)| Some(AnswerHeading { column, heading: value.text()? });
    entries.into_iter().filter_map(entry).collect()
}

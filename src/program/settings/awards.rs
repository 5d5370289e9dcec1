//! What hours of service earn.

use super::optional;
use crate::program::form::Form;

#[derive(Clone, Debug)]
pub struct Award {
    pub name: String,
    pub hours: u32,
    pub reward: Option<String>,
}

impl Award {
    pub(super) fn read(mut table: Form) -> Self {
        let award = Self {
            name: table.need_text("name", "Trail Hand").text,
            hours: table.need_count("hours", "30"),
            reward: optional(table.text("reward")),
        };
        table.finish();
        award
    }
}

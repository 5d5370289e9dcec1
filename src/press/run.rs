use super::*;
use crate::pieces::RunOfSheets;

pub(super) struct Plan;

impl Plan {
    pub fn outputs(self) -> Vec<Output> {
        Vec::new()
    }
}

pub(super) fn plan(_: &Press, _: &Job, _: &RunOfSheets) -> Plan {
    Plan
}

pub(super) fn make(
    _: &Press,
    _: &Job,
    _: &RunOfSheets,
    _: &dyn Fn(&Output) -> bool,
    _: Put,
) -> Result<Vec<Finding>, PressError> {
    Err(PressError::Theme { file: "sheets".into(), message: "runs are not made yet".into() })
}

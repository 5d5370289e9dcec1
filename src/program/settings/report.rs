//! `[report]`: what the season report is compared with.

use crate::finding::rules;
use crate::program::Written;
use crate::program::files::unfit_path;
use crate::program::form::Form;

#[derive(Clone, Debug, Default)]
pub struct ReportSettings {
    /// The file of an earlier season's counts, relative to the program folder.
    pub earlier: Option<Written>,
}

impl ReportSettings {
    pub(super) fn read(mut table: Form) -> Self {
        let earlier = table.text("earlier").filter(|path| {
            let why = unfit_path(&path.text);
            if let Some(why) = why {
                let mend = "Write a path such as \"records/season-2025.json\".";
                table.tell(&rules::PATH_ESCAPES, path.place.clone(), why, mend);
            }
            why.is_none()
        });
        table.finish();
        Self { earlier }
    }
}

//! `[leaflet]`: which kit it shows.

use crate::program::Written;
use crate::program::form::Form;

#[derive(Clone, Debug, Default)]
pub struct LeafletSettings {
    /// The [`Kit::id`](crate::program::kits::Kit::id) of the kit that visitors are asked to pack.
    pub kit: Option<Written>,
}

impl LeafletSettings {
    pub(super) fn read(mut table: Form) -> Self {
        let settings = Self { kit: table.text("kit") };
        table.finish();
        settings
    }
}

//! Three panels: a sheet folded twice like a letter, the last panel inward.

use super::Reading;
use crate::quantity::Exact;

/// The widths of the panels in the order in which each side shows them from the left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Panels {
    /// Outside: the panel folded in, the back, the front.
    pub outside: [Exact; 3],
    /// Inside, as it lies open.
    pub inside: [Exact; 3],
}

/// By how much the panel that is folded in is narrower than the other two, so that it lies flat: 1.6 mm,
/// in points (common practice, no source: 1/16 in to 1/8 in).
pub fn narrower() -> Exact {
    Exact::new(16.into(), 10.into()) * Exact::new(720.into(), 254.into())
}

/// The panels of a sheet of this width, the one folded in narrower by `less`.
pub fn panels(width: &Exact, less: &Exact, reading: Reading) -> Panels {
    let full = (width + less) / Exact::from_integer(3.into());
    let folded_in = &full - less;
    // The panel folded in is the last one read inside.
    let begins_narrow = [folded_in.clone(), full.clone(), full.clone()];
    let ends_narrow = [full.clone(), full, folded_in];
    match reading {
        Reading::LeftToRight => Panels { outside: begins_narrow, inside: ends_narrow },
        Reading::RightToLeft => Panels { outside: ends_narrow, inside: begins_narrow },
    }
}

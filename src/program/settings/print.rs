//! `[print]`: what printed sheets need to know of the paper and of how they are bound.

use crate::finding::rules;
use crate::imposition::points;
use crate::program::form::Form;
use crate::program::measures::unfit;
use crate::quantity::Exact;

#[derive(Clone, Debug)]
pub struct Print {
    /// Of one sheet, in points.
    pub paper_thickness: Exact,
    /// Whether booklets show where the staples go.
    pub staple_marks: bool,
}

/// Thinner than the first nobody prints on; thicker than the second nobody folds. In micrometers.
const THINNEST: u32 = 30;
const THICKEST: u32 = 500;

/// 0.1 mm: office paper of 80 g/m² or 20 lb (common practice, no source).
impl Default for Print {
    fn default() -> Self {
        Self { paper_thickness: micrometers(100), staple_marks: true }
    }
}

impl Print {
    pub(super) fn read(mut table: Form) -> Self {
        let usual = Self::default();
        let unsaid = !table.has("staple-marks");
        let print = Self {
            paper_thickness: thickness(&mut table).unwrap_or(usual.paper_thickness),
            staple_marks: table.flag("staple-marks") || unsaid,
        };
        table.finish();
        print
    }
}

fn thickness(table: &mut Form) -> Option<Exact> {
    let written = table.text("paper-thickness")?;
    let thickness =
        points(&written.text).filter(|it| *it >= micrometers(THINNEST) && *it <= micrometers(THICKEST));
    if thickness.is_none() {
        let message = unfit("“paper-thickness” is not the thickness of a sheet of paper.", &written.text);
        let mend = "Write a length from 0.03 to 0.5 mm, such as \"0.1 mm\" for common office paper.";
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
    }
    thickness
}

/// In points: an inch is 25.4 mm and 72 points.
fn micrometers(count: u32) -> Exact {
    Exact::new((72 * count).into(), 25_400.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_paper_is_a_tenth_of_a_millimeter_thick() {
        assert_eq!(Some(Print::default().paper_thickness), points("0.1 mm"));
    }
}

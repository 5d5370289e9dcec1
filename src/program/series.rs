//! Headings of a series' columns.

/// A series column's heading as name and unit: `air temperature (°F)` → `air temperature`, `°F`.
pub fn series_column(heading: &str) -> (String, String) {
    match heading.trim().strip_suffix(')').and_then(|rest| rest.rsplit_once('(')) {
        Some((name, unit)) => (name.trim().to_owned(), unit.trim().to_owned()),
        None => (heading.trim().to_owned(), String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_tells_its_unit() {
        assert_eq!(series_column("air temperature (°F)"), ("air temperature".into(), "°F".into()));
        assert_eq!(series_column("camps"), ("camps".into(), String::new()));
    }
}

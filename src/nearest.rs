//! The known name that a mistyped one most likely means: every "did you mean" asks here.

/// The nearest of the known names, if any is near; capital and small letters do not count.
pub fn nearest<'n>(word: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    let word = word.to_lowercase();
    let reach = (word.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|name| (strsim::osa_distance(&word, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= reach && *distance < name.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn the_nearest_name_is_offered_and_no_far_one() {
        assert_eq!(nearest("minuts", ["lesson", "minutes", "who"]), Some("minutes"));
        assert_eq!(nearest("Minutes", ["lesson", "minutes"]), Some("minutes"));
        assert_eq!(nearest("colour", ["lesson", "minutes"]), None);
        assert_eq!(nearest("x", ["y"]), None);
    }
}

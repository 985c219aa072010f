//! Names for new things, in the manner of those that are there.

use std::collections::BTreeMap;

/// The next free name: the most used beginning of the existing ones with the next number, as wide as they are.
/// `first` is taken when there is none that ends in a number.
pub(super) fn next<'a>(existing: impl Iterator<Item = &'a str>, first: &str) -> String {
    // Beginning -> how many, greatest number, width.
    let mut beginnings: BTreeMap<&str, (usize, u64, usize)> = BTreeMap::new();
    for name in existing {
        let digits = name.len() - name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let (beginning, number) = name.split_at(name.len() - digits);
        // A longer run of digits is no counting number.
        if let (1..=9, Ok(number)) = (digits, number.parse::<u64>()) {
            let entry = beginnings.entry(beginning).or_insert((0, 0, 0));
            *entry = (entry.0 + 1, entry.1.max(number), entry.2.max(digits));
        }
    }
    let most = beginnings.into_iter().max_by_key(|(_, (count, ..))| *count);
    most.map_or_else(|| first.to_owned(), |(beginning, (_, n, width))| format!("{beginning}{:0width$}", n + 1))
}

#[cfg(test)]
mod tests {
    use super::next;

    #[test]
    fn new_names_follow_the_old() {
        let after = |names: &[&str]| next(names.iter().copied(), "N1");
        assert_eq!(after(&[]), "N1");
        assert_eq!(after(&["pond", "school"]), "N1");
        assert_eq!(after(&["P001", "P017", "X9"]), "P018");
        assert_eq!(after(&["W9"]), "W10");
        assert_eq!(after(&["7", "12"]), "13");
        assert_eq!(after(&["parcel 123456789012", "A1"]), "A2");
    }
}

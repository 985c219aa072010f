//! Visits that may have been written down twice.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::types::{BandVisit, BandWork, TreeId};

/// Visits with the same work at the same tree on the same day, two or more: two people were there, or one of them took the
/// wrong tree. Nothing is dropped; the manager looks.
pub fn doubles<'v>(visits: &[&'v BandVisit]) -> Vec<Vec<&'v BandVisit>> {
    let mut by_tree: BTreeMap<(Date, &TreeId, BandWork), Vec<&BandVisit>> = BTreeMap::new();
    for visit in visits {
        if let Some(tree) = &visit.tree {
            by_tree.entry((visit.date, tree, visit.work)).or_default().push(visit);
        }
    }
    by_tree.into_values().filter(|same| same.len() > 1).collect()
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::types::Catch;

    #[test]
    fn the_same_tree_on_the_same_day_is_told() {
        let visit = |id: &str, day: i8, tree: Option<&str>, work| BandVisit {
            id: id.into(),
            date: date(2027, 6, day),
            block: "A01".into(),
            tree: tree.map(Into::into),
            work,
            bands: 1,
            found: Catch::default(),
            hours: None,
            who: String::new(),
            place: None,
            note: String::new(),
        };
        let all = [
            visit("1", 4, Some("T1"), BandWork::Look),
            visit("2", 4, Some("T1"), BandWork::Look),
            visit("3", 5, Some("T1"), BandWork::Look),
            visit("4", 4, Some("T1"), BandWork::PutUp),
            visit("5", 4, None, BandWork::Look),
            visit("6", 4, None, BandWork::Look),
        ];
        let found = doubles(&all.iter().collect::<Vec<_>>());
        let ids: Vec<Vec<&str>> = found.iter().map(|same| same.iter().map(|v| v.id.as_str()).collect()).collect();
        assert_eq!(ids, [["1", "2"]]);
    }
}

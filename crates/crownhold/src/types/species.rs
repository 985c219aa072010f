//! The species table: which class a tree name belongs to.

use super::records::{HostClass, SpeciesRule};

/// The default table.
pub fn default_table() -> Vec<SpeciesRule> {
    Vec::new()
}

/// The class of a species name as an inventory writes it; `None` when the table does not know it.
pub fn classify(_name: &str, _table: &[SpeciesRule]) -> Option<HostClass> {
    None
}

//! Host shares of blocks from the tree inventory.

use std::collections::BTreeMap;

use crownhold::types::{BlockId, HostClass, HostShares, Problem, Records, Share};

/// Blocks with fewer classed trees than this are left alone: three trees say little about a block.
const LEAST_TREES: usize = 5;

/// What a tree counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TreeWeight {
    /// The square of its trunk diameter, a stand-in for crown area (assumption: crown area grows with
    /// basal area). Trees without a diameter count as the mean of the block's others; a block without
    /// any diameter falls back to counting.
    Diameter,
    /// Every tree the same.
    Count,
}

/// Fills the host shares of blocks from the trees that stand in them, and says what it did.
///
/// Blocks that have shares keep them unless `replace`. Trees without a class are left out of the shares.
/// Canopy is not touched. The inventory usually holds public trees only, so on private ground the shares
/// are those of the street trees; a notice says so.
pub fn shares_from_trees(records: &mut Records, weight: TreeWeight, replace: bool) -> Vec<Problem> {
    let mut standing: BTreeMap<BlockId, Vec<(HostClass, Option<f64>)>> = BTreeMap::new();
    let mut unclassed = 0;
    for tree in &records.trees {
        let Some(block) = &tree.block else { continue };
        match tree.class {
            Some(class) => {
                standing.entry(block.clone()).or_default().push((class, tree.dbh.map(|d| d.as_centimetres().powi(2))))
            }
            None => unclassed += 1,
        }
    }
    let (mut filled, mut few) = (0, Vec::new());
    for block in records.blocks.iter_mut().filter(|b| replace || b.hosts.is_none()) {
        let trees = standing.get(&block.id).map_or(&[][..], Vec::as_slice);
        if trees.len() < LEAST_TREES {
            few.push(block.id.to_string());
            continue;
        }
        block.hosts = Some(shares(trees, weight));
        filled += 1;
    }
    told(weight, filled, &few, unclassed)
}

fn shares(trees: &[(HostClass, Option<f64>)], weight: TreeWeight) -> HostShares {
    let known: Vec<f64> = trees.iter().filter_map(|(_, d)| *d).collect();
    let mean = if known.is_empty() { 1.0 } else { known.iter().sum::<f64>() / known.len() as f64 };
    let counts = |d: Option<f64>| if weight == TreeWeight::Count || mean <= 0.0 { 1.0 } else { d.unwrap_or(mean) };
    let of = |class: HostClass| trees.iter().filter(|(c, _)| *c == class).map(|(_, d)| counts(*d)).sum::<f64>();
    let [s, r, i] = [HostClass::Susceptible, HostClass::Resistant, HostClass::Immune].map(of);
    let total = s + r + i;
    HostShares {
        susceptible: Share::clamped(s / total),
        resistant: Share::clamped(r / total),
        immune: Share::clamped(i / total),
    }
}

fn told(weight: TreeWeight, filled: usize, few: &[String], unclassed: usize) -> Vec<Problem> {
    let how = match weight {
        TreeWeight::Diameter => "each tree weighing the square of its diameter",
        TreeWeight::Count => "each tree counting the same",
    };
    let mut told = vec![Problem::notice(
        "I-801",
        format!("Blocks whose host shares were worked out from the inventory, {how}: {filled}."),
        "An inventory of public trees says little about private gardens; correct the shares where you know better.",
    )];
    if !few.is_empty() {
        let what =
            format!("Blocks with fewer than {LEAST_TREES} trees of a known class: {} ({}).", few.len(), few.join(", "));
        told.push(Problem::notice("I-802", what, "Their host shares stay unknown; give them with \"areas\"."));
    }
    if unclassed > 0 {
        let what = format!("Trees in blocks whose species name the table does not know: {unclassed}.");
        told.push(Problem::notice("I-509", what, "They were left out of the shares."));
    }
    told
}

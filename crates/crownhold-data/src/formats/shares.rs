//! Host shares of blocks from the tree inventory.

use std::collections::BTreeMap;

use crownhold::types::{BlockId, HostClass, HostShares, Problem, Records, Share};

/// Blocks with fewer classed trees than this are left alone: three trees say little about a block.
const LEAST_TREES: usize = 5;

/// How many block ids are listed in one notice.
const IDS_LISTED: usize = 40;

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

/// Fills the host shares of blocks from the trees that stand in them, and says what it did: in one notice the
/// blocks that were filled, in another those with too few trees; nothing when no block lacks shares.
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
    let (mut filled, mut few) = (Vec::new(), Vec::new());
    for block in records.blocks.iter_mut().filter(|b| replace || b.hosts.is_none()) {
        let trees = standing.get(&block.id).map_or(&[][..], Vec::as_slice);
        if trees.len() < LEAST_TREES {
            few.push(block.id.to_string());
            continue;
        }
        block.hosts = Some(shares(trees, weight));
        filled.push(block.id.to_string());
    }
    told(weight, &filled, &few, unclassed)
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

fn told(weight: TreeWeight, filled: &[String], few: &[String], unclassed: usize) -> Vec<Problem> {
    let how = match weight {
        TreeWeight::Diameter => "each tree weighing the square of its diameter",
        TreeWeight::Count => "each tree counting the same",
    };
    let mut told = Vec::new();
    if !filled.is_empty() {
        let what = format!("Host shares worked out from the inventory, {how}, for blocks: {}.", listed(filled));
        let aside =
            if unclassed > 0 { format!("Trees of no known class were left out: {unclassed}. ") } else { String::new() };
        let remedy =
            "An inventory of public trees says little about private gardens; correct the shares where you know better.";
        told.push(Problem::notice("I-801", what, aside + remedy));
    }
    if !few.is_empty() {
        let what = format!("Blocks with fewer than {LEAST_TREES} trees of a known class: {}.", listed(few));
        told.push(Problem::notice("I-802", what, "Their host shares were left as they are; give them with \"areas\"."));
    }
    told
}

/// "12 (A, B, C ...)": the number, and as many ids as a reader takes in.
fn listed(ids: &[String]) -> String {
    let more = if ids.len() > IDS_LISTED { " ..." } else { "" };
    format!("{} ({}{more})", ids.len(), ids[..ids.len().min(IDS_LISTED)].join(", "))
}

//! Which trees of a block to band or scrape.

use crate::types::{Block, BlockId, Consent, HostClass, Length, Parameters, Records, TreeId};

/// What hangs on a trunk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BandKind {
    /// A strip around the trunk, tied at its middle, the top half folded down over the lower.
    FullStrip,
    /// One square flap: small trees, or where there are many.
    Square,
}

impl BandKind {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::FullStrip => "full strip",
            Self::Square => "square flap",
        }
    }
}

/// A tree to work on.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedTree {
    /// Which.
    pub tree: TreeId,
    /// Species as recorded.
    pub species: String,
    /// Trunk; `None` where it was never measured.
    pub dbh: Option<Length>,
    /// On public ground? Others need their owner's leave.
    pub public: bool,
    /// Full strip or square flap; a tree that was never measured counts as a full strip.
    pub kind: BandKind,
    /// Cloth it takes, along the strip; of a square flap its side. `None` for a tree that was never measured.
    pub cloth: Option<Length>,
}

/// The trees of one block.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeList {
    /// Block.
    pub block: BlockId,
    /// Susceptible trees, thickest first.
    pub trees: Vec<ListedTree>,
    /// Susceptible trees left out as too thin.
    pub too_thin: usize,
    /// Susceptible private trees left out because the owner has refused.
    pub refused: usize,
    /// Trees whose species is not known: looked at on the spot.
    pub unknown: usize,
}

impl TreeList {
    /// Trees whose trunk was never measured.
    pub fn unmeasured(&self) -> usize {
        self.trees.iter().filter(|t| t.dbh.is_none()).count()
    }
}

/// The susceptible trees of a block on record that a crew can work on, thickest first: a thick crown feeds most larvae,
/// and most of its masses and hiding larvae are on its trunk.
pub fn tree_list(records: &Records, block: &Block) -> TreeList {
    let p = &records.parameters;
    let least = Length::inches(p.number("bands.least_trunk"));
    let here = records.trees.iter().filter(|t| t.block.as_ref() == Some(&block.id));
    let mut list = TreeList { block: block.id.clone(), trees: Vec::new(), too_thin: 0, refused: 0, unknown: 0 };
    for tree in here {
        match tree.class {
            None => list.unknown += 1,
            Some(HostClass::Susceptible) if tree.dbh.is_some_and(|dbh| dbh < least) => list.too_thin += 1,
            Some(HostClass::Susceptible) if !tree.public && block.consent == Consent::Refused => list.refused += 1,
            Some(HostClass::Susceptible) => list.trees.push(ListedTree {
                tree: tree.id.clone(),
                species: tree.species.clone(),
                dbh: tree.dbh,
                public: tree.public,
                kind: kind(tree.dbh, p),
                cloth: tree.dbh.map(|dbh| cloth(dbh, p)),
            }),
            Some(_) => {}
        }
    }
    let thickness = |t: &ListedTree| t.dbh.map_or(0.0, Length::as_metres);
    list.trees.sort_by(|a, b| thickness(b).total_cmp(&thickness(a)).then_with(|| a.tree.cmp(&b.tree)));
    list
}

fn kind(dbh: Option<Length>, p: &Parameters) -> BandKind {
    match dbh {
        Some(dbh) if dbh < Length::inches(p.number("bands.square_below")) => BandKind::Square,
        _ => BandKind::FullStrip,
    }
}

/// Cloth along the strip: circumference and overlap; of a square flap its side.
fn cloth(dbh: Length, p: &Parameters) -> Length {
    match kind(Some(dbh), p) {
        BandKind::FullStrip => dbh * std::f64::consts::PI + Length::inches(p.number("bands.overlap")),
        BandKind::Square => Length::inches(p.number("bands.square")),
    }
}

#[cfg(test)]
mod tests {
    use super::cloth;
    use crate::types::{Length, Parameters, Value};

    /// science/tactics.md, oracle 17: trunks of 6, 12, 20 and 30 in with 4 in of overlap take 22.85, 41.70, 66.83 and
    /// 98.25 in of strip.
    #[test]
    fn a_strip_goes_around_and_overlaps() {
        let mut p = Parameters::defaults();
        p.set("bands.square_below", Value::Number(0.0), "all full strips");
        for (dbh, inches) in [(6.0, 22.85), (12.0, 41.70), (20.0, 66.83), (30.0, 98.25)] {
            let got = cloth(Length::inches(dbh), &p).as_inches();
            assert!((got - inches).abs() < 0.01, "{dbh} in: {got}");
        }
    }

    /// Oracle 18: 18-inch burlap for a 12-inch tree is 0.579 square yards.
    #[test]
    fn square_yards_of_a_strip() {
        let strip = cloth(Length::inches(12.0), &Parameters::defaults()).as_inches();
        assert!((strip * 18.0 / 1296.0 - 0.579).abs() < 0.001);
    }
}

//! Ground sprays: which trees, how much mix and product, how many tanks, and which crew does them on which day.

use geo::{Contains as _, MultiPolygon};

use super::trees::{ListedTree, tree_list};
use crate::types::{Block, BlockId, Hours, Length, Parameters, Records, Volume};

/// A tree to spray.
#[derive(Clone, Debug, PartialEq)]
pub struct SprayTree {
    /// The tree.
    pub tree: ListedTree,
    /// Mix for one application, by its trunk; a tree that was never measured counts with the mean of the others.
    pub mix: Volume,
}

/// The trees of one block, of one application.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundBlock {
    /// Block.
    pub block: BlockId,
    /// Trees, thickest first.
    pub trees: Vec<SprayTree>,
    /// Trees left out because they stand on no-spray ground.
    pub kept_off: usize,
    /// Private trees left out because the owner has refused.
    pub refused: usize,
    /// Trees whose species is not known.
    pub unknown: usize,
}

/// What a sprayer puts out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundMix {
    /// Product in a tank of mix, as a share of the volume.
    pub product_share: f64,
    /// Usable tank.
    pub tank: Volume,
}

/// A crew's work of one day: parts of blocks, one after another.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewDay {
    /// Crew, from 1.
    pub crew: usize,
    /// Day of work, from 1.
    pub day: usize,
    /// Blocks with their trees.
    pub parts: Vec<GroundBlock>,
    /// Hours.
    pub hours: Hours,
}

impl GroundMix {
    /// From the parameters: BIU in 100 gallons of mix over BIU in a gallon of product.
    pub fn of(p: &Parameters) -> Self {
        let share = p.number("ground.dose") / 100.0 / p.number("ground.strength").max(1e-9);
        Self { product_share: share.clamp(0.0, 1.0), tank: Volume::gallons(p.number("ground.tank")) }
    }
    /// Product in some mix.
    pub fn product(&self, mix: Volume) -> Volume {
        mix * self.product_share
    }
    /// Tanks that some mix takes, the last one perhaps not full.
    pub fn loads(&self, mix: Volume) -> u32 {
        (mix.as_gallons() / self.tank.as_gallons().max(1e-9) - 1e-9).ceil().max(0.0) as u32
    }
}

impl CrewDay {
    /// Mix of all trees.
    pub fn mix(&self) -> Volume {
        self.parts.iter().flat_map(|b| &b.trees).map(|t| t.mix).sum()
    }
    /// Trees of all blocks.
    pub fn trees(&self) -> usize {
        self.parts.iter().map(|b| b.trees.len()).sum()
    }
}

/// Mix that wets a tree with a trunk of so much to the drip: straight between none and the three stated sizes, and on at
/// the last slope above them.
fn mix_of(trunk: Length, p: &Parameters) -> Volume {
    let stated = [
        (0.0, 0.0),
        (6.0, p.number("ground.volume.at_6")),
        (12.0, p.number("ground.volume.at_12")),
        (24.0, p.number("ground.volume.at_24")),
    ];
    let inches = trunk.as_inches();
    let after = stated[1..3].iter().position(|(at, _)| inches <= *at).unwrap_or(2);
    let ((a, low), (b, high)) = (stated[after], stated[after + 1]);
    Volume::gallons((low + (inches - a) / (b - a) * (high - low)).max(0.0))
}

/// The susceptible trees of a block that ground gear sprays: those on record that stand off the no-spray ground `off`.
pub fn ground_block(records: &Records, block: &Block, off: &MultiPolygon<f64>) -> GroundBlock {
    let p = &records.parameters;
    let list = tree_list(records, block);
    let stands_off = |t: &ListedTree| {
        let place = records.trees.iter().find(|r| r.id == t.tree).map(|r| r.place);
        place.is_none_or(|place| !off.contains(&place))
    };
    let (sprayed, kept_off): (Vec<ListedTree>, Vec<ListedTree>) = list.trees.into_iter().partition(stands_off);
    let measured: Vec<Length> = sprayed.iter().filter_map(|t| t.dbh).collect();
    let usual = match measured.len() {
        0 => Length::inches(12.0),
        n => Length::inches(measured.iter().map(|l| l.as_inches()).sum::<f64>() / n as f64),
    };
    let with_mix = |tree: ListedTree| SprayTree { mix: mix_of(tree.dbh.unwrap_or(usual), p), tree };
    GroundBlock {
        block: block.id.clone(),
        trees: sprayed.into_iter().map(with_mix).collect(),
        kept_off: kept_off.len(),
        refused: list.refused,
        unknown: list.unknown,
    }
}

/// The blocks shared out to crews and days: in the order given, each day filled up, then the next crew's, then the next
/// day. Refilling counts as time.
pub fn crew_days(blocks: &[GroundBlock], p: &Parameters) -> Vec<CrewDay> {
    let mix = GroundMix::of(p);
    let (minutes, refill) = (p.number("ground.crew_minutes"), p.number("ground.refill_minutes"));
    let (crews, most) = (p.number("ground.crews").round().max(1.0) as usize, 60.0 * p.number("ground.day_hours"));
    let time = |trees: usize, volume: Volume| trees as f64 * minutes + f64::from(mix.loads(volume)) * refill;
    let mut days: Vec<CrewDay> = Vec::new();
    for block in blocks {
        for tree in &block.trees {
            let full = |d: &CrewDay| time(d.trees() + 1, d.mix() + tree.mix) > most;
            if days.last().is_none_or(full) {
                let n = days.len();
                days.push(CrewDay { crew: n % crews + 1, day: n / crews + 1, parts: Vec::new(), hours: Hours::ZERO });
            }
            let Some(day) = days.last_mut() else { continue };
            match day.parts.last_mut().filter(|b| b.block == block.block) {
                Some(part) => part.trees.push(tree.clone()),
                None => day.parts.push(GroundBlock { trees: vec![tree.clone()], ..block.clone() }),
            }
        }
    }
    for day in &mut days {
        day.hours = Hours::minutes(time(day.trees(), day.mix()));
    }
    days
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::crews::BandKind;
    use crate::types::TreeId;

    fn block(id: &str, trees: usize, gallons: f64) -> GroundBlock {
        let tree = |i: usize| SprayTree {
            tree: ListedTree {
                tree: TreeId::new(format!("{id}-{i}")),
                species: "oak".to_owned(),
                dbh: None,
                public: true,
                kind: BandKind::FullStrip,
                cloth: None,
            },
            mix: Volume::gallons(gallons),
        };
        GroundBlock {
            block: BlockId::new(id),
            trees: (0..trees).map(tree).collect(),
            kept_off: 0,
            refused: 0,
            unknown: 0,
        }
    }

    /// The stated sizes give the stated volumes; between and above them it goes on straight.
    #[test]
    fn volume_by_trunk() {
        let p = Parameters::defaults();
        for (inches, gallons) in
            [(0.0, 0.0), (3.0, 1.0), (6.0, 2.0), (9.0, 5.0), (12.0, 8.0), (24.0, 20.0), (30.0, 26.0)]
        {
            let got = mix_of(Length::inches(inches), &p).as_gallons();
            assert!((got - gallons).abs() < 1e-9, "{inches} in: {got}");
        }
    }

    /// 24 BIU in 100 gal from a product of 48 BIU a gallon: half a gallon of product in 100; 301 gal are two tanks of 300.
    #[test]
    fn product_and_tanks() {
        let mix = GroundMix { product_share: 24.0 / 100.0 / 48.0, tank: Volume::gallons(300.0) };
        assert!((mix.product(Volume::gallons(100.0)).as_gallons() - 0.5).abs() < 1e-12);
        assert_eq!([0.0, 299.0, 300.0, 301.0].map(|g| mix.loads(Volume::gallons(g))), [0, 1, 1, 2]);
    }

    /// Every tree is done once, no day is longer than it may be, and the same trees come in the same order.
    #[test]
    fn days_hold_every_tree_once() {
        let p = Parameters::defaults();
        let blocks = [block("A", 70, 8.0), block("B", 5, 20.0), block("C", 0, 1.0)];
        let days = crew_days(&blocks, &p);
        let done: Vec<String> =
            days.iter().flat_map(|d| &d.parts).flat_map(|b| &b.trees).map(|t| t.tree.tree.to_string()).collect();
        let all: Vec<String> = blocks.iter().flat_map(|b| &b.trees).map(|t| t.tree.tree.to_string()).collect();
        assert_eq!(done, all);
        assert!(days.len() > 1 && days.iter().all(|d| d.hours.as_hours() <= p.number("ground.day_hours") + 1e-9));
    }
}

//! Streets of the invented city: one along every row and column of its lattice.

use super::land::GRID;
use crate::types::{Block, BlockId};

/// Names along the rows, south first.
const ALONG: [&str; GRID.1] = [
    "Anvil Street",
    "Bellows Street",
    "Cask Street",
    "Distaff Street",
    "Easel Street",
    "Ferry Street",
    "Gimlet Street",
    "Hamper Street",
    "Inkwell Street",
    "Joist Street",
    "Kettle Street",
    "Lantern Street",
    "Mallet Street",
];
/// Names along the columns, west first.
const ACROSS: [&str; GRID.0] = [
    "Avocet Lane",
    "Bittern Lane",
    "Curlew Lane",
    "Dunlin Lane",
    "Egret Lane",
    "Finch Lane",
    "Grebe Lane",
    "Heron Lane",
    "Ibis Lane",
    "Junco Lane",
    "Killdeer Lane",
    "Lark Lane",
    "Merlin Lane",
    "Nuthatch Lane",
    "Oriole Lane",
];

/// Name, house numbers and block of every stretch of street, in the order of the blocks.
pub fn streets(blocks: &[Block]) -> Vec<(String, String, BlockId)> {
    blocks
        .iter()
        .filter_map(|b| Some((b, place(b.id.as_str())?)))
        .flat_map(|(b, (row, column))| {
            let numbers = |hundreds: usize| format!("{}-{}", 100 * hundreds + 1, 100 * hundreds + 99);
            [(ALONG[row], numbers(column + 1)), (ACROSS[column], numbers(row + 1))]
                .map(|(name, numbers)| (name.to_owned(), numbers, b.id.clone()))
        })
        .collect()
}

/// Row and column of a block's id.
fn place(id: &str) -> Option<(usize, usize)> {
    let row = usize::from(id.bytes().next()?.checked_sub(b'A')?);
    let column: usize = id.get(1..)?.parse().ok()?;
    (row < GRID.1 && (1..=GRID.0).contains(&column)).then(|| (row, column - 1))
}

#[cfg(test)]
mod tests {
    use super::streets;
    use crate::pellwood::pellwood;

    #[test]
    fn every_block_lies_on_two_streets() {
        let blocks = pellwood(1, 2027).blocks;
        let all = streets(&blocks);
        assert_eq!(all.len(), 2 * blocks.len());
        assert_eq!(all[0].0, "Anvil Street");
        assert!(blocks.iter().all(|b| all.iter().filter(|s| s.2 == b.id).count() == 2));
    }
}

//! Work of crews and volunteers: which trees, with what, and what the log says of it.
//!
//! | module | answers |
//! |---|---|
//! | `trees` | which trees of a block to band or scrape |
//! | `materials` | cloth, twine, soap and tools for them, and what they cost |
//! | `caught` | what bands caught, day by day, beside what the season would give; go on or stop |
//! | `doubles` | visits that may have been written down twice |
//! | `sprayed` | ground sprays: mix and product by tree, tanks, crews and days |
//! | `scraped` | what scraping took off, and how much of the block that was |
//!
//! Invariant: a figure of eggs never leaves this room without the share of the block's insects that it was.

mod caught;
mod defaults;
mod doubles;
mod materials;
mod scraped;
mod sprayed;
mod trees;

pub use caught::{BandAdvice, BandSeason, CatchDay, Service, TakenShare, band_season, likeliest};
pub(crate) use defaults::DEFAULTS;
pub use doubles::doubles;
pub use materials::{Material, band_materials, scraping_materials};
pub use scraped::{ScrapingSeason, scraping_season};
pub use sprayed::{CrewDay, GroundBlock, GroundMix, SprayTree, crew_days, ground_block};
pub use trees::{BandKind, ListedTree, TreeList, tree_list};

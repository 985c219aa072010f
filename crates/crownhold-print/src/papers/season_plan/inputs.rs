//! What the season plan is printed from, and whether its parts belong together.

use crownhold::field::WorkOrders;
use crownhold::outlook::Outlook;
use crownhold::plan::{BlockPlan, Plan};
use crownhold::survey::{Density, DensityEstimate};
use crownhold::tactics::{BlockOption, BlockOptions, Options, RuleOfThumb};
use crownhold::timing::Timing;
use crownhold::types::draws::quantile;
use crownhold::types::{Area, Block, MassesPerArea, Problem, Records};

use crate::PrintError;
use crate::wording::Wording;

/// Everything the season plan is printed from: the stages of one season.
#[derive(Clone, Copy, Debug)]
pub struct SeasonPlanInputs<'a> {
    /// Records.
    pub records: &'a Records,
    /// Densities of the blocks.
    pub density: &'a Density,
    /// The untreated season.
    pub outlook: &'a Outlook,
    /// Dates.
    pub timing: &'a Timing,
    /// Options of each block.
    pub options: &'a Options,
    /// The plan.
    pub plan: &'a Plan,
    /// The work it asks for.
    pub orders: &'a WorkOrders,
    /// The rule of thumb: once over every counted block whose estimate is over its action threshold and that may be
    /// flown; `None` leaves the comparison out.
    pub over_threshold: Option<RuleOfThumb>,
    /// The plan in seasons that go wrong; `None` leaves them out.
    pub stress: Option<&'a StressTable>,
}

/// Seasons that go wrong, in words and figures.
#[derive(Clone, Debug, PartialEq)]
pub struct StressTable {
    /// Draws that it was measured on.
    pub draws: usize,
    /// Host area over tolerance if nothing were done.
    pub untreated: Area,
    /// The season as forecast, then each way to go wrong.
    pub rows: Vec<StressRow>,
}

/// One season.
#[derive(Clone, Debug, PartialEq)]
pub struct StressRow {
    /// What happens.
    pub happens: String,
    /// Expected host area over tolerance, with its error.
    pub mean: String,
    /// More than as forecast, with its error.
    pub more: String,
    /// Mean of the worst tenth.
    pub worst_tenth: String,
    /// Blocks that want hands.
    pub undone: String,
}

/// One block with its part of every stage.
#[derive(Clone, Copy, Debug)]
pub struct BlockRow<'a> {
    /// Block.
    pub block: &'a Block,
    /// What was found: the estimate from counts.
    pub density: &'a DensityEstimate,
    /// What the plan uses: draws of the density, egg masses per hectare; never empty.
    pub densities: &'a [f64],
    /// Options.
    pub options: &'a BlockOptions,
    /// Decision.
    pub plan: &'a BlockPlan,
    /// Position in the outlook.
    pub outlook_index: usize,
}

impl<'a> BlockRow<'a> {
    /// The option the plan chose.
    pub fn chosen(&self) -> &'a BlockOption {
        &self.options.options[self.plan.option]
    }
    /// Quantile of the density the plan uses.
    pub fn density_at(&self, p: f64) -> MassesPerArea {
        MassesPerArea::per_hectare(quantile(self.densities, p))
    }
    /// Nothing is done here.
    pub fn watched(&self) -> bool {
        self.plan.bundle.tactics().is_empty()
    }
    /// Its chance of losing more than is tolerated stays within what is accepted.
    pub fn held(&self) -> bool {
        self.plan.chance_over <= self.options.accepted_chance
    }
    /// Mean share of favoured foliage lost if nothing is done.
    pub fn mean_loss_untreated(&self, outlook: &Outlook) -> f64 {
        outlook.defoliation.mean(self.outlook_index)
    }
    /// The same with the plan. A watched block's season is the untreated one.
    pub fn mean_loss_planned(&self, outlook: &Outlook) -> f64 {
        if self.watched() { self.mean_loss_untreated(outlook) } else { self.chosen().expected_defoliation }
    }
    /// Id, and the name where it says more.
    pub fn label(&self) -> String {
        let (id, name) = (self.block.id.as_str(), self.block.name.trim());
        if name.is_empty() || name == id { id.to_owned() } else { format!("{id} {name}") }
    }
}

impl<'a> SeasonPlanInputs<'a> {
    /// Words in the programme's units.
    pub fn wording(&self) -> Wording {
        Wording::new(self.records.programme.units)
    }

    /// The blocks that every stage knows, in the order of the plan.
    pub fn rows(&self) -> Vec<BlockRow<'a>> {
        self.plan.blocks.iter().filter_map(|plan| self.row(plan)).collect()
    }

    fn row(&self, plan: &'a BlockPlan) -> Option<BlockRow<'a>> {
        let id = &plan.block;
        let options = self.options.blocks.iter().find(|b| &b.block == id)?;
        options.options.get(plan.option)?;
        let density = self.density_index(plan)?;
        Some(BlockRow {
            block: self.records.blocks.iter().find(|b| &b.id == id)?,
            density: &self.density.blocks[density].1,
            densities: self.density.draws.block(density),
            options,
            plan,
            outlook_index: self.outlook_index(plan)?,
        })
    }

    fn density_index(&self, plan: &BlockPlan) -> Option<usize> {
        let at = self.density.blocks.iter().position(|(b, _)| b == &plan.block);
        at.filter(|i| *i < self.density.draws.blocks())
    }

    fn outlook_index(&self, plan: &BlockPlan) -> Option<usize> {
        self.outlook.blocks.iter().position(|b| b == &plan.block).filter(|i| *i < self.outlook.defoliation.blocks())
    }

    /// Do the stages belong together?
    ///
    /// # Errors
    /// [`PrintError::Inputs`] with one problem for each part that is missing.
    pub fn check(&self) -> Result<(), PrintError> {
        let mut problems: Vec<Problem> = self.plan.blocks.iter().flat_map(|b| self.missing(b)).collect();
        for block in self.records.blocks.iter().filter(|b| !self.plan.blocks.iter().any(|p| p.block == b.id)) {
            problems.push(stale("the plan has no decision", block.id.as_str()));
        }
        if problems.is_empty() { Ok(()) } else { Err(PrintError::Inputs(problems)) }
    }

    fn missing(&self, plan: &BlockPlan) -> Vec<Problem> {
        let id = &plan.block;
        let option = self.options.blocks.iter().find(|b| &b.block == id).and_then(|b| b.options.get(plan.option));
        let parts = [
            (self.records.blocks.iter().any(|b| &b.id == id), "the records do not have it"),
            (self.density_index(plan).is_some(), "it has no density"),
            (self.outlook_index(plan).is_some(), "it has no outlook"),
            (option.is_some(), "it does not have the option that the plan chose"),
            (option.is_none_or(|o| o.bundle == plan.bundle), "its chosen option is another than the plan says"),
        ];
        parts.iter().filter(|(holds, _)| !holds).map(|(_, what)| stale(what, id.as_str())).collect()
    }
}

fn stale(what: &str, block: &str) -> Problem {
    Problem::error(
        "print-stages-differ",
        format!("For this block {what}."),
        "Compute the plan again from the present records.",
    )
    .item(format!("block {block}"))
}

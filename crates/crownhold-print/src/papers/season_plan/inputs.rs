//! What the season plan is printed from, and whether its parts belong together.

use crownhold::field::WorkOrders;
use crownhold::outlook::Outlook;
use crownhold::plan::{BlockPlan, Plan};
use crownhold::survey::{Density, DensityEstimate};
use crownhold::tactics::{BlockOption, BlockOptions, Options};
use crownhold::timing::Timing;
use crownhold::types::{Area, Block, Problem, Records};

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
    /// Area that would be flown if every block over the action threshold were; `None` leaves the comparison out.
    pub over_threshold: Option<Area>,
}

/// One block with its part of every stage.
#[derive(Clone, Copy, Debug)]
pub struct BlockRow<'a> {
    /// Block.
    pub block: &'a Block,
    /// Density.
    pub density: &'a DensityEstimate,
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
        Some(BlockRow {
            block: self.records.blocks.iter().find(|b| &b.id == id)?,
            density: &self.density.blocks.iter().find(|(b, _)| b == id)?.1,
            options,
            plan,
            outlook_index: self.outlook_index(plan)?,
        })
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
            (self.density.blocks.iter().any(|(b, _)| b == id), "it has no density"),
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

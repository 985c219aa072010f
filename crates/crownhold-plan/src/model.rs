//! The season plan as a mixed-integer model.
//!
//! | column | meaning |
//! |---|---|
//! | x (block, option), 0 or 1 | the option is taken |
//! | own volunteers (period, place) >= 0 | hours by the place's own volunteers |
//! | volunteers from anywhere (period, place) >= 0 | hours |
//! | crews from anywhere (period, place) >= 0 | hours |
//! | flown, first, together | spray blocks: see `flown` |
//!
//! Own crews need no column: they do what is left, and their hours bound it. Areas are in hectares,
//! money in thousands, hours in hours, so that factors stay near 1.

use crownhold::plan::hours::{Roster, Staffed, Work, work_of};
use crownhold::plan::standing::{host_beyond_accepted, whole_square_metres};
use crownhold::plan::{Groups, Limits};
use crownhold::tactics::{BlockOption, BlockOptions, Bundle, Options};
use crownhold::types::{Area, Period};

use crate::Aim;
use crate::flown::Flown;
use crate::milp::Milp;

/// Square metres in a hectare: the grid of the first two aims is 1e-4 of the model's unit.
pub(crate) const GRID: f64 = 1e-4;
const THOUSAND: f64 = 1e-3;

/// Columns with their factors.
type Terms = Vec<(usize, f64)>;

/// Columns of the hours of one period at one place.
#[derive(Clone, Copy, Debug)]
struct HoursColumns {
    period: Period,
    place: usize,
    volunteers: usize,
    volunteers_anywhere: usize,
    crew_anywhere: usize,
}

/// The model with the meaning of its columns.
pub(crate) struct Model<'a> {
    pub(crate) options: &'a Options,
    limits: &'a Limits,
    roster: Roster,
    /// Per block: (position of the option, column).
    pub(crate) taken: Vec<Vec<(usize, usize)>>,
    hours: Vec<HoursColumns>,
    /// Columns of the spray blocks.
    pub(crate) flown: Flown<'a>,
    /// The rows and columns.
    pub(crate) milp: Milp,
    /// Rows of money, sprayed area and the hours of each place that a shortage may relax, with their names.
    pub(crate) limit_rows: Vec<(LimitRow, usize)>,
}

/// A row that is a limit of the user's.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum LimitRow {
    /// Money.
    Money,
    /// Sprayed area.
    Sprayed,
    /// Hours that anybody or only crews may work, in a period at a place.
    Hours(Period, Option<String>),
}

impl<'a> Model<'a> {
    /// Builds the rows common to the three aims. Every block must have an allowed option.
    pub(crate) fn new(options: &'a Options, limits: &'a Limits) -> Self {
        let mut milp = Milp::default();
        let mut taken = Vec::new();
        for block in &options.blocks {
            let joined = options.flying.matters();
            let alike = |a: &Bundle, b: &Bundle| !joined || a.flights() == b.flights();
            let worth = worth_a_column(block, &alike);
            let columns: Vec<(usize, usize)> = worth.into_iter().map(|o| (o, milp.yes_no())).collect();
            milp.row(1.0, 1.0, columns.iter().map(|&(_, x)| (x, 1.0)).collect());
            taken.push(columns);
        }
        let flown = Flown::new(&options.blocks, &options.flying, &taken, &mut milp);
        Self::upon(milp, options, limits, taken, flown)
    }

    /// Adds hours, money and the sprayed area to a model that has the options and the spray blocks.
    pub(crate) fn upon(
        milp: Milp,
        options: &'a Options,
        limits: &'a Limits,
        taken: Vec<Vec<(usize, usize)>>,
        flown: Flown<'a>,
    ) -> Self {
        let roster = Roster::new(options, &limits.hours);
        let mut model = Self { options, limits, roster, taken, hours: Vec::new(), flown, milp, limit_rows: Vec::new() };
        for &period in Period::ALL {
            model.add_hours(period);
        }
        model.add_money_and_sprayed();
        model
    }

    fn add_hours(&mut self, period: Period) {
        let supply = self.roster.periods[period as usize].clone();
        let (mut volunteers_anywhere, mut crew_anywhere) = (Vec::new(), Vec::new());
        for place in 0..self.roster.places.len() {
            let (open, all) = self.work_terms(period, place);
            if all.is_empty() {
                continue;
            }
            let v = self.milp.column(0.0, supply.volunteers[place], false);
            let va = self.milp.column(0.0, supply.volunteers_anywhere, false);
            let ka = self.milp.column(0.0, supply.crew_anywhere, false);
            // Volunteers do open work only.
            let mut terms = vec![(v, 1.0), (va, 1.0)];
            terms.extend(open.iter().map(|&(x, h)| (x, -h)));
            self.milp.row(f64::NEG_INFINITY, 0.0, terms);
            // What they and the crews from anywhere leave, the place's own crews must be able to do.
            let mut terms = all;
            terms.extend([(v, -1.0), (va, -1.0), (ka, -1.0)]);
            let limit = LimitRow::Hours(period, self.roster.places[place].clone());
            self.limit_rows.push((limit, self.milp.rows.len()));
            self.milp.row(f64::NEG_INFINITY, supply.crew[place], terms);
            volunteers_anywhere.push((va, 1.0));
            crew_anywhere.push((ka, 1.0));
            let columns = HoursColumns { period, place, volunteers: v, volunteers_anywhere: va, crew_anywhere: ka };
            self.hours.push(columns);
        }
        if !crew_anywhere.is_empty() {
            self.milp.row(f64::NEG_INFINITY, supply.volunteers_anywhere, volunteers_anywhere);
            self.milp.row(f64::NEG_INFINITY, supply.crew_anywhere, crew_anywhere);
        }
    }

    /// Open hours and all hours of a period at a place, by the columns of the options that ask for them.
    fn work_terms(&self, period: Period, place: usize) -> (Terms, Terms) {
        let (mut open, mut all) = (Vec::new(), Vec::new());
        for (b, columns) in self.taken.iter().enumerate().filter(|(b, _)| self.roster.place_of[*b] == place) {
            for &(o, x) in columns {
                let work = work_of(&self.options.blocks[b].options[o], period);
                open.extend((work.open > 0.0).then_some((x, work.open)));
                all.extend((work.open + work.crew_only > 0.0).then_some((x, work.open + work.crew_only)));
            }
        }
        (open, all)
    }

    fn add_money_and_sprayed(&mut self) {
        if let Some(budget) = self.limits.budget {
            self.limit_rows.push((LimitRow::Money, self.milp.rows.len()));
            self.milp.row(f64::NEG_INFINITY, budget.as_dollars() * THOUSAND, self.terms(Aim::Cost));
        }
        if let Some(most) = self.limits.most_sprayed {
            self.limit_rows.push((LimitRow::Sprayed, self.milp.rows.len()));
            let sprayed = self.per_option(|_, o| o.sprayed.as_hectares());
            self.milp.row(f64::NEG_INFINITY, most.as_hectares(), sprayed);
        }
    }

    /// An aim as columns with their factors; the first two on the grid of whole square metres.
    pub(crate) fn terms(&self, aim: Aim) -> Vec<(usize, f64)> {
        let on_grid = |area: Area| whole_square_metres(area) as f64 * GRID;
        match aim {
            Aim::Host => self.per_option(|b, o| on_grid(host_beyond_accepted(b, o))),
            Aim::Sprayed => self.per_option(|_, o| on_grid(o.sprayed)),
            Aim::Cost => {
                let wage = self.limits.crew_wage.as_dollars();
                // As if crews did everything, less what volunteers do.
                let mut terms = self.per_option(|_, o| (o.cost.as_dollars() + wage * o.hours().as_hours()) * THOUSAND);
                terms.extend(self.flown.money().map(|(column, dollars)| (column, dollars * THOUSAND)));
                if wage > 0.0 {
                    let volunteers = self.hours.iter().flat_map(|h| [h.volunteers, h.volunteers_anywhere]);
                    terms.extend(volunteers.map(|v| (v, -wage * THOUSAND)));
                }
                terms
            }
        }
    }

    pub(crate) fn per_option(&self, factor: impl Fn(&BlockOptions, &BlockOption) -> f64) -> Vec<(usize, f64)> {
        let blocks = self.options.blocks.iter().zip(&self.taken);
        blocks
            .flat_map(|(b, columns)| columns.iter().map(move |&(o, x)| (b, o, x)))
            .map(|(b, o, x)| (x, factor(b, &b.options[o])))
            .filter(|&(_, f)| f != 0.0)
            .collect()
    }

    /// Keeps an aim from getting worse than `most`, in the model's unit.
    pub(crate) fn keep(&mut self, aim: Aim, most: f64) {
        let terms = self.terms(aim);
        self.milp.row(f64::NEG_INFINITY, most, terms);
    }

    /// The choice that a solution stands for.
    pub(crate) fn choice(&self, values: &[f64]) -> Vec<usize> {
        let best = |columns: &Vec<(usize, usize)>| {
            columns.iter().max_by(|a, b| values[a.1].total_cmp(&values[b.1])).map_or(0, |&(o, _)| o)
        };
        self.taken.iter().map(best).collect()
    }

    /// The choice with options that have a column: a needless one gives way to one that is no worse.
    /// Both are `alike`.
    pub(crate) fn with_columns(&self, mut choice: Vec<usize>, alike: &dyn Fn(&Bundle, &Bundle) -> bool) -> Vec<usize> {
        for ((block, columns), option) in self.options.blocks.iter().zip(&self.taken).zip(&mut choice) {
            let traits = |o: usize| what_counts(block, &block.options[o]);
            let serves = |o: usize| {
                let [a, b] = [o, *option].map(|o| &block.options[o].bundle);
                alike(a, b) && not_worse(&traits(o), &traits(*option))
            };
            if !columns.iter().any(|(o, _)| o == option) {
                *option = columns.iter().map(|&(o, _)| o).find(|&o| serves(o)).unwrap_or(*option);
            }
        }
        choice
    }

    /// Values of all columns for a choice, or `None` when the model has no column for one of its options.
    pub(crate) fn values(&self, choice: &[usize]) -> Option<Vec<f64>> {
        let choice = self.with_columns(choice.to_vec(), &|a, b| a.flights() == b.flights());
        let mut values = vec![0.0; self.milp.columns.len()];
        self.fill(&choice, &mut values)?;
        Some(values)
    }

    /// Writes them where they belong, all options having a column.
    pub(crate) fn fill(&self, choice: &[usize], values: &mut [f64]) -> Option<()> {
        for (columns, &option) in self.taken.iter().zip(choice) {
            values[columns.iter().find(|&&(o, _)| o == option)?.1] = 1.0;
        }
        let staffed: Vec<Staffed> = Period::ALL
            .iter()
            .map(|&period| self.roster.staff(&self.roster.work(self.options, choice, period), period))
            .collect();
        for h in &self.hours {
            let s = &staffed[h.period as usize];
            values[h.volunteers] = s.volunteers[h.place];
            values[h.volunteers_anywhere] = s.volunteers_anywhere[h.place];
            values[h.crew_anywhere] = s.crew_anywhere[h.place];
        }
        let flights = |(b, &o): (&BlockOptions, &usize)| b.options[o].bundle.flights();
        let flights: Vec<u32> = self.options.blocks.iter().zip(choice).map(flights).collect();
        self.flown.values(&flights, Groups::new(self.options, choice).members(), values);
        Some(())
    }
}

/// Positions of the allowed options that no other allowed option of the block makes needless.
///
/// An option is needless when another is not worse by the first aim (on the grid), sprayed area,
/// cost, and, in each period, both crew-only hours and all hours (open work is never harder to staff
/// than crew-only work). Taking the other in its place then keeps every limit and worsens no aim. The other must be `alike`
/// as well: flown as often where spray blocks have to be joined, as a block may be flown for its neighbours' sake.
pub(crate) fn worth_a_column(block: &BlockOptions, alike: &dyn Fn(&Bundle, &Bundle) -> bool) -> Vec<usize> {
    let allowed: Vec<usize> = (0..block.options.len()).filter(|&o| block.options[o].allowed()).collect();
    let traits: Vec<Vec<f64>> = allowed.iter().map(|&o| what_counts(block, &block.options[o])).collect();
    let replaces = |j: usize, i: usize| {
        let [a, b] = [j, i].map(|n| &block.options[allowed[n]].bundle);
        j != i && alike(a, b) && not_worse(&traits[j], &traits[i]) && (j < i || traits[j] != traits[i])
    };
    let needless = |i: usize| (0..allowed.len()).any(|j| replaces(j, i));
    (0..allowed.len()).filter(|&i| !needless(i)).map(|i| allowed[i]).collect()
}

fn not_worse(a: &[f64], b: &[f64]) -> bool {
    a.iter().zip(b).all(|(x, y)| x <= y)
}

fn what_counts(block: &BlockOptions, option: &BlockOption) -> Vec<f64> {
    let mut all = vec![
        whole_square_metres(host_beyond_accepted(block, option)) as f64,
        option.sprayed.as_square_metres(),
        option.cost.as_dollars(),
    ];
    for &period in Period::ALL {
        let Work { crew_only, open } = work_of(option, period);
        all.extend([crew_only, crew_only + open]);
    }
    all
}

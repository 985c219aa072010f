//! The plan's problem as JSON, for anybody who wants to solve it with something else.

use crownhold::plan::Limits;
use crownhold::plan::standing::{host_beyond_accepted, whole_square_metres};
use crownhold::tactics::{BlockOption, BlockOptions, Options};
use serde::Serialize;

#[derive(Serialize)]
struct Text {
    about: &'static str,
    budget_dollars: Option<f64>,
    most_sprayed_m2: Option<f64>,
    crew_wage_dollars_per_hour: f64,
    least_spray_block_m2: f64,
    set_up_dollars: f64,
    turn_dollars: f64,
    supplies: Vec<Supply>,
    blocks: Vec<Block>,
}

#[derive(Serialize)]
struct Supply {
    who: &'static str,
    period: &'static str,
    neighbourhood: Option<String>,
    hours: f64,
}

#[derive(Serialize)]
struct Block {
    id: String,
    neighbourhood: Option<String>,
    beside: Vec<String>,
    turns_alone: f64,
    /// With each block beside it, in their order.
    turns_saved: Vec<f64>,
    options: Vec<Choice>,
}

#[derive(Serialize)]
struct Choice {
    option: usize,
    bundle: String,
    host_beyond_accepted_m2: i64,
    sprayed_m2: f64,
    sprayed_grid_m2: i64,
    flights: u32,
    cost_dollars: f64,
    labour: Vec<Work>,
}

#[derive(Serialize)]
struct Work {
    period: &'static str,
    hours: f64,
    volunteers_may: bool,
}

const ABOUT: &str = "Take exactly one option per block. Minimise, in this order: the sum of host_beyond_accepted_m2; \
the sum of sprayed_grid_m2; money. Money is the sum of cost_dollars plus crew hours x crew_wage_dollars_per_hour, and \
is at most budget_dollars. The sum of sprayed_m2 is at most most_sprayed_m2. Labour is done in its period by the \
supplies of the block's neighbourhood or by those without a neighbourhood (anywhere); volunteers do only labour with \
volunteers_may; hours may be split. A supply that is not listed has no hours; null limits are no limits. Blocks that \
are flown (flights above 0) equally often and lie beside each other belong to one spray block, as large as can be; the \
sum of sprayed_m2 / flights in each is at least least_spray_block_m2, and each adds set_up_dollars x flights to the money. \
Every flown block has turns_alone, less turns_saved once for each pair of blocks beside each other that are flown equally often; a turn \
adds turn_dollars x flights.";

/// The problem as one JSON object; its `about` says how to read it. Only allowed options are listed,
/// `option` being their position among all options of the block.
pub fn model_text(options: &Options, limits: &Limits) -> String {
    let supplies = limits
        .hours
        .iter()
        .map(|s| Supply {
            who: s.who.word(),
            period: s.period.word(),
            neighbourhood: s.neighbourhood.clone(),
            hours: s.hours.as_hours(),
        })
        .collect();
    let text = Text {
        about: ABOUT,
        budget_dollars: limits.budget.map(|b| b.as_dollars()),
        most_sprayed_m2: limits.most_sprayed.map(|m| m.as_square_metres()),
        crew_wage_dollars_per_hour: limits.crew_wage.as_dollars(),
        least_spray_block_m2: options.flying.least.as_square_metres(),
        set_up_dollars: options.flying.set_up.as_dollars(),
        turn_dollars: options.flying.turns.price.as_dollars(),
        supplies,
        blocks: (0..options.blocks.len()).map(|b| block(options, b)).collect(),
    };
    serde_json::to_string_pretty(&text).expect("plain numbers and strings always make JSON")
}

fn block(options: &Options, b: usize) -> Block {
    let block = &options.blocks[b];
    let allowed = block.options.iter().enumerate().filter(|(_, o)| o.allowed());
    Block {
        id: block.block.to_string(),
        neighbourhood: block.neighbourhood.clone(),
        beside: options.flying.around(b).iter().map(|&n| options.blocks[n].block.to_string()).collect(),
        turns_alone: options.flying.turns.alone(b),
        turns_saved: (0..options.flying.around(b).len()).map(|n| options.flying.turns.saved(b, n)).collect(),
        options: allowed.map(|(i, o)| choice(block, i, o)).collect(),
    }
}

fn choice(block: &BlockOptions, position: usize, option: &BlockOption) -> Choice {
    Choice {
        option: position,
        bundle: option.bundle.key(),
        host_beyond_accepted_m2: whole_square_metres(host_beyond_accepted(block, option)),
        sprayed_m2: option.sprayed.as_square_metres(),
        sprayed_grid_m2: whole_square_metres(option.sprayed),
        flights: option.bundle.flights(),
        cost_dollars: option.cost.as_dollars(),
        labour: option
            .labour
            .iter()
            .map(|l| Work { period: l.period.word(), hours: l.hours.as_hours(), volunteers_may: l.volunteers_may })
            .collect(),
    }
}

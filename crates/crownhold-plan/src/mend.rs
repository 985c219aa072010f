//! From a choice with spray blocks that are too small to one without: each is dropped or made larger, whichever is better.

use crownhold::plan::standing::Standing;

use crate::season::is_better;

/// Mends a choice; what comes out may still break another limit.
pub(crate) fn mended(mut standing: Standing<'_>) -> Standing<'_> {
    // Each round drops a spray block or makes it large enough.
    for _ in 0..standing.choice.len() {
        let Some(small) = standing.groups.small().next().cloned() else { break };
        let before = standing.choice.clone();
        let dropped = dropped(standing.clone(), &small);
        standing = match grown(standing, &small) {
            Some(grown) if grown.keeps_the_rest() && is_better(&grown, &dropped) => grown,
            _ => dropped,
        };
        if standing.choice == before {
            break;
        }
    }
    standing
}

/// Every block of it takes its best option without a flight.
fn dropped<'a>(mut standing: Standing<'a>, small: &[usize]) -> Standing<'a> {
    for &b in small {
        take_best(&mut standing, b, 0);
    }
    standing
}

/// Neighbours are taken in, the one with most to gain first, until it is large enough.
fn grown<'a>(mut standing: Standing<'a>, small: &[usize]) -> Option<Standing<'a>> {
    let flights = standing.flights(*small.first()?);
    loop {
        let group = standing.groups.members().iter().find(|m| m.contains(&small[0]))?.clone();
        if !standing.groups.small().any(|m| *m == group) {
            return Some(standing);
        }
        let beside = group.iter().flat_map(|&b| standing.options.flying.around(b)).copied();
        let gain = |b: usize| best(&standing, b, flights).map(|o| (standing.swap(b, o).change, b));
        let (_, next) = beside
            .filter(|&b| standing.flights(b) != flights)
            .filter_map(gain)
            .min_by(|(a, x), (b, y)| (a.host, a.sprayed).cmp(&(b.host, b.sprayed)).then(x.cmp(y)))?;
        take_best(&mut standing, next, flights);
    }
}

fn best(standing: &Standing<'_>, b: usize, flights: u32) -> Option<usize> {
    let options = &standing.options.blocks[b].options;
    let all = (0..options.len()).filter(|&o| options[o].allowed() && options[o].bundle.flights() == flights);
    let change = |o: usize| standing.swap(b, o).change;
    all.map(|o| (change(o), o))
        .min_by(|(x, _), (y, _)| (x.host, x.sprayed).cmp(&(y.host, y.sprayed)).then(x.cost.total_cmp(&y.cost)))
        .map(|(_, o)| o)
}

fn take_best(standing: &mut Standing<'_>, b: usize, flights: u32) {
    // A block that must be flown stays as it is: then the choice is not mended, and another has to be found.
    if let Some(option) = best(standing, b, flights) {
        standing.take(b, option);
    }
}

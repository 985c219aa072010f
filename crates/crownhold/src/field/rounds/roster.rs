//! What is wrong with a team.

use crate::types::{Problem, Records, Team, Workforce};

/// Most people in a team: more are two teams.
const MOST_PEOPLE: u32 = 50;

/// Everything that is wrong with a team, each with its field.
pub fn team_problems(records: &Records, team: &Team) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut wrong = |field: &'static str, what: String, remedy: &'static str| {
        problems.push(Problem::error("R-001", what, remedy).column(field));
    };
    if team.name.trim().is_empty() {
        wrong("name", "The team has no name.".to_owned(), "Give it one.");
    }
    if !(1..=MOST_PEOPLE).contains(&team.people) {
        let what = format!("A team of {} people.", team.people);
        wrong("people", what, "1 to 50; more are two teams.");
    }
    if team.from >= team.to {
        let clock = |t: jiff::civil::Time| t.strftime("%H:%M").to_string();
        let what = format!("It works from {} to {}.", clock(team.from), clock(team.to));
        wrong("to", what, "The end is later than the beginning.");
    }
    if team.ladder && team.who == Workforce::Volunteers {
        let what = "Volunteers on ladders.".to_owned();
        wrong("ladder", what, "Ladders are for trained, paid crews; take the mark away.");
    }
    for (field, block) in [("starts", &team.starts), ("ends", &team.ends)] {
        if let Some(id) = block.as_ref().filter(|id| records.block_index(id).is_none()) {
            wrong(field, format!("There is no block \"{id}\"."), "Name a block of the programme, or leave it blank.");
        }
    }
    if let Some(name) = &team.neighbourhood
        && !records.blocks.iter().any(|b| b.neighbourhood.as_ref() == Some(name))
    {
        let what = format!("No block lies in a neighbourhood \"{name}\".");
        wrong("neighbourhood", what, "Write it as the blocks have it, or leave it blank for anywhere.");
    }
    problems
}

#[cfg(test)]
mod tests {
    use jiff::civil::Time;

    use super::*;
    use crate::types::{Programme, UnitSystem};

    #[test]
    fn everything_at_once() {
        let programme =
            Programme { name: "Newtown".into(), season: 2027, epsg: 32616, units: UnitSystem::Us, invented: true };
        let team = Team {
            name: " ".into(),
            who: Workforce::Volunteers,
            people: 0,
            neighbourhood: Some("North".into()),
            starts: Some("A1".into()),
            ends: Some("A2".into()),
            from: Time::constant(18, 0, 0, 0),
            to: Time::constant(16, 0, 0, 0),
            ladder: true,
            most: None,
            note: String::new(),
        };
        let problems = team_problems(&Records::empty(programme), &team);
        let fields: Vec<&str> = problems.iter().filter_map(|p| p.place.column.as_deref()).collect();
        assert_eq!(fields, ["name", "people", "to", "ladder", "starts", "ends", "neighbourhood"]);
    }
}

//! The people of the programme: who does what, and how to reach them.

use std::path::Path;

use crownhold::types::{Person, Problem, Records, Role};

use super::{By, Done, act, refuse};
use crate::trouble::Trouble;

/// The role of a word.
///
/// # Errors
/// When there is none.
pub fn role(word: &str) -> Result<Role, Trouble> {
    Role::from_word(word).ok_or_else(|| {
        let all = Role::ALL.iter().map(|r| r.word()).collect::<Vec<_>>().join(", ");
        Trouble::one(Problem::error("A-132", format!("\"{}\" is not a role.", word.trim()), "").expected(all))
    })
}

/// Adds somebody.
///
/// # Errors
/// When the name is blank or there already.
pub fn add(path: &Path, person: &Person, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let person = tidy(person);
        refuse(name_problems(records, &person.name, None))?;
        let done = Done::new(format!("{} added as {}", person.name, person.role), person.name.as_str());
        put(records, person);
        Ok(done)
    })
}

/// Puts other words in somebody's place, perhaps with another name.
///
/// # Errors
/// When there is nobody of that name, or the new name is blank or somebody else's.
pub fn change(path: &Path, name: &str, person: &Person, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = person_at(records, name)?;
        let person = tidy(person);
        refuse(name_problems(records, &person.name, Some(at)))?;
        let old = records.people.remove(at);
        let named = if old.name == person.name { old.name } else { format!("{}, now {}", old.name, person.name) };
        let done = Done::new(format!("{named}: {}", person.role), person.name.as_str());
        put(records, person);
        Ok(done)
    })
}

/// Takes somebody out. What they did stays in the history.
///
/// # Errors
/// When there is nobody of that name.
pub fn remove(path: &Path, name: &str, by: By<'_>) -> Result<Done, Trouble> {
    act(path, by, |records| {
        let at = person_at(records, name)?;
        let person = records.people.remove(at);
        Ok(Done::new(format!("{} removed", person.name), person.name))
    })
}

fn tidy(person: &Person) -> Person {
    let plain = |text: &str| text.trim().to_owned();
    Person { name: plain(&person.name), role: person.role, reach: plain(&person.reach), note: plain(&person.note) }
}

fn put(records: &mut Records, person: Person) {
    records.people.push(person);
    records.people.sort_by(|a, b| a.name.cmp(&b.name));
}

fn person_at(records: &Records, name: &str) -> Result<usize, Trouble> {
    records.people.iter().position(|p| p.name.eq_ignore_ascii_case(name.trim())).ok_or_else(|| {
        let what = format!("There is nobody called \"{}\".", name.trim());
        Trouble::one(Problem::error("A-130", what, "Use a name of the list."))
    })
}

/// `own` is the place of the person whose name it may stay.
fn name_problems(records: &Records, name: &str, own: Option<usize>) -> Vec<Problem> {
    if name.is_empty() {
        return vec![Problem::error("A-131", "The name is blank.", "Give a name.").column("name")];
    }
    let taken = records.people.iter().enumerate().any(|(i, p)| Some(i) != own && p.name.eq_ignore_ascii_case(name));
    let problem = || {
        let what = format!("There is somebody called \"{name}\" already.");
        Problem::error("A-131", what, "Add something that tells them apart.").column("name")
    };
    if taken { vec![problem()] } else { Vec::new() }
}

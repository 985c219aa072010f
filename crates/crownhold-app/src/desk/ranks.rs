//! What each role may do, address by address. What is not named here is for the manager alone.

use axum::http::Method;

use crate::actions::access::Rank;

/// What an address asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Right {
    /// Looking at the field work.
    Field,
    /// Looking at counts, dates, plan and papers.
    See,
    /// Writing down bands and scraping.
    Log,
    /// Writing down sprays and notices.
    Record,
    /// Counting, sampling, rounds, working things out.
    Survey,
    /// All else.
    Manage,
}

/// Has a role this right?
pub fn may(rank: Rank, right: Right) -> bool {
    match rank {
        Rank::Manager => true,
        Rank::Technician => right != Right::Manage,
        Rank::Crew => matches!(right, Right::Field | Right::See | Right::Log | Right::Record),
        Rank::Volunteer => matches!(right, Right::Field | Right::Log),
        Rank::Reader => matches!(right, Right::Field | Right::See),
    }
}

/// The right that a request asks for.
pub fn right_of(method: &Method, path: &str) -> Right {
    if matches!(*method, Method::GET | Method::HEAD) { right_to_look(path) } else { right_to_change(path) }
}

/// Is a path this page or below it?
pub(super) fn is_in(path: &str, page: &str) -> bool {
    path.strip_prefix(page).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

fn right_to_look(path: &str) -> Right {
    const MANAGED: [&str; 5] =
        ["/programme/people", "/programme/accounts", "/programme/import", "/programme/public", "/programme/backup"];
    const FIELD: [&str; 12] = [
        "/map",
        "/jobs",
        "/timing/season.ics",
        "/field/bands",
        "/field/scraping",
        "/field/rounds",
        "/field/trees",
        "/papers/rounds",
        "/papers/bands",
        "/papers/scraping",
        "/round/today.json",
        "/round/photos",
    ];
    if MANAGED.iter().any(|page| is_in(path, page)) {
        Right::Manage
    } else if is_in(path, "/field/notices/lists") {
        // People's addresses: for those who write to them.
        Right::Survey
    } else if matches!(path, "/" | "/field" | "/timing") || FIELD.iter().any(|page| is_in(path, page)) {
        Right::Field
    } else {
        Right::See
    }
}

fn right_to_change(path: &str) -> Right {
    const WORKED_OUT: [&str; 5] =
        ["/plan/frontier", "/plan/worth", "/plan/stress", "/plan/reserve", "/timing/hindcast"];
    const SURVEY: [&str; 7] = [
        "/survey",
        "/timing/samples",
        "/field/rounds",
        "/field/teams",
        "/field/bands",
        "/field/scraping",
        "/field/notices",
    ];
    match path {
        "/field/bands" | "/field/scraping" | "/round/visits" => Right::Log,
        "/field/notices" => Right::Record,
        _ if is_in(path, "/round/photos") => Right::Log,
        _ if is_in(path, "/field/applications") => Right::Record,
        _ if WORKED_OUT.contains(&path) || is_in(path, "/jobs") || SURVEY.iter().any(|page| is_in(path, page)) => {
            Right::Survey
        }
        _ => Right::Manage,
    }
}

#[cfg(test)]
mod tests {
    use axum::http::Method;

    use super::{Rank, may, right_of};

    /// Every address of the desk with the roles that may use it: a new one must be looked at here. Letters are manager,
    /// technician, crew, volunteer, reader.
    #[test]
    fn every_address_by_role() {
        let sources = [
            include_str!("pages/mod.rs"),
            include_str!("pages/programme/mod.rs"),
            include_str!("api/mod.rs"),
            include_str!("round/mod.rs"),
        ];
        let mut lines = Vec::new();
        for route in sources.iter().flat_map(|s| s.split(".route(").skip(1)) {
            let path = route.split('"').nth(1).unwrap_or_default();
            let call = route.split("\n").next().unwrap_or_default();
            for (word, method) in [("get(", Method::GET), ("post(", Method::POST)] {
                if call.contains(word) {
                    let right = right_of(&method, &path.replace(['{', '}'], ""));
                    let letters: String =
                        Rank::ALL.iter().map(|r| if may(*r, right) { &r.word()[..1] } else { "-" }).collect();
                    lines.push(format!("{letters} {method} {path}"));
                }
            }
        }
        insta::assert_snapshot!(lines.join("\n"));
    }

    /// Nobody but the manager changes what a plan is made from or who comes in; nobody changes a thing by looking.
    #[test]
    fn what_is_not_named_is_the_managers() {
        for path in
            ["/plan/solve", "/programme/undo", "/programme/accounts", "/plan/areas/1/delete", "/anything/new", "/field"]
        {
            for rank in [Rank::Technician, Rank::Crew, Rank::Volunteer, Rank::Reader] {
                assert!(!may(rank, right_of(&Method::POST, path)), "{} {path}", rank.word());
            }
        }
        assert!(!may(Rank::Volunteer, right_of(&Method::GET, "/programme/people")));
        assert!(!may(Rank::Technician, right_of(&Method::GET, "/programme/backup/file")));
        assert!(!may(Rank::Crew, right_of(&Method::POST, "/field/bands/1/remove")));
        assert!(!may(Rank::Volunteer, right_of(&Method::GET, "/field/bandsaw")));
        assert!(may(Rank::Volunteer, right_of(&Method::POST, "/field/bands")));
    }
}

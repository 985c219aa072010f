//! `crownhold accounts`

use std::process::ExitCode;

use crownhold::types::Problem;
use tower_sessions::session::Id;

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::access::{self, Rank};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Accounts) -> Result<ExitCode, Trouble> {
    // Only beside a programme that can be read: a slip in the name would make a file of accounts for nothing.
    crate::actions::records(&a.programme)?;
    let (today, token) = (clock::today(), Id::default().to_string());
    match (&a.invite, &a.link, &a.remove) {
        (Some(name), _, _) => {
            access::invite(&a.programme, name, rank(a, Rank::Reader)?, &token, today)?;
            say(&format!("Works once, within a week: {}/join/{token}", a.name));
        }
        (_, Some(name), _) => {
            let until = a.until.unwrap_or(today);
            access::link(&a.programme, name, rank(a, Rank::Volunteer)?, &token, until, today)?;
            say(&format!("Works until {until}: {}/join/{token}", a.name));
        }
        (_, _, Some(name)) => {
            access::remove(&a.programme, name, today)?;
            say(&format!("Done: {} can no longer come in.", name.trim()));
        }
        (None, None, None) => return list(a),
    }
    Ok(ExitCode::SUCCESS)
}

fn rank(a: &args::Accounts, otherwise: Rank) -> Result<Rank, Trouble> {
    let Some(word) = &a.role else { return Ok(otherwise) };
    Rank::from_word(word).ok_or_else(|| {
        let all = Rank::ALL.map(Rank::word).join(", ");
        Trouble::one(
            Problem::error("A-449", format!("--role is \"{word}\"."), "Use one of those expected.").expected(all),
        )
    })
}

fn list(a: &args::Accounts) -> Result<ExitCode, Trouble> {
    let (accounts, passes) = access::list(&a.programme, clock::today())?;
    if a.json {
        let accounts =
            accounts.iter().map(|a| serde_json::json!({ "name": a.name, "role": a.rank, "since": a.made.to_string() }));
        let passes = passes.iter().map(
            |p| serde_json::json!({ "name": p.name, "what": p.kind.word(), "role": p.rank, "until": p.until.to_string() }),
        );
        say_json(
            &serde_json::json!({ "accounts": accounts.collect::<Vec<_>>(), "passes": passes.collect::<Vec<_>>() }),
        );
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows = vec![row(["name", "what", "role", "since or until"])];
    rows.extend(accounts.into_iter().map(|a| vec![a.name, "account".to_owned(), a.rank, a.made.to_string()]));
    rows.extend(passes.into_iter().map(|p| vec![p.name, p.kind.word().to_owned(), p.rank, p.until.to_string()]));
    say(&table(&rows, "llll"));
    Ok(ExitCode::SUCCESS)
}

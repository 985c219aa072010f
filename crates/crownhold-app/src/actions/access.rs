//! Accounts of the desk: invitations, passwords, links that end. Nobody but its owner ever sees a password.

use std::path::Path;
use std::sync::LazyLock;

use argon2::password_hash::phc::PasswordHash;
use argon2::{Argon2, PasswordHasher as _, PasswordVerifier as _};
use blake2::{Blake2s256, Digest as _};
use crownhold::types::Problem;
use crownhold_data::access::{AccessFile, Account, Pass, PassKind};
use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::trouble::Trouble;

/// What somebody may do at the desk; which address asks for what is said there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Rank {
    /// Runs the programme: everything.
    Manager,
    /// Counts, samples, makes rounds, works out what a plan is worth; changes no plan.
    Technician,
    /// Sees everything but people and import; writes down what was done, sprays and notices too.
    Crew,
    /// Sees the field work; writes down bands and scraping.
    Volunteer,
    /// Sees everything but people and import; changes nothing.
    Reader,
}

impl Rank {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Manager, Self::Technician, Self::Crew, Self::Volunteer, Self::Reader];
    /// The word for people and in the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Manager => "manager",
            Self::Technician => "technician",
            Self::Crew => "crew",
            Self::Volunteer => "volunteer",
            Self::Reader => "reader",
        }
    }
    /// From the word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.word().eq_ignore_ascii_case(word.trim()))
    }
}

/// How long an invitation lasts, days.
const INVITED_FOR: i64 = 7;
/// Longest time for which a link may work, days.
const LINKED_FOR: i64 = 400;
/// Shortest and longest password, characters.
pub const PASSWORD: (usize, usize) = (12, 200);

/// Accounts, and passes that work on a day.
///
/// # Errors
/// When the file beside the programme cannot be read.
pub fn list(programme: &Path, today: Date) -> Result<(Vec<Account>, Vec<Pass>), Trouble> {
    if !AccessFile::beside(programme).exists() {
        return Ok((Vec::new(), Vec::new()));
    }
    let file = AccessFile::open(programme)?;
    Ok((file.accounts()?, file.passes(today)?))
}

/// Invites somebody: whoever has the token may choose a password, once, within a week. Somebody who has an account gets a
/// new password that way.
///
/// # Errors
/// When the name is blank or the file cannot be written.
pub fn invite(programme: &Path, name: &str, rank: Rank, token: &str, today: Date) -> Result<(), Trouble> {
    pass(programme, PassKind::Invitation, name, rank, token, today.saturating_add(INVITED_FOR.days()), today)
}

/// Gives a link that lets whoever has it in until the end of a day.
///
/// # Errors
/// When the name is blank, the day has gone by or is too far, or the file cannot be written.
pub fn link(programme: &Path, name: &str, rank: Rank, token: &str, until: Date, today: Date) -> Result<(), Trouble> {
    if until < today || until > today.saturating_add(LINKED_FOR.days()) {
        let what = format!("A link until {until} is of no use.");
        let problem = Problem::error("A-442", what, "Choose another day.").column("until");
        return Err(Trouble::one(problem.expected(format!("today to {LINKED_FOR} days ahead"))));
    }
    if rank == Rank::Manager {
        let what = "A link for a manager could be passed on.";
        return Err(Trouble::one(
            Problem::error("A-443", what, "Invite managers; links are for the field.").column("rank"),
        ));
    }
    pass(programme, PassKind::Link, name, rank, token, until, today)
}

fn pass(
    programme: &Path,
    kind: PassKind,
    name: &str,
    rank: Rank,
    token: &str,
    until: Date,
    today: Date,
) -> Result<(), Trouble> {
    let name = name.trim();
    if name.is_empty() || name.chars().count() > 80 {
        let problem = Problem::error("A-444", "The name is blank or too long.", "Write a name.").column("name");
        return Err(Trouble::one(problem.expected("1 to 80 characters")));
    }
    let pass = Pass { token: hidden(token), kind, name: name.to_owned(), rank: rank.word().to_owned(), until };
    Ok(AccessFile::open(programme)?.keep_pass(&pass, today)?)
}

/// The pass of a token, if it works on a day.
///
/// # Errors
/// When the file cannot be read.
pub fn pass_of(programme: &Path, token: &str, today: Date) -> Result<Option<Pass>, Trouble> {
    if !AccessFile::beside(programme).exists() {
        return Ok(None);
    }
    Ok(AccessFile::open(programme)?.pass(&hidden(token), today)?)
}

/// Does the pass of this hash still work on a day?
///
/// # Errors
/// When the file cannot be read.
pub fn is_open(programme: &Path, hidden: &str, today: Date) -> Result<bool, Trouble> {
    Ok(AccessFile::beside(programme).exists() && AccessFile::open(programme)?.pass(hidden, today)?.is_some())
}

/// Whose password fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// Name of the account.
    pub name: String,
    /// Role.
    pub rank: Rank,
    /// Tells this password from a later one of the same account; says nothing about it.
    pub mark: String,
}

impl Known {
    fn of(account: &Account) -> Option<Self> {
        let rank = Rank::from_word(&account.rank)?;
        Some(Self { name: account.name.clone(), rank, mark: hidden(&account.secret) })
    }
}

/// Uses an invitation up with a password of one's own. Gives who it was; none when it was used before.
///
/// # Errors
/// When the password is too short or too long, or the file cannot be written.
pub fn accept(programme: &Path, token: &str, password: &str, today: Date) -> Result<Option<Known>, Trouble> {
    let long = password.chars().count();
    if !(PASSWORD.0..=PASSWORD.1).contains(&long) {
        let problem = Problem::error("A-445", format!("A password of {long} characters."), "Choose another one.");
        return Err(Trouble::one(
            problem.column("password").expected(format!("{} to {} characters", PASSWORD.0, PASSWORD.1)),
        ));
    }
    let mut file = AccessFile::open(programme)?;
    let Some(pass) = file.pass(&hidden(token), today)? else { return Ok(None) };
    let account = Account { name: pass.name, rank: pass.rank, secret: hashed(password)?, made: today };
    Ok(if file.accept(&pass.token, &account)? { Known::of(&account) } else { None })
}

/// Who has this password; none when there is no such account or it is another one. Takes as long either way.
///
/// # Errors
/// When the file cannot be read.
pub fn log_in(programme: &Path, name: &str, password: &str) -> Result<Option<Known>, Trouble> {
    /// Of nobody's password.
    static NOBODY: LazyLock<String> = LazyLock::new(|| hashed("nobody's").unwrap_or_default());
    let (accounts, _) = list(programme, Date::MIN)?;
    let found = accounts.into_iter().find(|a| a.name.eq_ignore_ascii_case(name.trim()));
    let secret = found.as_ref().map_or(NOBODY.as_str(), |a| a.secret.as_str());
    let fits = PasswordHash::new(secret)
        .is_ok_and(|hash| Argon2::default().verify_password(password.as_bytes(), &hash).is_ok());
    Ok(found.filter(|_| fits).as_ref().and_then(Known::of))
}

/// The role that an account has now; none when it is gone or its password is another one by now.
///
/// # Errors
/// When the file cannot be read.
pub fn rank_now(programme: &Path, name: &str, mark: &str) -> Result<Option<Rank>, Trouble> {
    let (accounts, _) = list(programme, Date::MIN)?;
    let known = accounts.iter().find(|a| a.name == name).and_then(Known::of);
    Ok(known.filter(|k| k.mark == mark).map(|k| k.rank))
}

/// Takes somebody out: account and passes of that name. Browsers that came in by them are out at once.
///
/// # Errors
/// When there is nobody of that name, or the last manager would go while others stay.
pub fn remove(programme: &Path, name: &str, today: Date) -> Result<(), Trouble> {
    let (accounts, _) = list(programme, today)?;
    let is_manager = |a: &&Account| a.rank == Rank::Manager.word();
    let others = accounts.iter().filter(|a| a.name != name.trim());
    let last = accounts.iter().filter(is_manager).any(|a| a.name == name.trim())
        && others.clone().count() > 0
        && others.filter(is_manager).count() == 0;
    if last {
        let what = format!("{} is the last manager.", name.trim());
        return Err(Trouble::one(Problem::error("A-446", what, "Invite another manager first.")));
    }
    if !AccessFile::beside(programme).exists() || !AccessFile::open(programme)?.remove(name.trim())? {
        let what = format!("There is no account or link of \"{}\".", name.trim());
        return Err(Trouble::one(Problem::error("A-447", what, "Use a name of the list.")));
    }
    Ok(())
}

fn hashed(password: &str) -> Result<String, Trouble> {
    let hash = Argon2::default().hash_password(password.as_bytes());
    hash.map(|h| h.to_string()).map_err(|e| {
        Trouble::one(Problem::error("A-142", format!("The password could not be kept: {e}."), "Try again."))
    })
}

/// The hash of a token. Tokens are random and long, so that no slow hash is needed.
pub fn hidden(token: &str) -> String {
    Blake2s256::digest(token.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_password_is_chosen_once_and_opens_only_its_account() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("city.gpkg");
        let today = date(2027, 6, 1);
        let code = |t: Trouble| t.problems[0].code;
        assert_eq!(code(invite(&path, " ", Rank::Crew, "t", today).err().unwrap()), "A-444");
        invite(&path, "Ann", Rank::Manager, "token-1", today).unwrap();
        assert_eq!(code(accept(&path, "token-1", "short", today).err().unwrap()), "A-445");
        assert!(accept(&path, "token-2", "a long password", today).unwrap().is_none());
        assert!(accept(&path, "token-1", "a long password", today.saturating_add(9.days())).unwrap().is_none());
        let ann = accept(&path, "token-1", "a long password", today).unwrap();
        assert_eq!(ann.as_ref().map(|k| (k.name.as_str(), k.rank)), Some(("Ann", Rank::Manager)));
        assert!(accept(&path, "token-1", "another password", today).unwrap().is_none(), "used up");
        assert_eq!(log_in(&path, "ann", "a long password").unwrap(), ann);
        assert!(log_in(&path, "Ann", "a long passwort").unwrap().is_none());
        assert!(log_in(&path, "Bob", "a long password").unwrap().is_none());
        assert_eq!(code(link(&path, "North", Rank::Manager, "t", today, today).err().unwrap()), "A-443");
        assert_eq!(code(link(&path, "North", Rank::Volunteer, "t", date(2027, 5, 31), today).err().unwrap()), "A-442");
        link(&path, "North", Rank::Volunteer, "token-3", date(2027, 6, 30), today).unwrap();
        assert!(pass_of(&path, "token-3", date(2027, 6, 30)).unwrap().is_some());
        assert!(pass_of(&path, "token-3", date(2027, 7, 1)).unwrap().is_none());
        let text = std::fs::read(AccessFile::beside(&path)).unwrap();
        for secret in ["a long password", "token-1", "token-3"] {
            assert!(!text.windows(secret.len()).any(|w| w == secret.as_bytes()), "{secret} lies in the file");
        }
        invite(&path, "Bob", Rank::Crew, "token-4", today).unwrap();
        let bob = accept(&path, "token-4", "another password", today).unwrap().unwrap();
        assert_eq!(rank_now(&path, "Bob", &bob.mark).unwrap(), Some(Rank::Crew));
        invite(&path, "Bob", Rank::Technician, "token-5", today).unwrap();
        let again = accept(&path, "token-5", "yet another password", today).unwrap().unwrap();
        assert_eq!(rank_now(&path, "Bob", &bob.mark).unwrap(), None, "a new password puts the old one out");
        assert_eq!(rank_now(&path, "Bob", &again.mark).unwrap(), Some(Rank::Technician));
        assert_eq!(code(remove(&path, "Ann", today).err().unwrap()), "A-446");
        remove(&path, "Bob", today).unwrap();
        assert_eq!(rank_now(&path, "Bob", &again.mark).unwrap(), None);
        assert_eq!(code(remove(&path, "Bob", today).err().unwrap()), "A-447");
        remove(&path, "Ann", today).unwrap();
    }

    /// The stand-in for nobody's password is a hash that can be checked, so that a name that is not there takes as long.
    #[test]
    fn nobody_takes_as_long() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("city.gpkg");
        assert!(log_in(&path, "Nobody", "whatever it may be").unwrap().is_none());
    }
}

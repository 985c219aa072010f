//! Who may come in, in a file of its own beside the programme file: a copied programme carries no passwords.
//!
//! Secrets come here as hashes only. Days and seconds are arguments.

use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension as _, params};

use crate::store::StoreError;

/// Somebody with a password.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// Name; each stands once.
    pub name: String,
    /// What they may do, as a word.
    pub rank: String,
    /// Hash of the password.
    pub secret: String,
    /// Day on which it was made.
    pub made: Date,
}

/// What a pass is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassKind {
    /// Lets somebody choose a password, once.
    Invitation,
    /// Lets whoever has it in until its day is over.
    Link,
}

impl PassKind {
    /// The word in the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Invitation => "invitation",
            Self::Link => "link",
        }
    }
}

/// A secret address.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pass {
    /// Hash of the secret part.
    pub token: String,
    /// What for.
    pub kind: PassKind,
    /// For whom.
    pub name: String,
    /// What they may do, as a word.
    pub rank: String,
    /// Last day on which it works.
    pub until: Date,
}

/// The open file.
#[derive(Debug)]
pub struct AccessFile {
    connection: Connection,
}

impl AccessFile {
    /// Where it lies: `city.access.sqlite` beside `city.gpkg`.
    pub fn beside(programme: &Path) -> PathBuf {
        programme.with_extension("access.sqlite")
    }

    /// Opens it; makes it if it is not there, readable by its owner only where the system knows owners.
    ///
    /// # Errors
    /// When it cannot be made or is something else.
    pub fn open(programme: &Path) -> Result<Self, StoreError> {
        let path = Self::beside(programme);
        let wrong = |e: rusqlite::Error| StoreError::NotThere { path: path.clone(), why: e.to_string() };
        let is_new = !path.exists();
        let connection = Connection::open(&path).map_err(wrong)?;
        connection.busy_timeout(Duration::from_secs(5))?;
        connection.pragma_update(None, "secure_delete", true)?;
        connection.execute_batch(include_str!("schema.sql")).map_err(wrong)?;
        if is_new {
            only_owner(&path).map_err(|e| StoreError::NotThere { path: path.clone(), why: e.to_string() })?;
        }
        Ok(Self { connection })
    }

    /// All accounts, by name.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn accounts(&self) -> Result<Vec<Account>, StoreError> {
        let mut all = self.connection.prepare("SELECT name, rank, secret, made FROM account ORDER BY name")?;
        let row = |r: &rusqlite::Row<'_>| {
            Ok(Account { name: r.get(0)?, rank: r.get(1)?, secret: r.get(2)?, made: day(&r.get::<_, String>(3)?) })
        };
        Ok(all.query_map([], row)?.collect::<Result<_, _>>()?)
    }

    /// Keeps an account, in place of one of that name.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_account(&mut self, a: &Account) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT OR REPLACE INTO account VALUES (?1, ?2, ?3, ?4)",
            params![a.name, a.rank, a.secret, a.made.to_string()],
        )?;
        Ok(())
    }

    /// Takes an account out, with the passes of that name; false when there was none of either.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn remove(&mut self, name: &str) -> Result<bool, StoreError> {
        let all = self.connection.transaction()?;
        let accounts = all.execute("DELETE FROM account WHERE name = ?1", [name])?;
        let passes = all.execute("DELETE FROM pass WHERE name = ?1", [name])?;
        all.commit()?;
        Ok(accounts + passes > 0)
    }

    /// All passes that work on a day, by name.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn passes(&self, today: Date) -> Result<Vec<Pass>, StoreError> {
        let mut all = self
            .connection
            .prepare("SELECT token, kind, name, rank, until FROM pass WHERE until >= ?1 ORDER BY name")?;
        Ok(all.query_map([today.to_string()], pass)?.collect::<Result<_, _>>()?)
    }

    /// The pass of a token, if it works on a day.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn pass(&self, token: &str, today: Date) -> Result<Option<Pass>, StoreError> {
        let sql = "SELECT token, kind, name, rank, until FROM pass WHERE token = ?1 AND until >= ?2";
        Ok(self.connection.query_row(sql, [token, &today.to_string()], pass).optional()?)
    }

    /// Keeps a pass; those that are over are forgotten.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_pass(&mut self, p: &Pass, today: Date) -> Result<(), StoreError> {
        self.connection.execute("DELETE FROM pass WHERE until < ?1", [today.to_string()])?;
        self.connection.execute(
            "INSERT OR REPLACE INTO pass VALUES (?1, ?2, ?3, ?4, ?5)",
            params![p.token, p.kind.word(), p.name, p.rank, p.until.to_string()],
        )?;
        Ok(())
    }

    /// Uses an invitation up and makes the account that it was for, as one. False when the invitation was used before.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn accept(&mut self, token: &str, account: &Account) -> Result<bool, StoreError> {
        let both = self.connection.transaction()?;
        if both.execute("DELETE FROM pass WHERE token = ?1 AND kind = 'invitation'", [token])? == 0 {
            return Ok(false);
        }
        both.execute(
            "INSERT OR REPLACE INTO account VALUES (?1, ?2, ?3, ?4)",
            params![account.name, account.rank, account.secret, account.made.to_string()],
        )?;
        both.commit()?;
        Ok(true)
    }

    /// Keeps a session; those that are over are forgotten.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_session(&mut self, id: &str, data: &str, until: i64, now: i64) -> Result<(), StoreError> {
        self.connection.execute("DELETE FROM session WHERE until < ?1", [now])?;
        self.connection.execute("INSERT OR REPLACE INTO session VALUES (?1, ?2, ?3)", params![id, data, until])?;
        Ok(())
    }

    /// A session that is not over, and until when it lasts.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn session(&self, id: &str, now: i64) -> Result<Option<(String, i64)>, StoreError> {
        let sql = "SELECT data, until FROM session WHERE id = ?1 AND until >= ?2";
        Ok(self.connection.query_row(sql, params![id, now], |r| Ok((r.get(0)?, r.get(1)?))).optional()?)
    }

    /// Forgets a session.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn forget_session(&mut self, id: &str) -> Result<(), StoreError> {
        self.connection.execute("DELETE FROM session WHERE id = ?1", [id])?;
        Ok(())
    }
}

fn pass(r: &rusqlite::Row<'_>) -> rusqlite::Result<Pass> {
    let kind = if r.get::<_, String>(1)? == PassKind::Link.word() { PassKind::Link } else { PassKind::Invitation };
    Ok(Pass { token: r.get(0)?, kind, name: r.get(2)?, rank: r.get(3)?, until: day(&r.get::<_, String>(4)?) })
}

/// A day that cannot be read is long over.
fn day(text: &str) -> Date {
    text.parse().unwrap_or(Date::MIN)
}

#[cfg(unix)]
fn only_owner(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600))
}

#[cfg(not(unix))]
fn only_owner(_: &Path) -> std::io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use jiff::civil::date;

    use super::{AccessFile, Account, Pass, PassKind};

    #[test]
    fn invitations_work_once_and_links_until_their_day() {
        let dir = tempfile::tempdir().unwrap();
        let programme = dir.path().join("city.gpkg");
        let mut file = AccessFile::open(&programme).unwrap();
        let today = date(2027, 6, 1);
        let account = Account { name: "Ann".into(), rank: "technician".into(), secret: "hash".into(), made: today };
        let pass = |token: &str, kind, until| Pass {
            token: token.into(),
            kind,
            name: "Ann".into(),
            rank: "technician".into(),
            until,
        };
        file.keep_pass(&pass("a", PassKind::Invitation, date(2027, 6, 7)), today).unwrap();
        file.keep_pass(&pass("b", PassKind::Link, today), today).unwrap();
        assert_eq!(file.passes(today).unwrap().len(), 2);
        assert!(!file.accept("b", &account).unwrap(), "a link is no invitation");
        assert!(file.accept("a", &account).unwrap() && !file.accept("a", &account).unwrap());
        assert_eq!(file.accounts().unwrap(), [account]);
        assert!(file.pass("b", today).unwrap().is_some() && file.pass("b", date(2027, 6, 2)).unwrap().is_none());
        assert!(file.remove("Ann").unwrap() && !file.remove("Ann").unwrap());
        assert!(file.accounts().unwrap().is_empty() && file.passes(today).unwrap().is_empty());
        file.keep_session("s", "{}", 100, 50).unwrap();
        assert_eq!(file.session("s", 100).unwrap(), Some(("{}".into(), 100)));
        assert_eq!(file.session("s", 101).unwrap(), None);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = std::fs::metadata(AccessFile::beside(&programme)).unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "others can read it");
        }
    }
}

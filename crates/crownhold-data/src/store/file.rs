//! A programme file: made, opened, read and changed.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crownhold::types::{Problem, Programme, Records};
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use super::error::StoreError;
use super::journal::{self, JournalEntry, Stamp};
use super::plans::{self, StoredPlan};
use super::records::{self, TABLES};
use super::row::{Cell, RowChange, Snapshot, difference, shown};
use super::{schema, sql};

/// How long to wait for another program that is writing.
const PATIENCE: Duration = Duration::from_secs(5);

/// An open programme file.
///
/// While it is open a `-wal` file may lie beside it; dropping or closing it folds that in, so that the one
/// file can be copied.
#[derive(Debug)]
pub struct ProgrammeFile {
    pub(super) connection: Connection,
}

impl ProgrammeFile {
    /// Makes a new file with the programme, the default parameters and the default species table.
    ///
    /// # Errors
    /// [`StoreError::Exists`] when something of that name is there; [`StoreError::Unsound`] when the reference
    /// system is not a projected one in metres, or `author` or `when` (RFC 3339) is not usable. No file is left then.
    pub fn create(path: impl AsRef<Path>, programme: &Programme, author: &str, when: &str) -> Result<Self, StoreError> {
        let path = path.as_ref();
        let stamp = Stamp::new(author, when, "programme made")?;
        let system = schema::system(programme.epsg)?;
        File::create_new(path).map_err(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => StoreError::Exists(path.to_owned()),
            _ => StoreError::NotThere { path: path.to_owned(), why: error.to_string() },
        })?;
        let made = connect(path).and_then(|mut connection| {
            fill(&mut connection, programme, &system, &stamp)?;
            Self::ready(connection)
        });
        if made.is_err() {
            // The error that matters is the one from making it.
            let _ = fs::remove_file(path);
        }
        made
    }

    /// Opens a file, and brings one of an earlier layout version up to date.
    ///
    /// # Errors
    /// When the file is missing, empty, cut short, something else, or of a newer version.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, StoreError> {
        let path = path.as_ref();
        look_at_header(path)?;
        let opened = connect(path).and_then(|mut connection| {
            bring_up_to_date(path, &mut connection)?;
            Self::ready(connection)
        });
        opened.map_err(|error| match error {
            StoreError::Sqlite(error) => StoreError::Damaged { path: path.to_owned(), why: error.to_string() },
            other => other,
        })
    }

    fn ready(connection: Connection) -> Result<Self, StoreError> {
        // A file that may only be read stays in the mode it is in; reading works all the same.
        match connection.pragma_update(None, "journal_mode", "wal") {
            Err(error) if error.sqlite_error_code() != Some(rusqlite::ErrorCode::ReadOnly) => Err(error.into()),
            _ => Ok(Self { connection }),
        }
    }

    /// All records, in the order that [`Records`] promises.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] with every row that cannot be understood.
    pub fn read(&self) -> Result<Records, StoreError> {
        let transaction = self.connection.unchecked_transaction()?;
        load(&transaction).map(|(_, records)| records)
    }

    /// Changes the records: hands a copy to `f`, then writes the rows that differ in one transaction with one
    /// journal entry. Nothing at all is written when nothing differs or `f` fails.
    ///
    /// `author` is who, `when` is RFC 3339, `what` is for the history.
    ///
    /// # Errors
    /// What `f` gives, or a [`StoreError`]: [`StoreError::Unsound`] with every fault when the changed records
    /// cannot be kept (two of one name, a plot in no block, a value out of range, another reference system).
    pub fn change<T, E: From<StoreError>>(
        &mut self,
        author: &str,
        when: &str,
        what: &str,
        f: impl FnOnce(&mut Records) -> Result<T, E>,
    ) -> Result<T, E> {
        // Judged before the work is done, so that a nameless change is refused whatever `f` would say.
        Stamp::new(author, when, what)?;
        self.change_in_words(author, when, |records| Ok((what.to_owned(), f(records)?)))
    }

    /// The same for a change that knows its words for the history only when it is made: `f` gives them first.
    ///
    /// # Errors
    /// As [`Self::change`].
    pub fn change_in_words<T, E: From<StoreError>>(
        &mut self,
        author: &str,
        when: &str,
        f: impl FnOnce(&mut Records) -> Result<(String, T), E>,
    ) -> Result<T, E> {
        let transaction = self.begin()?;
        let (current, before) = load(&transaction)?;
        let mut after = before.clone();
        let (what, answer) = f(&mut after)?;
        let stamp = Stamp::new(author, when, &what)?;
        write_difference(&transaction, &current, &before, &after, &stamp)?;
        transaction.commit().map_err(StoreError::from)?;
        Ok(answer)
    }

    /// Every operation, oldest first.
    ///
    /// # Errors
    /// Only when SQLite fails.
    pub fn history(&self) -> Result<Vec<JournalEntry>, StoreError> {
        Ok(journal::history(&self.connection)?)
    }

    /// Takes the last operation back that has not been taken back yet, and gives it. The undo becomes an
    /// operation of its own; it cannot itself be undone, and a second undo goes one operation further back.
    ///
    /// # Errors
    /// [`StoreError::NothingToUndo`]; [`StoreError::Altered`] when a row is no longer as that operation left it.
    pub fn undo(&mut self, author: &str, when: &str) -> Result<JournalEntry, StoreError> {
        let transaction = self.begin()?;
        let history = journal::history(&transaction)?;
        let last = journal::last_to_undo(&history).cloned().ok_or(StoreError::NothingToUndo)?;
        let stamp = Stamp::new(author, when, &format!("undone: {}", last.what))?;
        let current = sql::load(&transaction, TABLES)?;
        let changes = journal::inverse(&transaction, last.id, &current)?;
        keep_closed(&changes)?;
        changes.iter().try_for_each(|change| sql::apply(&transaction, change, &current))?;
        let (restored, _) = load(&transaction)?;
        note_changed(&transaction, &changes, &restored, &stamp)?;
        journal::write(&transaction, &stamp, Some(last.id), &changes)?;
        transaction.commit()?;
        Ok(JournalEntry { undone: true, ..last })
    }

    /// Stores a plan beside those already there, with an entry in the history; gives its number.
    ///
    /// # Errors
    /// [`StoreError::Unsound`] when `json` is not JSON, or name, author or time are not usable.
    pub fn save_plan(
        &mut self,
        name: &str,
        author: &str,
        when: &str,
        seed: u64,
        json: &str,
    ) -> Result<i64, StoreError> {
        let stamp = Stamp::new(author, when, &format!("plan stored: {name}"))?;
        if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(json) {
            let problem = Problem::error("S-204", format!("the plan is not JSON: {error}."), "Nothing was stored.");
            return Err(StoreError::Unsound(vec![problem]));
        }
        let transaction = self.begin()?;
        let id = plans::insert(&transaction, name, &stamp, seed, json)?;
        journal::write(&transaction, &stamp, None, &[])?;
        transaction.commit()?;
        Ok(id)
    }

    /// Every stored plan, oldest first.
    ///
    /// # Errors
    /// Only when SQLite fails.
    pub fn plans(&self) -> Result<Vec<StoredPlan>, StoreError> {
        Ok(plans::all(&self.connection)?)
    }

    /// The plan stored last.
    ///
    /// # Errors
    /// Only when SQLite fails.
    pub fn latest_plan(&self) -> Result<Option<StoredPlan>, StoreError> {
        Ok(plans::latest(&self.connection)?)
    }

    /// Folds the write-ahead file in and closes. Dropping does the same but cannot report trouble.
    ///
    /// # Errors
    /// Only when SQLite fails; that another program still has the file open is no error.
    pub fn close(self) -> Result<(), StoreError> {
        self.fold_in()
    }

    fn begin(&mut self) -> Result<Transaction<'_>, StoreError> {
        Ok(self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?)
    }

    /// Leaves one plain file behind, unless somebody else is still using it: then the last one to close does.
    fn fold_in(&self) -> Result<(), StoreError> {
        self.connection.busy_timeout(Duration::ZERO)?;
        match self.connection.pragma_update(None, "journal_mode", "delete").map_err(StoreError::from) {
            Err(StoreError::Busy) => {
                let sql = "PRAGMA wal_checkpoint(TRUNCATE)";
                match self.connection.query_row(sql, [], |_| Ok(())).map_err(StoreError::from) {
                    Err(StoreError::Busy) => Ok(()),
                    other => other,
                }
            }
            other => other,
        }
    }
}

impl Drop for ProgrammeFile {
    fn drop(&mut self) {
        // Whatever is not folded in now is folded in by SQLite at the next opening.
        let _ = self.fold_in();
    }
}

fn connect(path: &Path) -> Result<Connection, StoreError> {
    let connection = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    connection.busy_timeout(PATIENCE)?;
    connection.set_prepared_statement_cache_capacity(128);
    connection.pragma_update(None, "foreign_keys", true)?;
    // A file may have come by e-mail: what is written in its schema must not call anything but harmless functions.
    connection.pragma_update(None, "trusted_schema", false)?;
    sql::add_spatial_functions(&connection)?;
    Ok(connection)
}

/// Writes everything a new file starts with.
fn fill(
    connection: &mut Connection,
    programme: &Programme,
    system: &schema::System,
    stamp: &Stamp,
) -> Result<(), StoreError> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let (application, version) = schema::TOLD_APART_BY;
    transaction.pragma_update(None, "application_id", application)?;
    transaction.pragma_update(None, "user_version", version)?;
    schema::migrate(&transaction, 0)?;
    schema::create(&transaction, system, &stamp.when)?;
    let records = Records::empty(programme.clone());
    let rows = records::encode(&records);
    sound(&rows, &records)?;
    let nothing = Snapshot::default();
    for change in difference(TABLES, &nothing, &rows) {
        sql::apply(&transaction, &change, &nothing)?;
    }
    refresh_defaults(&transaction)?;
    journal::write(&transaction, stamp, None, &[])?;
    Ok(transaction.commit()?)
}

/// Tells an empty, foreign or cut file before SQLite sees it, which would take an empty one for a new one.
fn look_at_header(path: &Path) -> Result<(), StoreError> {
    let not_there = |error: std::io::Error| StoreError::NotThere { path: path.to_owned(), why: error.to_string() };
    let not_ours = |why: &str| Err(StoreError::NotAProgramme { path: path.to_owned(), why: why.to_owned() });
    let mut head = Vec::new();
    let file = File::open(path).map_err(not_there)?;
    let length = file.metadata().map_err(not_there)?.len();
    file.take(100).read_to_end(&mut head).map_err(not_there)?;
    if head.is_empty() {
        return not_ours("the file is empty");
    }
    if !head.starts_with(b"SQLite format 3\0") {
        return not_ours("the file is not a GeoPackage");
    }
    // SQLite file format, section 1.3: page size at byte 16 (1 stands for 65536), page count at byte 28, big endian.
    // With a write-ahead file beside it the count may run ahead of the file.
    let number = |at: usize, n: usize| head.get(at..at + n).map(|b| b.iter().fold(0, |a, b| a << 8 | u64::from(*b)));
    let needed = number(16, 2).map(|size| if size == 1 { 65536 } else { size }).zip(number(28, 4)).map(|(s, n)| s * n);
    if needed.is_none_or(|needed| length < needed) && !has_write_ahead(path) {
        let why = format!("it is cut short at {length} bytes");
        return Err(StoreError::Damaged { path: path.to_owned(), why });
    }
    Ok(())
}

fn has_write_ahead(path: &Path) -> bool {
    let mut name = path.as_os_str().to_owned();
    name.push("-wal");
    fs::metadata(PathBuf::from(name)).is_ok_and(|data| data.len() > 0)
}

fn bring_up_to_date(path: &Path, connection: &mut Connection) -> Result<(), StoreError> {
    let application: i64 = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let not_ours = |why: &str| StoreError::NotAProgramme { path: path.to_owned(), why: why.to_owned() };
    if application != schema::TOLD_APART_BY.0 {
        return Err(not_ours("the file is an SQLite database, but not a GeoPackage"));
    }
    let foreign = "the file is a GeoPackage, but not a programme file; its layers can be brought in with an import";
    let found = schema::version(connection)?.ok_or_else(|| not_ours(foreign))?;
    if found > schema::CURRENT {
        return Err(StoreError::Newer { path: path.to_owned(), found, known: schema::CURRENT });
    }
    if found < schema::CURRENT {
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Asked again under the lock: another program may have been quicker.
        let found = schema::version(&transaction)?.unwrap_or(0);
        schema::migrate(&transaction, found)?;
        transaction.commit()?;
    }
    Ok(())
}

/// All rows, and the records in them.
fn load(connection: &Connection) -> Result<(Snapshot, Records), StoreError> {
    let rows = sql::load(connection, TABLES)?;
    let records = records::decode(&rows).map_err(StoreError::Unreadable)?;
    let mut layers = connection.prepare_cached("SELECT table_name, srs_id FROM gpkg_geometry_columns ORDER BY 1")?;
    let layers = layers.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<Result<Vec<_>, _>>()?;
    let problems = other_systems(&records, layers);
    if problems.is_empty() { Ok((rows, records)) } else { Err(StoreError::Unreadable(problems)) }
}

/// Layers whose reference system is no longer the programme's.
fn other_systems(records: &Records, layers: Vec<(String, i64)>) -> Vec<Problem> {
    let wanted = i64::from(records.programme.epsg);
    let ours = layers.into_iter().filter(|(name, _)| TABLES.iter().any(|t| t.is_layer && t.name == name));
    ours.filter(|(_, srs)| *srs != wanted)
        .map(|(name, srs)| {
            let what = format!("layer {name} is said to be in EPSG:{srs}, and the programme in EPSG:{wanted}.");
            Problem::error("S-108", what, "Put the layer's reference system back; to move to another, make a new file.")
                .item(name)
                .expected(format!("EPSG:{wanted}"))
        })
        .collect()
}

fn sound(rows: &Snapshot, records: &Records) -> Result<(), StoreError> {
    let problems = records::faults(rows, records);
    if problems.is_empty() { Ok(()) } else { Err(StoreError::Unsound(problems)) }
}

/// Refuses to touch a closed application record, by whatever way.
fn keep_closed(changes: &[RowChange]) -> Result<(), StoreError> {
    let touched = records::closed_touched(changes);
    if touched.is_empty() { Ok(()) } else { Err(StoreError::Unsound(touched)) }
}

fn write_difference(
    transaction: &Transaction,
    current: &Snapshot,
    before: &Records,
    after: &Records,
    stamp: &Stamp,
) -> Result<(), StoreError> {
    if before.programme.epsg != after.programme.epsg {
        let what = format!("EPSG:{} cannot become EPSG:{}.", before.programme.epsg, after.programme.epsg);
        let remedy = "Make a new programme in that system and import the data into it.";
        return Err(StoreError::Unsound(vec![Problem::error("S-203", what, remedy).column("epsg")]));
    }
    let (old, new) = records::encode_unlike(before, after);
    sound(&new, after)?;
    // Compared as records, so that a row which a GIS wrote in its own way does not count as changed; kept in the
    // journal as the file has it.
    let mut changes = difference(TABLES, &old, &new);
    for change in &mut changes {
        change.before = change.before.take().map(|_| standing(current, change)).transpose()?;
    }
    if changes.is_empty() {
        return Ok(());
    }
    keep_closed(&changes)?;
    changes.iter().try_for_each(|change| sql::apply(transaction, change, current))?;
    refresh_defaults(transaction)?;
    note_changed(transaction, &changes, &new, stamp)?;
    journal::write(transaction, stamp, None, &changes)?;
    Ok(())
}

/// The cells of a row as the file has them.
fn standing(current: &Snapshot, change: &RowChange) -> Result<Vec<Cell>, StoreError> {
    current.row(change.table, &change.key).map(|row| row.cells.clone()).ok_or_else(|| {
        let (key, table) = (shown(&change.key), change.table.name);
        let what = format!("row {key} of table {table} is named there in another way.");
        let remedy = "Write its name, number or day in the table as it is written here.";
        StoreError::Unreadable(vec![Problem::error("S-106", what, remedy).item(table)])
    })
}

/// Shows the defaults of this version of the program in the file. They are no records and not in the journal.
fn refresh_defaults(transaction: &Transaction) -> Result<(), StoreError> {
    let shown = sql::load(transaction, &[&records::DEFAULTS])?;
    for change in difference(&[&records::DEFAULTS], &shown, &records::defaults()) {
        sql::apply(transaction, &change, &shown)?;
    }
    Ok(())
}

/// Brings the container's dates and extents of the changed tables up to date.
fn note_changed(
    transaction: &Transaction,
    changes: &[RowChange],
    rows: &Snapshot,
    stamp: &Stamp,
) -> Result<(), StoreError> {
    let names: BTreeSet<&str> = changes.iter().map(|change| change.table.name).collect();
    for table in TABLES.iter().filter(|table| names.contains(table.name)) {
        schema::set_extent(transaction, table, rows, &stamp.when)?;
    }
    Ok(())
}

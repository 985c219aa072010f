//! Where sessions are kept: in memory while only this computer comes in by a link, in the file of the accounts otherwise, so
//! that nobody is put out when the desk is started again.

use std::path::PathBuf;

use async_trait::async_trait;
use crownhold_data::access::AccessFile;
use crownhold_data::store::StoreError;
use tower_sessions::cookie::time::OffsetDateTime;
use tower_sessions::session::{Id, Record};
use tower_sessions::session_store::{Error, Result};
use tower_sessions::{MemoryStore, SessionStore};

use super::state::off;

/// A place for sessions.
#[derive(Clone, Debug)]
pub enum Sessions {
    /// Forgotten when the desk is closed.
    Memory(MemoryStore),
    /// In the file of the accounts of this programme.
    File(PathBuf),
}

impl Sessions {
    async fn keep(programme: PathBuf, record: &Record) -> Result<()> {
        let data = serde_json::to_string(&record.data).map_err(|e| Error::Encode(e.to_string()))?;
        let (id, until) = (record.id.to_string(), record.expiry_date.unix_timestamp());
        let now = OffsetDateTime::now_utc().unix_timestamp();
        in_file(programme, move |file| file.keep_session(&id, &data, until, now)).await
    }
}

async fn in_file<T: Send + 'static>(
    programme: PathBuf,
    work: impl FnOnce(&mut AccessFile) -> std::result::Result<T, StoreError> + Send + 'static,
) -> Result<T> {
    off(move || AccessFile::open(&programme).and_then(|mut file| work(&mut file)))
        .await
        .map_err(|e| Error::Backend(e.to_string()))
}

#[async_trait]
impl SessionStore for Sessions {
    async fn create(&self, record: &mut Record) -> Result<()> {
        match self {
            Self::Memory(memory) => memory.create(record).await,
            Self::File(programme) => {
                // 128 random bits do not meet twice, but nothing is lost by looking.
                while self.load(&record.id).await?.is_some() {
                    record.id = Id::default();
                }
                Self::keep(programme.clone(), record).await
            }
        }
    }

    async fn save(&self, record: &Record) -> Result<()> {
        match self {
            Self::Memory(memory) => memory.save(record).await,
            Self::File(programme) => Self::keep(programme.clone(), record).await,
        }
    }

    async fn load(&self, id: &Id) -> Result<Option<Record>> {
        match self {
            Self::Memory(memory) => memory.load(id).await,
            Self::File(programme) => {
                let (key, now) = (id.to_string(), OffsetDateTime::now_utc().unix_timestamp());
                let found = in_file(programme.clone(), move |file| file.session(&key, now)).await?;
                let Some((data, until)) = found else { return Ok(None) };
                let data = serde_json::from_str(&data).map_err(|e| Error::Decode(e.to_string()))?;
                let expiry_date =
                    OffsetDateTime::from_unix_timestamp(until).map_err(|e| Error::Decode(e.to_string()))?;
                Ok(Some(Record { id: *id, data, expiry_date }))
            }
        }
    }

    async fn delete(&self, id: &Id) -> Result<()> {
        match self {
            Self::Memory(memory) => memory.delete(id).await,
            Self::File(programme) => {
                let key = id.to_string();
                in_file(programme.clone(), move |file| file.forget_session(&key)).await
            }
        }
    }
}

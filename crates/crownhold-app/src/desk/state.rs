//! The programme as last read, and everything that was worked out from it.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::SystemTime;

use crownhold::Setting;
use crownhold::field::WorkOrders;
use crownhold::survey::Density;
use crownhold::survey::fine::{FineMap, fine_map};
use crownhold::timing::{BlockDates, Timing};
use crownhold::types::{Problem, Records, UnitSystem};
use crownhold_data::access::AccessFile;
use crownhold_data::store::{JournalEntry, ProgrammeFile};
use crownhold_plan::Learned;
use crownhold_print::wording::Wording;
use jiff::civil::Date;
use tower_sessions::MemoryStore;
use tower_sessions::session::Id;

use super::jobs::Jobs;
use super::join::{Remembered, Tries};
use super::reports::{KeepOffs, Mailings, Reports};
use super::sessions::Sessions;
use crate::actions::chain::{Stages, block_dates, dates, dates_as_of, stages, stages_again};
use crate::actions::check::check_stages;
use crate::actions::frontier::TradeOff;
use crate::actions::hindcast::Judged;
use crate::actions::papers::beside;
use crate::actions::plan::Made;
use crate::actions::plans::{self, Kept};
use crate::actions::reserve::ReserveTest;
use crate::actions::stress::StressTest;
use crate::actions::worth::Worths;
use crate::clock;
use crate::trouble::Trouble;

/// Draws behind the figures on screen: the same as the command line's default.
pub const DRAWS: usize = 500;
/// Draws behind the dates of blocks: ranges of them are shown to a day.
const BLOCK_DRAWS: usize = 200;
/// Seed behind them.
pub const SEED: u64 = 1;

/// One reading of the programme with the stages that follow from it. Never changed: a new state of the file is a
/// new reading.
pub struct Season {
    /// Records.
    pub records: Records,
    /// Stages, or why there are none yet.
    pub stages: Result<Arc<Stages>, Trouble>,
    /// The dates where other stages are missing: weather is enough for them.
    dates_alone: Option<Result<Timing, Vec<Problem>>>,
    /// Dates of blocks, worked out when first asked for.
    block_dates: Arc<OnceLock<Option<BlockDates>>>,
    /// Densities on fresh draws, kept by the first plan that is made.
    pub fresh: Arc<OnceLock<Density>>,
    /// What plans made so far learned of the spray blocks.
    pub learned: Arc<Mutex<Learned>>,
    /// The forecast of a week ago, worked out when first asked for.
    week_ago: Arc<OnceLock<Option<Timing>>>,
    /// What still stands between the records and a plan, and what is worth a look.
    pub problems: Vec<Problem>,
    /// The density between the plots, worked out when first asked for.
    between_plots: Arc<OnceLock<Result<FineMap, Vec<Problem>>>>,
    /// Every change, oldest first.
    pub history: Vec<JournalEntry>,
    /// Kept plans that can be read, oldest first.
    pub plans: Vec<Kept>,
    current: Option<Arc<(Made, WorkOrders)>>,
    /// The day it was worked out for.
    pub today: Date,
    stamp: Stamp,
}

impl Season {
    /// Words in the programme's units.
    pub fn wording(&self) -> Wording {
        Wording::new(self.units())
    }
    /// The programme's units.
    pub fn units(&self) -> UnitSystem {
        self.records.programme.units
    }
    /// The dates, if there are any.
    pub fn timing(&self) -> Option<&Timing> {
        self.dates().ok()
    }
    /// The dates with their heat, or why there are none.
    ///
    /// # Errors
    /// When there is no usable weather.
    pub fn dates(&self) -> Result<&Timing, &[Problem]> {
        match (&self.stages, &self.dates_alone) {
            (Ok(stages), _) => stages.timing.as_ref().map_err(Vec::as_slice),
            (Err(_), Some(dates)) => dates.as_ref().map_err(Vec::as_slice),
            (Err(_), None) => Err(&[]),
        }
    }
    /// The dates of each block; none where there is no usable weather.
    pub fn block_dates(&self) -> Option<&BlockDates> {
        let setting = Setting { today: self.today, seed: SEED, draws: BLOCK_DRAWS };
        self.block_dates.get_or_init(|| block_dates(&self.records, &setting).ok()).as_ref()
    }
    /// The dates as they stood seven days ago; none where they cannot be worked out.
    pub fn week_ago(&self) -> Option<&Timing> {
        let day = self.today - jiff::Span::new().days(7);
        self.week_ago.get_or_init(|| dates_as_of(&self.records, day, &self.setting()).ok()).as_ref()
    }
    /// The density between the plots.
    ///
    /// # Errors
    /// When there are too few plots with a place.
    pub fn between_plots(&self) -> Result<&FineMap, Trouble> {
        let made = self.between_plots.get_or_init(|| fine_map(&self.records, None, &self.setting()));
        made.as_ref().map_err(|problems| Trouble::from(problems.clone()))
    }
    /// The last kept plan made whole, and its work.
    pub fn current(&self) -> Option<&(Made, WorkOrders)> {
        self.current.as_deref()
    }
    /// The kept plan of that number, or the last one.
    pub fn kept(&self, id: Option<i64>) -> Option<&Kept> {
        match id {
            Some(id) => self.plans.iter().find(|p| p.id == id),
            None => self.plans.last(),
        }
    }
    /// A kept plan made whole on the stages at hand.
    ///
    /// # Errors
    /// When there are no stages, or the plan was made for other blocks.
    pub fn made(&self, kept: &Kept) -> Result<Made, Trouble> {
        let stages = self.stages.as_ref().map_err(Clone::clone)?;
        kept.made(&self.records, Some(Arc::clone(stages)))
    }
    /// What the stages were asked with.
    pub fn setting(&self) -> Setting {
        setting(self.today)
    }
}

fn setting(today: Date) -> Setting {
    Setting { today, seed: SEED, draws: DRAWS }
}

/// Tells two states of the file apart without reading it: sizes and times of the file and its write-ahead log.
type Stamp = [Option<(u64, SystemTime)>; 2];

/// Something that takes long to work out, kept for the season it was worked out for.
pub struct LastWork<T>(Mutex<Option<(Arc<Season>, Arc<T>)>>);

impl<T> Default for LastWork<T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<T> LastWork<T> {
    /// The work, if it was done for records and a day like these.
    pub fn of(&self, season: &Season) -> Option<Arc<T>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (of, work) = kept.as_ref()?;
        (of.today == season.today && of.records.plan_alike(&season.records)).then(|| Arc::clone(work))
    }
    /// Keeps work for the season it was done for.
    pub fn keep(&self, season: &Arc<Season>, work: T) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some((Arc::clone(season), Arc::new(work)));
    }
}

/// What all requests share.
pub struct Desk {
    path: PathBuf,
    on: Option<Date>,
    author: String,
    port: u16,
    /// Other names by which browsers reach it, as `https://desk.example`.
    names: Vec<String>,
    /// Wrong passwords of late.
    pub tries: Tries,
    /// Passwords of programs that fitted of late.
    pub remembered: Remembered,
    links: Mutex<HashSet<String>>,
    season: tokio::sync::Mutex<Option<Arc<Season>>>,
    /// The trade-off as last worked out.
    pub trade_off: LastWork<TradeOff>,
    /// What a little more would buy, as last worked out.
    pub worth: LastWork<Worths>,
    /// The plan tried on seasons that go wrong, as last worked out.
    pub stress: LastWork<StressTest>,
    /// What keeping something back for spring is worth, as last worked out.
    pub reserve: LastWork<ReserveTest>,
    /// How good forecasts would have been, as last worked out.
    pub hindcast: LastWork<Judged>,
    /// Long work.
    pub jobs: Jobs,
    /// Reports of imports.
    pub reports: Reports,
    /// Mailing lists made of late.
    pub mailings: Mailings,
    /// Outlines that proposed plots keep off.
    pub keep_offs: KeepOffs,
}

impl Desk {
    /// A desk over a file.
    pub fn new(path: PathBuf, on: Option<Date>, author: String, port: u16, names: Vec<String>) -> Self {
        Self {
            path,
            on,
            author,
            port,
            names,
            tries: Tries::default(),
            remembered: Remembered::default(),
            links: Mutex::default(),
            season: tokio::sync::Mutex::default(),
            trade_off: LastWork::default(),
            worth: LastWork::default(),
            stress: LastWork::default(),
            reserve: LastWork::default(),
            hindcast: LastWork::default(),
            jobs: Jobs::default(),
            reports: Reports::default(),
            mailings: Mailings::default(),
            keep_offs: KeepOffs::default(),
        }
    }
    /// The programme file.
    pub fn path(&self) -> &Path {
        &self.path
    }
    /// Who changes are written down for by default.
    pub fn author(&self) -> &str {
        &self.author
    }
    /// The desk's own addresses as a browser names them.
    pub fn hosts(&self) -> Vec<String> {
        let plain = |name: &String| name.split_once("://").map_or(name.clone(), |(_, host)| host.to_owned());
        let here = ["127.0.0.1", "localhost"].map(|host| format!("{host}:{}", self.port));
        here.into_iter().chain(self.names.iter().map(plain)).collect()
    }
    /// The address that others use, without a slash at its end.
    pub fn address(&self) -> String {
        self.names.first().cloned().unwrap_or_else(|| format!("http://127.0.0.1:{}", self.port))
    }
    /// The address that a request called the desk by, from its host.
    pub fn called(&self, host: &str) -> String {
        let is_it = |name: &&String| name.split_once("://").is_some_and(|(_, own)| own == host);
        self.names.iter().find(is_it).cloned().unwrap_or_else(|| format!("http://{host}"))
    }
    /// Do all other names begin with https, so that cookies need never go unencrypted?
    pub fn is_behind_tls(&self) -> bool {
        !self.names.is_empty() && self.names.iter().all(|name| name.starts_with("https://"))
    }
    /// Where sessions are kept.
    pub fn sessions(&self) -> Sessions {
        if self.has_accounts() { Sessions::File(self.path.clone()) } else { Sessions::Memory(MemoryStore::default()) }
    }
    /// Has somebody been let in but by the printed link, ever?
    pub fn has_accounts(&self) -> bool {
        AccessFile::beside(&self.path).exists()
    }
    /// The day the desk works as on.
    pub fn today(&self) -> Date {
        self.on.unwrap_or_else(clock::today)
    }
    /// A link that lets one browser in, once.
    pub fn new_link(&self) -> String {
        let token = Id::default().to_string();
        let link = format!("http://127.0.0.1:{}/enter/{token}", self.port);
        self.links.lock().unwrap_or_else(PoisonError::into_inner).insert(token);
        link
    }
    /// Uses a link up. False when it was never given, or used before.
    pub fn use_link(&self, token: &str) -> bool {
        self.links.lock().unwrap_or_else(PoisonError::into_inner).remove(token)
    }

    /// The season as the file is now. Read and worked out again only when the file or the day has changed; requests
    /// that come meanwhile wait for the one reading.
    ///
    /// # Errors
    /// When the file cannot be read. Stages that cannot be worked out are no error here.
    pub async fn season(&self) -> Result<Arc<Season>, Trouble> {
        let mut kept = self.season.lock().await;
        let (now, today) = (stamp(&self.path), self.today());
        if let Some(season) = kept.as_ref().filter(|s| s.stamp == now && s.today == today) {
            return Ok(Arc::clone(season));
        }
        let (path, before) = (self.path.clone(), kept.clone());
        // The state before reading: what is written while we read shows as another one at the next request. Taken afterwards,
        // a change between reading and looking would never be seen.
        let season = Arc::new(off(move || read(&path, today, now, before.as_deref())).await?);
        *kept = Some(Arc::clone(&season));
        Ok(season)
    }
}

/// Runs domain or file work off the async threads.
pub async fn off<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|e| std::panic::resume_unwind(e.into_panic()))
}

/// Reads the file. A change that no stage rests on (a visit was written down, a plan was kept) leaves what was worked out
/// as it was, and the memory that it takes.
fn read(path: &Path, today: Date, stamp: Stamp, before: Option<&Season>) -> Result<Season, Trouble> {
    let file = ProgrammeFile::open(path)?;
    let (records, history, stored) = (file.read()?, file.history()?, file.plans()?);
    file.close()?;
    let setting = setting(today);
    let same = before.filter(|season| season.today == today && season.records.plan_alike(&records));
    let stages = match (same, before.filter(|season| season.today == today)) {
        (Some(season), _) => season.stages.clone(),
        (None, Some(Season { records: old, stages: Ok(known), .. })) => {
            stages_again(&records, &setting, (old, known)).map(Arc::new)
        }
        (None, _) => stages(&records, &setting).map(Arc::new),
    };
    let counted_alike = before.filter(|season| season.today == today && season.records.counts_alike(&records));
    let fresh = counted_alike.map(|s| Arc::clone(&s.fresh)).unwrap_or_default();
    let dates_alone = stages.is_err().then(|| dates(&records, &setting));
    let problems = check_stages(&records, &setting, stages.as_deref());
    let plans: Vec<Kept> = stored.iter().filter_map(|p| plans::read(p).ok()).collect();
    let mut season = Season {
        records,
        stages,
        dates_alone,
        block_dates: same.map(|s| Arc::clone(&s.block_dates)).unwrap_or_default(),
        week_ago: same.map(|s| Arc::clone(&s.week_ago)).unwrap_or_default(),
        between_plots: counted_alike.map(|s| Arc::clone(&s.between_plots)).unwrap_or_default(),
        fresh,
        learned: before.map(|season| Arc::clone(&season.learned)).unwrap_or_default(),
        problems,
        history,
        plans,
        current: None,
        today,
        stamp,
    };
    let last = |season: &Season| season.plans.last().map(|kept| (kept.id, kept.made_at.clone()));
    season.current = match same.filter(|before| last(before) == last(&season)) {
        Some(before) => before.current.clone(),
        None => season.plans.last().and_then(|kept| {
            let made = season.made(kept).ok()?;
            let (orders, _) = beside(&made, &season.records).ok()?;
            Some(Arc::new((made, orders)))
        }),
    };
    Ok(season)
}

fn stamp(path: &Path) -> Stamp {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    [path, Path::new(&log)].map(|p| {
        let about = std::fs::metadata(p).ok()?;
        Some((about.len(), about.modified().ok()?))
    })
}

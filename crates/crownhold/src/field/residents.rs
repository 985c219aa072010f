//! What people who live in a block can do this week, from its record and the season's dates.

use jiff::ToSpan as _;
use jiff::civil::Date;

use crate::timing::{Event, Timing, WindowKind, date_quantile};
use crate::types::Block;
use crate::types::records::choice;

choice! {
    /// One thing to do, or to leave.
    Advice {
        /// Egg masses stay on the trees until they are counted.
        LeaveUntilCounted = "leave until counted",
        /// Egg masses within reach are scraped off.
        Scrape = "scrape",
        /// Hatch goes on: scraping is over.
        StopScraping = "stop scraping",
        /// A burlap band goes up.
        PutUpBand = "put up band",
        /// The band is emptied every day.
        EmptyBand = "empty band",
        /// The band comes down.
        TakeBandDown = "take band down",
        /// Nobody touches larvae or their hairs.
        KeepOff = "keep off hairs",
        /// Bare trees want water and no saw.
        WaterBareTrees = "water bare trees",
        /// New egg masses can be found and reported.
        LookForMasses = "look for masses",
        /// There are no dates to go by.
        NoDates = "no dates",
    }
}

/// Days before the early edge of the bands' window at which bands should be at hand; an assumption: two weekends.
const BAND_READY_DAYS: i64 = 14;
/// Days in which a band that has done its work should come down; an assumption: three weekends.
const BAND_DOWN_DAYS: i64 = 21;
/// Days after laying is over for which a bare tree still wants water; an assumption: to the end of summer.
const WATER_DAYS: i64 = 50;

/// What to do on a day, most pressing first. Early edges (one season in ten is earlier) open what may hurt or be
/// missed; middles close it.
pub fn advice(block: Option<&Block>, timing: Option<&Timing>, today: Date) -> Vec<Advice> {
    let Some(timing) = timing else { return vec![Advice::NoDates] };
    let on = |event, p| timing.event(event).and_then(|e| date_quantile(&e.dates, p));
    let before = |day: Option<Date>| day.is_some_and(|d| today < d);
    let after = |day: Option<Date>| day.is_some_and(|d| today >= d);
    let mut all = bands(timing, today);
    if before(on(Event::HatchTenth, 0.1)) {
        // Where nobody says a block is counted, what is scraped is missing from the count.
        all.push(if block.is_none_or(|b| b.survey_closed.is_some()) {
            Advice::Scrape
        } else {
            Advice::LeaveUntilCounted
        });
    } else if before(on(Event::HatchNineTenths, 0.9)) {
        all.push(Advice::StopScraping);
    }
    if after(on(Event::HatchTenth, 0.1)) && before(on(Event::LayingOver, 0.9)) {
        all.push(Advice::KeepOff);
    }
    let dry = on(Event::LayingOver, 0.5).and_then(|d| d.checked_add(WATER_DAYS.days()).ok());
    if after(on(Event::FourthInstar, 0.5)) && before(dry) {
        all.push(Advice::WaterBareTrees);
    }
    if after(on(Event::LayingOver, 0.5)) {
        all.push(Advice::LookForMasses);
    }
    all
}

fn bands(timing: &Timing, today: Date) -> Vec<Advice> {
    let Some(window) = timing.window(WindowKind::Bands) else { return Vec::new() };
    let edges = (window.opens_among_those_that_do(0.1), window.closes_among_those_that_do(0.5));
    let (Some(early), Some(over)) = edges else { return Vec::new() };
    let late = window.opens_among_those_that_do(0.9).unwrap_or(early);
    let at_hand = early.checked_sub(BAND_READY_DAYS.days()).unwrap_or(early);
    let down = over.checked_add(BAND_DOWN_DAYS.days()).unwrap_or(over);
    let mut all = Vec::new();
    if (at_hand..=late).contains(&today) {
        all.push(Advice::PutUpBand);
    }
    if (early..=over).contains(&today) {
        all.push(Advice::EmptyBand);
    }
    if today > over && today <= down {
        all.push(Advice::TakeBandDown);
    }
    all
}

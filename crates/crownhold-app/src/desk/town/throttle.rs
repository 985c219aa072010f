//! How many reports may come in.

use std::collections::VecDeque;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Reports from one address within [`SPAN`].
const FROM_ONE: usize = 6;
/// Reports from everywhere within [`SPAN`].
const FROM_ALL: usize = 200;
const SPAN: Duration = Duration::from_secs(3_600);

/// Counts the reports of the last hour. Addresses are kept in memory only, and for that hour.
#[derive(Default)]
pub struct Throttle(Mutex<VecDeque<(Instant, Option<IpAddr>)>>);

impl Throttle {
    /// May another one come in from there now? If so it is counted.
    pub fn lets_in(&self, from: Option<IpAddr>, now: Instant) -> bool {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        while all.front().is_some_and(|(at, _)| now.duration_since(*at) >= SPAN) {
            all.pop_front();
        }
        let full = all.len() >= FROM_ALL || all.iter().filter(|(_, who)| *who == from).count() >= FROM_ONE;
        if !full {
            all.push_back((now, from));
        }
        !full
    }
}

#[cfg(test)]
mod tests {
    use std::net::{IpAddr, Ipv4Addr};
    use std::time::{Duration, Instant};

    use super::{FROM_ALL, FROM_ONE, Throttle};

    #[test]
    fn an_hour_lets_in_so_many() {
        let (throttle, start) = (Throttle::default(), Instant::now());
        let from = |n: usize| Some(IpAddr::V4(Ipv4Addr::from(n as u32)));
        let come = |n, at: u64| throttle.lets_in(from(n), start + Duration::from_secs(at));
        assert!((0..FROM_ONE).all(|i| come(1, i as u64)));
        assert!(!come(1, 10) && come(2, 10));
        assert!(come(1, 3_601), "the first is forgotten");
        let all = Throttle::default();
        let let_in = (0..2 * FROM_ALL).filter(|n| all.lets_in(from(*n), start)).count();
        assert_eq!(let_in, FROM_ALL);
    }
}

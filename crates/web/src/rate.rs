//! How often one machine may ask.

use std::{
    collections::HashMap,
    net::IpAddr,
    sync::Mutex,
    time::{Duration, Instant},
};

use crate::state::lock;

/// Requests at once; a page with its pictures and a day's worth of taps is far below.
/// Common practice, as are the two below.
const BURST: f64 = 120.0;
/// Requests per second in the long run.
const PER_SECOND: f64 = 20.0;
/// Machines remembered; a workshop has fewer.
const MOST: usize = 512;

/// A bucket of requests for each machine, filled steadily.
#[derive(Debug, Default)]
pub(crate) struct Rates(Mutex<HashMap<IpAddr, (f64, Instant)>>);

impl Rates {
    /// Takes one request out; false when there is none left.
    pub(crate) fn take(&self, peer: IpAddr, now: Instant) -> bool {
        let mut buckets = lock(&self.0);
        if buckets.len() >= MOST && !buckets.contains_key(&peer) {
            // Full buckets say nothing; without any, the oldest has to go.
            let full = Duration::from_secs_f64(BURST / PER_SECOND);
            buckets.retain(|_, (_, at)| now.saturating_duration_since(*at) < full);
            if buckets.len() >= MOST
                && let Some(oldest) = buckets.iter().min_by_key(|b| b.1.1).map(|b| *b.0)
            {
                buckets.remove(&oldest);
            }
        }
        let (left, at) = buckets.entry(peer).or_insert((BURST, now));
        let passed = now.saturating_duration_since(*at).as_secs_f64();
        *left = (*left + passed * PER_SECOND).min(BURST);
        *at = now;
        if *left < 1.0 {
            return false;
        }
        *left -= 1.0;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hasty_machine_waits_and_others_do_not() {
        let rates = Rates::default();
        let now = Instant::now();
        let (hasty, calm): (IpAddr, IpAddr) = (
            "192.168.1.9".parse().unwrap(),
            "192.168.1.10".parse().unwrap(),
        );
        let taken = (0..1000).filter(|_| rates.take(hasty, now)).count();
        assert_eq!(taken, BURST as usize);
        assert!(rates.take(calm, now));
        let later = now + Duration::from_secs(1);
        let taken = (0..1000).filter(|_| rates.take(hasty, later)).count();
        assert_eq!(taken, PER_SECOND as usize);
    }

    #[test]
    fn many_machines_do_not_fill_the_memory() {
        let rates = Rates::default();
        let now = Instant::now();
        for n in 0..5000u32 {
            rates.take(IpAddr::V4(n.into()), now + Duration::from_millis(n.into()));
        }
        assert!(lock(&rates.0).len() <= MOST);
    }
}

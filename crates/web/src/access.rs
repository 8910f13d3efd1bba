//! Who may ask: names the server answers to, and devices that have been paired.
//!
//! Devices stay paired when the program ends, and so does the sending away: the
//! store keeps the hash of each token, never the token.

use std::{
    fmt,
    net::{IpAddr, SocketAddr},
    sync::Mutex,
    time::{Duration, Instant},
};

use jiff::Timestamp;
use rand::random_range;
use sha2::{Digest, Sha256};
use store::{Device as Seen, Store, StoreError};
use tokio::sync::watch;

use crate::{form::fresh_key, rate::Rates, state::lock};

/// Wrong codes before the door closes for a while. Common practice, as are the
/// three below.
const TRIES: u32 = 5;
/// How long it stays closed the first time; doubles each time.
const CLOSED: Duration = Duration::from_secs(60);
/// Times it closes before it is locked until someone at the bench opens it again.
const ROUNDS: u32 = 4;
/// Paired devices let in at a time; the oldest goes first.
const DEVICES: usize = 16;
/// How often a device's last sign of life is written down, and what other
/// programs on the same data changed is looked at. Common practice.
const NOTED: Duration = Duration::from_secs(60);

/// Who may ask.
pub(crate) struct Access {
    /// Whether other machines of the network may.
    lan: bool,
    /// Port the server answers on; `None` accepts any (tests without a socket).
    port: Option<u16>,
    /// Where devices are kept; none when no device can be let in.
    register: Mutex<Option<Store>>,
    pairing: Mutex<Pairing>,
    /// Numbers of the devices let in, for streams that must end with the leave.
    present: watch::Sender<Vec<u64>>,
    rates: Rates,
}

struct Pairing {
    code: String,
    wrong: u32,
    rounds: u32,
    closed_until: Option<Instant>,
    locked: bool,
    devices: Vec<Device>,
}

/// A device that is let in.
struct Device {
    /// Of its token.
    hash: [u8; 32],
    seen: Seen,
    /// When its last sign of life was written down.
    noted: Option<Instant>,
}

/// What became of a code.
#[derive(Clone, PartialEq, Eq)]
pub(crate) enum Paired {
    /// The device's token.
    Yes(String),
    /// Wrong code.
    No,
    /// Too many wrong codes; seconds to wait.
    Wait(u64),
    /// Too many times too many; only the bench itself opens again.
    Locked,
}

/// Who a request comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Guest {
    /// This machine.
    Here,
    /// A paired device, by its number.
    Device(u64),
    /// Nobody known.
    Stranger,
}

// Neither code nor tokens may reach a log.
impl fmt::Debug for Access {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Access")
            .field("lan", &self.lan)
            .field("port", &self.port)
            .finish_non_exhaustive()
    }
}

impl fmt::Debug for Paired {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Yes(_) => f.write_str("Yes(…)"),
            Self::No => f.write_str("No"),
            Self::Wait(seconds) => write!(f, "Wait({seconds})"),
            Self::Locked => f.write_str("Locked"),
        }
    }
}

impl Access {
    /// For this machine alone.
    pub(crate) fn this_machine(port: Option<u16>) -> Self {
        Self::new(port, None)
    }

    /// For the workshop's network, after pairing. Devices that `register` has
    /// let in, and not sent away, stay let in.
    ///
    /// # Errors
    /// When the register cannot be read.
    pub(crate) fn network(port: Option<u16>, register: Store) -> Result<Self, StoreError> {
        let access = Self::new(port, Some(register));
        access.refresh()?;
        Ok(access)
    }

    fn new(port: Option<u16>, register: Option<Store>) -> Self {
        let pairing = Pairing {
            code: fresh_code(),
            wrong: 0,
            rounds: 0,
            closed_until: None,
            locked: false,
            devices: Vec::new(),
        };
        Self {
            lan: register.is_some(),
            port,
            register: Mutex::new(register),
            pairing: Mutex::new(pairing),
            present: watch::channel(Vec::new()).0,
            rates: Rates::default(),
        }
    }

    /// Takes over who is let in, as the register has it.
    fn refresh(&self) -> Result<(), StoreError> {
        let kept = self.registered()?;
        let mut pairing = lock(&self.pairing);
        let noted = |number: u64| {
            let known = pairing.devices.iter().find(|d| d.seen.number == number);
            known.and_then(|device| device.noted)
        };
        pairing.devices = kept
            .into_iter()
            .filter(|(seen, _)| seen.away.is_none())
            .map(|(seen, hash)| Device {
                hash,
                noted: noted(seen.number),
                seen,
            })
            .collect();
        self.announce(&pairing);
        Ok(())
    }

    fn registered(&self) -> Result<Vec<(Seen, [u8; 32])>, StoreError> {
        self.with_register(Store::devices).unwrap_or(Ok(Vec::new()))
    }

    fn with_register<T>(&self, work: impl FnOnce(&Store) -> T) -> Option<T> {
        lock(&self.register).as_ref().map(work)
    }

    /// Whether other machines may ask at all.
    pub(crate) fn is_open_to_network(&self) -> bool {
        self.lan
    }

    /// The port the server answers on.
    pub(crate) fn port(&self) -> Option<u16> {
        self.port
    }

    /// The code for the next device; `None` while the door is locked.
    pub(crate) fn code(&self) -> Option<String> {
        let pairing = lock(&self.pairing);
        (!pairing.locked).then(|| pairing.code.clone())
    }

    /// Whether `peer` may ask once more at `now`; this machine always may.
    pub(crate) fn is_patient(&self, peer: Option<SocketAddr>, now: Instant) -> bool {
        peer.is_none_or(|peer| is_here(peer) || self.rates.take(peer.ip().to_canonical(), now))
    }

    /// Whether the server answers to the name in the `Host` header.
    ///
    /// On loopback only the loopback names count, so that a foreign name that
    /// resolves to 127.0.0.1 gets nothing. On the network an address is fine
    /// too: rebinding needs a name.
    pub(crate) fn answers_to(&self, host: &str) -> bool {
        let (name, port) = split_host(host);
        let port_fits = match (self.port, port) {
            (Some(own), Some(asked)) => asked.parse() == Ok(own),
            (Some(own), None) => own == 80,
            (None, _) => true,
        };
        let loopback = matches!(name, "localhost" | "127.0.0.1" | "[::1]");
        let address = name
            .trim_start_matches('[')
            .trim_end_matches(']')
            .parse::<IpAddr>()
            .is_ok();
        port_fits && (loopback || (self.lan && address))
    }

    /// Who asks, from `peer` carrying `token`. Without `--lan` only this machine
    /// can connect at all.
    pub(crate) fn guest(&self, peer: Option<SocketAddr>, token: Option<&str>) -> Guest {
        if !self.lan || peer.is_some_and(is_here) {
            return Guest::Here;
        }
        let hash = token.map(hash_of);
        let mut pairing = lock(&self.pairing);
        let known = hash.and_then(|hash| {
            let mut devices = pairing.devices.iter_mut();
            devices.find(|device| same(&device.hash, &hash))
        });
        match known {
            Some(device) => {
                if let Some(peer) = peer {
                    device.seen.place = peer.ip().to_canonical().to_string();
                }
                device.seen.seen = Timestamp::now();
                Guest::Device(device.seen.number)
            }
            None => Guest::Stranger,
        }
    }

    /// Whether it is time to [`note`](Self::note) a device; says so once.
    pub(crate) fn is_to_note(&self, number: u64, now: Instant) -> bool {
        let mut pairing = lock(&self.pairing);
        let device = pairing.devices.iter_mut().find(|d| d.seen.number == number);
        let due = |noted: Option<Instant>| {
            noted.is_none_or(|at| now.saturating_duration_since(at) >= NOTED)
        };
        device.is_some_and(|device| {
            let due = due(device.noted);
            if due {
                device.noted = Some(now);
            }
            due
        })
    }

    /// Writes down when and where a device was seen, and looks whether another
    /// program on the same data has sent one away.
    ///
    /// # Errors
    /// When the register cannot be written or read.
    pub(crate) fn note(&self, number: u64) -> Result<(), StoreError> {
        let devices = self.devices();
        if let Some(seen) = devices.iter().find(|seen| seen.number == number) {
            self.with_register(|register| register.device_seen(number, seen.seen, &seen.place))
                .unwrap_or(Ok(()))?;
        }
        self.refresh()
    }

    /// Tries a code for a device that calls itself `name`. Each code pairs one device.
    ///
    /// # Errors
    /// When the device cannot be kept; the code is then still good.
    pub(crate) fn pair(&self, typed: &str, name: &str, now: Instant) -> Result<Paired, StoreError> {
        let mut pairing = lock(&self.pairing);
        if pairing.locked {
            return Ok(Paired::Locked);
        }
        if let Some(until) = pairing.closed_until {
            if now < until {
                return Ok(Paired::Wait((until - now).as_secs() + 1));
            }
            pairing.closed_until = None;
        }
        let typed: String = typed.chars().filter(char::is_ascii_digit).collect();
        if same(pairing.code.as_bytes(), typed.as_bytes()) {
            return self.let_in(&mut pairing, name).map(Paired::Yes);
        }
        pairing.wrong += 1;
        if pairing.wrong < TRIES {
            return Ok(Paired::No);
        }
        let pause = CLOSED * 2u32.pow(pairing.rounds.min(10));
        pairing.wrong = 0;
        pairing.rounds += 1;
        pairing.code = fresh_code();
        if pairing.rounds >= ROUNDS {
            pairing.locked = true;
            return Ok(Paired::Locked);
        }
        pairing.closed_until = Some(now + pause);
        Ok(Paired::Wait(pause.as_secs()))
    }

    fn let_in(&self, pairing: &mut Pairing, name: &str) -> Result<String, StoreError> {
        let token = fresh_key();
        let (hash, now) = (hash_of(&token), Timestamp::now());
        let kept: Option<Result<u64, StoreError>> = self.with_register(|register| {
            let number = register.let_in(name, &hash, now)?;
            if pairing.devices.len() >= DEVICES
                && let Some(oldest) = pairing.devices.first()
            {
                register.send_away(oldest.seen.number, now)?;
            }
            Ok(number)
        });
        // Without a register nobody can be let in at all, so there is always one here.
        let number = kept.transpose()?.unwrap_or_default();
        pairing.code = fresh_code();
        pairing.wrong = 0;
        pairing.rounds = 0;
        pairing.devices.push(Device {
            hash,
            seen: Seen {
                number,
                name: name.to_owned(),
                since: now,
                seen: now,
                place: String::new(),
                away: None,
            },
            noted: None,
        });
        if pairing.devices.len() > DEVICES {
            pairing.devices.remove(0);
        }
        self.announce(pairing);
        Ok(token)
    }

    /// Opens a locked door again, with a new code; from the bench itself only.
    pub(crate) fn unlock(&self) {
        let mut pairing = lock(&self.pairing);
        pairing.locked = false;
        pairing.wrong = 0;
        pairing.rounds = 0;
        pairing.closed_until = None;
        pairing.code = fresh_code();
    }

    /// Every device that is let in, oldest first.
    pub(crate) fn devices(&self) -> Vec<Seen> {
        let pairing = lock(&self.pairing);
        pairing.devices.iter().map(|d| d.seen.clone()).collect()
    }

    /// Devices that were sent away, last first.
    ///
    /// # Errors
    /// When the register cannot be read.
    pub(crate) fn sent_away(&self) -> Result<Vec<Seen>, StoreError> {
        let all = self.registered()?.into_iter().map(|(seen, _)| seen);
        let mut away: Vec<Seen> = all.filter(|seen| seen.away.is_some()).collect();
        away.sort_by_key(|seen| std::cmp::Reverse(seen.away));
        Ok(away)
    }

    /// Sends a device away for good; its streams end too.
    ///
    /// # Errors
    /// When that cannot be written down; the device is turned away all the same,
    /// until the program ends.
    pub(crate) fn revoke(&self, number: u64) -> Result<(), StoreError> {
        let mut pairing = lock(&self.pairing);
        pairing.devices.retain(|d| d.seen.number != number);
        self.announce(&pairing);
        drop(pairing);
        self.with_register(|register| register.send_away(number, Timestamp::now()))
            .unwrap_or(Ok(()))
    }

    fn announce(&self, pairing: &Pairing) {
        let numbers = pairing.devices.iter().map(|d| d.seen.number).collect();
        self.present.send_replace(numbers);
    }

    /// Returns when the device is let in no longer.
    pub(crate) fn gone(&self, number: u64) -> impl Future<Output = ()> + Send + 'static {
        let mut present = self.present.subscribe();
        async move {
            // An error means that the server is gone.
            let _ = present.wait_for(|all| !all.contains(&number)).await;
        }
    }
}

/// Whether `peer` is this very machine.
pub(crate) fn is_here(peer: SocketAddr) -> bool {
    peer.ip().to_canonical().is_loopback()
}

fn fresh_code() -> String {
    format!("{:08}", random_range(0..100_000_000u32))
}

/// What the store keeps of a token. A token has 128 random bits, for which one
/// round of an approved hash is enough (NIST SP 800-63B, 2017, section 5.1.2.2:
/// secrets of 112 bits and more).
fn hash_of(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

/// Compares without telling by the time taken where the first difference is.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |all, (x, y)| all | (x ^ y)) == 0
}

/// Name and port of a `Host` header; an IPv6 address keeps its brackets.
fn split_host(host: &str) -> (&str, Option<&str>) {
    let end_of_address = host.rfind(']').map_or(0, |at| at + 1);
    match host[end_of_address..].find(':') {
        Some(at) => (
            &host[..end_of_address + at],
            Some(&host[end_of_address + at + 1..]),
        ),
        None => (host, None),
    }
}

#[cfg(test)]
mod tests;

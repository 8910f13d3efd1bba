//! Who may ask: names the server answers to, and devices that have been paired.

use std::{
    net::{IpAddr, SocketAddr},
    sync::Mutex,
    time::{Duration, Instant},
};

use rand::random_range;

use crate::{form::fresh_key, state::lock};

/// Wrong codes before the door closes for a while. Common practice, as are the
/// two below.
const TRIES: u32 = 5;
/// How long it stays closed the first time; doubles each time.
const CLOSED: Duration = Duration::from_secs(60);
/// Paired devices remembered; the oldest goes first.
const DEVICES: usize = 16;

/// Who may ask.
#[derive(Debug)]
pub(crate) struct Access {
    /// Whether other machines of the network may.
    lan: bool,
    /// Port the server answers on; `None` accepts any (tests without a socket).
    port: Option<u16>,
    pairing: Mutex<Pairing>,
}

#[derive(Debug)]
struct Pairing {
    code: String,
    wrong: u32,
    rounds: u32,
    closed_until: Option<Instant>,
    devices: Vec<String>,
}

/// What became of a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Paired {
    /// The device's token.
    Yes(String),
    /// Wrong code.
    No,
    /// Too many wrong codes; seconds to wait.
    Wait(u64),
}

impl Access {
    /// For this machine alone.
    pub(crate) fn this_machine(port: Option<u16>) -> Self {
        Self::new(false, port)
    }

    /// For the workshop's network, after pairing.
    pub(crate) fn network(port: Option<u16>) -> Self {
        Self::new(true, port)
    }

    fn new(lan: bool, port: Option<u16>) -> Self {
        let pairing = Pairing {
            code: fresh_code(),
            wrong: 0,
            rounds: 0,
            closed_until: None,
            devices: Vec::new(),
        };
        Self {
            lan,
            port,
            pairing: Mutex::new(pairing),
        }
    }

    /// Whether other machines may ask at all.
    pub(crate) fn is_open_to_network(&self) -> bool {
        self.lan
    }

    /// The code for the next device.
    pub(crate) fn code(&self) -> String {
        lock(&self.pairing).code.clone()
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

    /// Whether a request from `peer` carrying `token` may see anything.
    pub(crate) fn admits(&self, peer: Option<SocketAddr>, token: Option<&str>) -> bool {
        if !self.lan || peer.is_some_and(|peer| peer.ip().to_canonical().is_loopback()) {
            return true;
        }
        token.is_some_and(|token| {
            lock(&self.pairing)
                .devices
                .iter()
                .any(|known| same(known, token))
        })
    }

    /// Tries a code. Each code pairs one device.
    pub(crate) fn pair(&self, typed: &str, now: Instant) -> Paired {
        let mut pairing = lock(&self.pairing);
        if let Some(until) = pairing.closed_until {
            if now < until {
                return Paired::Wait((until - now).as_secs() + 1);
            }
            pairing.closed_until = None;
        }
        let typed: String = typed.chars().filter(char::is_ascii_digit).collect();
        if same(&pairing.code, &typed) {
            let token = fresh_key();
            pairing.code = fresh_code();
            pairing.wrong = 0;
            pairing.rounds = 0;
            pairing.devices.push(token.clone());
            if pairing.devices.len() > DEVICES {
                pairing.devices.remove(0);
            }
            return Paired::Yes(token);
        }
        pairing.wrong += 1;
        if pairing.wrong >= TRIES {
            let pause = CLOSED * 2u32.pow(pairing.rounds.min(10));
            pairing.wrong = 0;
            pairing.rounds += 1;
            pairing.closed_until = Some(now + pause);
            pairing.code = fresh_code();
            return Paired::Wait(pause.as_secs());
        }
        Paired::No
    }
}

fn fresh_code() -> String {
    format!("{:08}", random_range(0..100_000_000u32))
}

/// Compares without telling by the time taken where the first difference is.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len()
        && a.bytes()
            .zip(b.bytes())
            .fold(0, |all, (x, y)| all | (x ^ y))
            == 0
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
mod tests {
    use super::*;

    #[test]
    fn only_loopback_names_unless_open() {
        let own = Access::this_machine(Some(4711));
        for host in ["localhost:4711", "127.0.0.1:4711", "[::1]:4711"] {
            assert!(own.answers_to(host), "{host}");
        }
        for host in [
            "localhost",
            "localhost:80",
            "evil.example:4711",
            "192.168.1.5:4711",
            "",
            "[::1",
            "127.0.0.1.evil.example:4711",
        ] {
            assert!(!own.answers_to(host), "{host}");
        }
        let open = Access::network(Some(4711));
        assert!(open.answers_to("192.168.1.5:4711"));
        assert!(!open.answers_to("evil.example:4711"));
    }

    #[test]
    fn a_code_pairs_one_device() {
        let access = Access::network(None);
        let far: SocketAddr = "192.168.1.9:5000".parse().unwrap();
        assert!(!access.admits(Some(far), None));
        assert!(!access.admits(None, None), "an unknown peer is not trusted");
        let code = access.code();
        let spaced = format!("{} {}", &code[..4], &code[4..]);
        let Paired::Yes(token) = access.pair(&spaced, Instant::now()) else {
            panic!("the code must pair")
        };
        assert!(access.admits(Some(far), Some(&token)));
        assert!(!access.admits(Some(far), Some("x")));
        assert_eq!(access.pair(&code, Instant::now()), Paired::No);
        assert!(access.admits(Some("127.0.0.1:1".parse().unwrap()), None));
        assert!(access.admits(Some("[::ffff:127.0.0.1]:1".parse().unwrap()), None));
    }

    #[test]
    fn guessing_is_slowed_and_the_code_changes() {
        let access = Access::network(None);
        let (start, first) = (Instant::now(), access.code());
        for _ in 1..TRIES {
            assert_eq!(access.pair("1", start), Paired::No);
        }
        assert_eq!(access.pair("1", start), Paired::Wait(60));
        assert!(matches!(
            access.pair(&access.code(), start),
            Paired::Wait(_)
        ));
        assert_ne!(access.code(), first);
        let later = start + Duration::from_secs(61);
        for _ in 1..TRIES {
            access.pair("1", later);
        }
        assert_eq!(access.pair("1", later), Paired::Wait(120));
    }
}

//! Who may ask: names the server answers to, and devices that have been paired.

use std::{
    fmt,
    net::{IpAddr, SocketAddr},
    sync::Mutex,
    time::{Duration, Instant},
};

use jiff::Timestamp;
use rand::random_range;
use tokio::sync::watch;

use crate::{form::fresh_key, rate::Rates, state::lock};

/// Wrong codes before the door closes for a while. Common practice, as are the
/// three below.
const TRIES: u32 = 5;
/// How long it stays closed the first time; doubles each time.
const CLOSED: Duration = Duration::from_secs(60);
/// Times it closes before it is locked until someone at the bench opens it again.
const ROUNDS: u32 = 4;
/// Paired devices remembered; the oldest goes first.
const DEVICES: usize = 16;

/// Who may ask.
pub(crate) struct Access {
    /// Whether other machines of the network may.
    lan: bool,
    /// Port the server answers on; `None` accepts any (tests without a socket).
    port: Option<u16>,
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
    next: u64,
}

struct Device {
    token: String,
    seen: Seen,
}

/// A device that was let in, as the bench shows it; without its token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Seen {
    /// Its number.
    pub(crate) number: u64,
    /// What it says it is.
    pub(crate) name: String,
    /// Where it was last seen.
    pub(crate) from: String,
    /// When it was let in.
    pub(crate) since: Timestamp,
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
            locked: false,
            devices: Vec::new(),
            next: 1,
        };
        Self {
            lan,
            port,
            pairing: Mutex::new(pairing),
            present: watch::channel(Vec::new()).0,
            rates: Rates::default(),
        }
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
        let mut pairing = lock(&self.pairing);
        let known = token.and_then(|token| {
            pairing
                .devices
                .iter_mut()
                .find(|device| same(&device.token, token))
        });
        match known {
            Some(device) => {
                if let Some(peer) = peer {
                    device.seen.from = peer.ip().to_canonical().to_string();
                }
                Guest::Device(device.seen.number)
            }
            None => Guest::Stranger,
        }
    }

    /// Tries a code for a device that calls itself `name`. Each code pairs one device.
    pub(crate) fn pair(&self, typed: &str, name: &str, now: Instant) -> Paired {
        let mut pairing = lock(&self.pairing);
        if pairing.locked {
            return Paired::Locked;
        }
        if let Some(until) = pairing.closed_until {
            if now < until {
                return Paired::Wait((until - now).as_secs() + 1);
            }
            pairing.closed_until = None;
        }
        let typed: String = typed.chars().filter(char::is_ascii_digit).collect();
        if same(&pairing.code, &typed) {
            return Paired::Yes(self.let_in(&mut pairing, name));
        }
        pairing.wrong += 1;
        if pairing.wrong < TRIES {
            return Paired::No;
        }
        let pause = CLOSED * 2u32.pow(pairing.rounds.min(10));
        pairing.wrong = 0;
        pairing.rounds += 1;
        pairing.code = fresh_code();
        if pairing.rounds >= ROUNDS {
            pairing.locked = true;
            return Paired::Locked;
        }
        pairing.closed_until = Some(now + pause);
        Paired::Wait(pause.as_secs())
    }

    fn let_in(&self, pairing: &mut Pairing, name: &str) -> String {
        let token = fresh_key();
        pairing.code = fresh_code();
        pairing.wrong = 0;
        pairing.rounds = 0;
        let seen = Seen {
            number: pairing.next,
            name: name.to_owned(),
            from: String::new(),
            since: Timestamp::now(),
        };
        pairing.next += 1;
        pairing.devices.push(Device {
            token: token.clone(),
            seen,
        });
        if pairing.devices.len() > DEVICES {
            pairing.devices.remove(0);
        }
        self.announce(pairing);
        token
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

    /// Every device that was let in, oldest first.
    pub(crate) fn devices(&self) -> Vec<Seen> {
        let pairing = lock(&self.pairing);
        pairing.devices.iter().map(|d| d.seen.clone()).collect()
    }

    /// Sends a device away; its streams end too.
    pub(crate) fn revoke(&self, number: u64) {
        let mut pairing = lock(&self.pairing);
        pairing.devices.retain(|d| d.seen.number != number);
        self.announce(&pairing);
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

    fn far() -> Option<SocketAddr> {
        Some("192.168.1.9:5000".parse().unwrap())
    }

    #[test]
    fn a_code_pairs_one_device() {
        let access = Access::network(None);
        assert_eq!(access.guest(far(), None), Guest::Stranger);
        assert_eq!(
            access.guest(None, None),
            Guest::Stranger,
            "an unknown peer is not trusted"
        );
        let code = access.code().unwrap();
        let spaced = format!("{} {}", &code[..4], &code[4..]);
        let Paired::Yes(token) = access.pair(&spaced, "phone", Instant::now()) else {
            panic!("the code must pair")
        };
        assert_eq!(access.guest(far(), Some(&token)), Guest::Device(1));
        assert_eq!(access.guest(far(), Some("x")), Guest::Stranger);
        assert_eq!(access.pair(&code, "other", Instant::now()), Paired::No);
        for here in ["127.0.0.1:1", "[::ffff:127.0.0.1]:1", "[::1]:1"] {
            assert_eq!(access.guest(Some(here.parse().unwrap()), None), Guest::Here);
        }
    }

    #[test]
    fn one_device_is_sent_away_and_the_other_stays() {
        let access = Access::network(None);
        let mut tokens = Vec::new();
        for name in ["phone", "tablet"] {
            let code = access.code().unwrap();
            match access.pair(&code, name, Instant::now()) {
                Paired::Yes(token) => tokens.push(token),
                other => panic!("{other:?}"),
            }
        }
        assert_ne!(tokens[0], tokens[1]);
        let names: Vec<String> = access.devices().into_iter().map(|d| d.name).collect();
        assert_eq!(names, ["phone", "tablet"]);
        let mut gone = Box::pin(access.gone(1));
        let mut stays = Box::pin(access.gone(2));
        let mut context = std::task::Context::from_waker(std::task::Waker::noop());
        assert!(gone.as_mut().poll(&mut context).is_pending());
        access.revoke(1);
        assert!(gone.as_mut().poll(&mut context).is_ready());
        assert!(stays.as_mut().poll(&mut context).is_pending());
        assert_eq!(access.guest(far(), Some(&tokens[0])), Guest::Stranger);
        assert_eq!(access.guest(far(), Some(&tokens[1])), Guest::Device(2));
        assert_eq!(access.devices()[0].from, "192.168.1.9");
    }

    #[test]
    fn guessing_is_slowed_then_locked_and_the_code_changes() {
        let access = Access::network(None);
        let (mut now, first) = (Instant::now(), access.code());
        for pause in [60, 120, 240] {
            for _ in 1..TRIES {
                assert_eq!(access.pair("1", "", now), Paired::No);
            }
            assert_eq!(access.pair("1", "", now), Paired::Wait(pause));
            // Not even the right code helps while it is closed.
            let code = access.code().unwrap();
            assert!(matches!(access.pair(&code, "", now), Paired::Wait(_)));
            now += Duration::from_secs(pause + 1);
        }
        assert_ne!(access.code(), first);
        for _ in 1..TRIES {
            assert_eq!(access.pair("1", "", now), Paired::No);
        }
        assert_eq!(access.pair("1", "", now), Paired::Locked);
        assert_eq!(access.code(), None);
        now += Duration::from_secs(1_000_000);
        assert_eq!(access.pair("1", "", now), Paired::Locked);
        access.unlock();
        let code = access.code().unwrap();
        assert!(matches!(access.pair(&code, "", now), Paired::Yes(_)));
    }

    #[test]
    fn nothing_secret_is_shown() {
        let access = Access::network(None);
        let code = access.code().unwrap();
        let paired = access.pair(&code, "phone", Instant::now());
        let Paired::Yes(token) = &paired else {
            panic!("the code must pair")
        };
        let next = access.code().unwrap();
        let shown = format!("{access:?} {paired:?} {:?}", access.devices());
        for secret in [token, &code, &next] {
            assert!(!shown.contains(secret.as_str()), "{shown}");
        }
    }
}

//! Names, codes and devices.

use super::*;

fn network(port: Option<u16>) -> Access {
    Access::network(port, Store::in_memory().unwrap()).unwrap()
}

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
    let open = network(Some(4711));
    assert!(open.answers_to("192.168.1.5:4711"));
    assert!(!open.answers_to("evil.example:4711"));
}

fn far() -> Option<SocketAddr> {
    Some("192.168.1.9:5000".parse().unwrap())
}

#[test]
fn a_code_pairs_one_device() {
    let access = network(None);
    assert_eq!(access.guest(far(), None), Guest::Stranger);
    assert_eq!(
        access.guest(None, None),
        Guest::Stranger,
        "an unknown peer is not trusted"
    );
    let code = access.code().unwrap();
    let spaced = format!("{} {}", &code[..4], &code[4..]);
    let Paired::Yes(token) = access.pair(&spaced, "phone", Instant::now()).unwrap() else {
        panic!("the code must pair")
    };
    assert_eq!(access.guest(far(), Some(&token)), Guest::Device(1));
    assert_eq!(access.guest(far(), Some("x")), Guest::Stranger);
    assert_eq!(
        access.pair(&code, "other", Instant::now()).unwrap(),
        Paired::No
    );
    for here in ["127.0.0.1:1", "[::ffff:127.0.0.1]:1", "[::1]:1"] {
        assert_eq!(access.guest(Some(here.parse().unwrap()), None), Guest::Here);
    }
}

#[test]
fn one_device_is_sent_away_and_the_other_stays() {
    let access = network(None);
    let mut tokens = Vec::new();
    for name in ["phone", "tablet"] {
        let code = access.code().unwrap();
        match access.pair(&code, name, Instant::now()).unwrap() {
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
    access.revoke(1).unwrap();
    assert!(gone.as_mut().poll(&mut context).is_ready());
    assert!(stays.as_mut().poll(&mut context).is_pending());
    assert_eq!(access.guest(far(), Some(&tokens[0])), Guest::Stranger);
    assert_eq!(access.guest(far(), Some(&tokens[1])), Guest::Device(2));
    assert_eq!(access.devices()[0].place, "192.168.1.9");
}

#[test]
fn guessing_is_slowed_then_locked_and_the_code_changes() {
    let access = network(None);
    let (mut now, first) = (Instant::now(), access.code());
    for pause in [60, 120, 240] {
        for _ in 1..TRIES {
            assert_eq!(access.pair("1", "", now).unwrap(), Paired::No);
        }
        assert_eq!(access.pair("1", "", now).unwrap(), Paired::Wait(pause));
        // Not even the right code helps while it is closed.
        let code = access.code().unwrap();
        assert!(matches!(
            access.pair(&code, "", now).unwrap(),
            Paired::Wait(_)
        ));
        now += Duration::from_secs(pause + 1);
    }
    assert_ne!(access.code(), first);
    for _ in 1..TRIES {
        assert_eq!(access.pair("1", "", now).unwrap(), Paired::No);
    }
    assert_eq!(access.pair("1", "", now).unwrap(), Paired::Locked);
    assert_eq!(access.code(), None);
    now += Duration::from_secs(1_000_000);
    assert_eq!(access.pair("1", "", now).unwrap(), Paired::Locked);
    access.unlock();
    let code = access.code().unwrap();
    assert!(matches!(
        access.pair(&code, "", now).unwrap(),
        Paired::Yes(_)
    ));
}

#[test]
fn nothing_secret_is_shown() {
    let access = network(None);
    let code = access.code().unwrap();
    let paired = access.pair(&code, "phone", Instant::now()).unwrap();
    let Paired::Yes(token) = &paired else {
        panic!("the code must pair")
    };
    let next = access.code().unwrap();
    let shown = format!("{access:?} {paired:?} {:?}", access.devices());
    for secret in [token, &code, &next] {
        assert!(!shown.contains(secret.as_str()), "{shown}");
    }
}

/// Lets a device in and gives its token.
fn let_in(access: &Access, name: &str) -> String {
    let code = access.code().unwrap();
    match access.pair(&code, name, Instant::now()).unwrap() {
        Paired::Yes(token) => token,
        other => panic!("{other:?}"),
    }
}

#[test]
fn devices_and_the_sending_away_outlive_the_program() {
    let dir = tempfile::tempdir().unwrap();
    let open = || Access::network(None, Store::open(dir.path()).unwrap()).unwrap();
    let before = open();
    let (phone, tablet) = (let_in(&before, "phone"), let_in(&before, "tablet"));
    before.revoke(1).unwrap();
    drop(before);
    let after = open();
    assert_eq!(after.guest(far(), Some(&phone)), Guest::Stranger);
    assert_eq!(after.guest(far(), Some(&tablet)), Guest::Device(2));
    let away = after.sent_away().unwrap();
    assert_eq!((away.len(), away[0].name.as_str()), (1, "phone"));
    assert!(away[0].away.is_some());
    // Numbers go on; a new device is not taken for an old one.
    let third = let_in(&after, "other");
    assert_eq!(after.guest(far(), Some(&third)), Guest::Device(3));
}

#[test]
fn no_token_is_on_the_disk() {
    let dir = tempfile::tempdir().unwrap();
    let access = Access::network(None, Store::open(dir.path()).unwrap()).unwrap();
    let token = let_in(&access, "phone");
    assert_eq!(access.guest(far(), Some(&token)), Guest::Device(1));
    access.note(1).unwrap();
    let mut searched = 0;
    for file in std::fs::read_dir(dir.path()).unwrap() {
        let bytes = std::fs::read(file.unwrap().path()).unwrap();
        searched += bytes.len();
        let holds = |secret: &[u8]| bytes.windows(secret.len()).any(|part| part == secret);
        assert!(!holds(token.as_bytes()));
        let number = u128::from_str_radix(&token, 16).unwrap();
        assert!(!holds(&number.to_be_bytes()) && !holds(&number.to_le_bytes()));
    }
    assert!(searched > 0);
}

#[test]
fn the_last_sign_of_life_is_kept_and_another_program_may_send_away() {
    let dir = tempfile::tempdir().unwrap();
    let open = || Access::network(None, Store::open(dir.path()).unwrap()).unwrap();
    let (one, token) = {
        let access = open();
        let token = let_in(&access, "phone");
        (access, token)
    };
    assert_eq!(one.guest(far(), Some(&token)), Guest::Device(1));
    let now = Instant::now();
    assert!(one.is_to_note(1, now));
    assert!(
        !one.is_to_note(1, now + NOTED / 2),
        "not with every request"
    );
    assert!(one.is_to_note(1, now + NOTED));
    one.note(1).unwrap();
    let other = open();
    assert_eq!(other.devices()[0].place, "192.168.1.9");
    assert!(other.devices()[0].seen >= other.devices()[0].since);
    other.revoke(1).unwrap();
    one.note(1).unwrap();
    assert_eq!(one.guest(far(), Some(&token)), Guest::Stranger);
}

#[test]
fn the_oldest_makes_room() {
    let access = network(None);
    let first = let_in(&access, "first");
    let second = let_in(&access, "second");
    for _ in 2..=DEVICES {
        let_in(&access, "more");
    }
    assert_eq!(access.devices().len(), DEVICES);
    assert_eq!(access.guest(far(), Some(&first)), Guest::Stranger);
    assert_eq!(access.guest(far(), Some(&second)), Guest::Device(2));
    access.refresh().unwrap();
    assert_eq!(access.guest(far(), Some(&first)), Guest::Stranger);
}

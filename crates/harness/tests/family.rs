//! Load families: the built-in data, guessing from labels, and extension.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use harness::family::{self, Families, Status};
use proptest::prelude::*;

#[test]
fn the_built_in_text_is_sound() {
    let mut fresh = Families::built_in().clone();
    fresh.extend(include_str!("../data/families.toml")).unwrap();
    assert_eq!(&fresh, Families::built_in());
    assert!(family::all().len() > 40);
    let mut names: Vec<&str> = family::all()
        .iter()
        .flat_map(|f| f.also.iter().chain([&f.id]).map(String::as_str))
        .collect();
    let count = names.len();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), count, "an id is used twice");
    for family in family::all() {
        let sum: f64 = family.faults.iter().map(|fault| fault.weight).sum();
        assert!((sum - 1.0).abs() < 1e-12, "{}", family.id);
        assert!(!family.source.is_empty() && !family.name.is_empty());
    }
}

#[test]
fn normal_draws_lie_within_published_ones() {
    // General-information article 'Parasitic Load Explanation & Test Procedures', table
    // 'General Motors parasitic load', normal and maximum in mA; and Jeep KJ 2007 workshop
    // manual, table. The published normal must lie within the central 90 % of the family.
    let published = [
        ("alarm", 0.4),
        ("central-locking", 1.0),
        ("body-module", 3.6),
        ("body-module", 4.75),
        ("engine-control", 5.6),
        ("engine-control", 0.95),
        ("level-control", 2.0),
        ("window-heater", 0.3),
        ("climate", 1.0),
        ("light-module", 0.5),
        ("light-module", 1.0),
        ("immobiliser", 0.75),
        ("retained-power", 3.8),
        ("audio", 7.0),
        ("audio", 2.0),
        ("alternator", 1.4),
        ("instrument-cluster", 0.44),
        ("transmission", 0.70),
    ];
    for (id, milliampere) in published {
        let normal = family::family(id).unwrap().normal;
        let z = (milliampere * 1e-3 / normal.median_a).ln() / normal.log_sd;
        assert!(
            z.abs() < 1.65,
            "{id}: {milliampere} mA is {z:.2} standard deviations away"
        );
    }
}

#[test]
fn fault_sizes_agree_with_published_ones() {
    // Relay data sheets: coils of 80 to 109 ohm at 12 V, 110 to 150 mA; Jeep Compass 2021
    // workshop manual, radio awake 200 mA; Jeep KJ 2007, transmission awake 120 mA; trade
    // articles on dash cameras, 100 to 500 mA; tracker maker's pages, 35 mA awake; lamp of
    // 5 W computed, 417 mA.
    let published = [
        ("relay", 0.110),
        ("relay", 0.150),
        ("audio", 0.200),
        ("transmission", 0.120),
        ("dash-camera", 0.150),
        ("dash-camera", 0.400),
        ("tracker", 0.035),
        ("boot-lamp", 5.0 / 12.0),
        ("bonnet-lamp", 1.0),
    ];
    for (id, ampere) in published {
        let nearest = family::family(id)
            .unwrap()
            .faults
            .iter()
            .map(|f| ((ampere / f.draw.median_a).ln() / f.draw.log_sd).abs())
            .fold(f64::INFINITY, f64::min);
        assert!(
            nearest < 1.65,
            "{id}: {ampere} A is {nearest:.2} standard deviations away"
        );
    }
}

#[test]
fn labels_are_understood_in_two_languages() {
    for (label, id) in [
        ("Radio / BT", "audio"),
        ("Innenlicht", "lamp"),
        ("Innenraumbeleuchtung hinten", "lamp"),
        ("Kofferraumleuchte", "boot-lamp"),
        ("glove box lamp", "glovebox-lamp"),
        ("Handschuhfachleuchte", "glovebox-lamp"),
        ("Zentralverriegelung", "central-locking"),
        ("Sitzheizung links", "seat-heater"),
        ("Seat memory", "seat-memory"),
        ("Wegfahrsperre", "immobiliser"),
        ("Kombiinstrument", "instrument-cluster"),
        ("Motorsteuergerät", "engine-control"),
        ("Getriebesteuerung", "transmission"),
        ("Anhängersteckdose", "tow-socket"),
        ("Airbag", "airbag"),
        ("Lichtmaschine", "alternator"),
        ("Heizungsgebläse", "blower"),
        ("ABS pump", "pump"),
        ("ABS", "abs"),
        ("BCM", "body-module"),
        ("Dash cam (retrofit)", "dash-camera"),
        ("Verstärker", "amplifier"),
        ("Uhr", "clock"),
        ("Standheizung", "auxiliary-heater"),
        ("Heckscheibenheizung", "window-heater"),
        ("Fensterheber", "door-module"),
        ("Zigarettenanzünder", "socket"),
        ("OBD", "diagnostic-port"),
        ("nicht belegt", "spare"),
        ("Canopy 7", "unknown"),
        ("Widget", "unknown"),
        ("", "unknown"),
    ] {
        assert_eq!(family::guess(label).id, id, "{label}");
    }
    let named: Vec<_> = Families::built_in()
        .named_in("Clock, radio, interior lamp")
        .iter()
        .map(|family| family.id.as_str())
        .collect();
    assert_eq!(named, ["lamp", "audio", "clock"]);
}

#[test]
fn other_ids_lead_to_the_same_family() {
    for (other, id) in [
        ("lighting", "lamp"),
        ("door-lock", "central-locking"),
        ("camera", "parking-aid"),
    ] {
        assert_eq!(family::family(other).unwrap().id, id);
    }
    assert!(family::family("widget").is_none());
}

const COFFEE: &str = r#"
[[family]]
id = "coffee"
name = "coffee machine"
prior = 0.1
normal = { median_a = 0.001, log_sd = 1 }
fault = [{ share = 2, median_a = 8, log_sd = 0.3, what = "machine left on" }]
settings = false
access_min = 1
wake = 0
words = ["Kaffee", "coffee"]
source = "common practice"
status = "common practice"
"#;

#[test]
fn a_person_can_add_and_replace_families() {
    let mut families = Families::built_in().clone();
    let count = families.all().len();
    families.extend(COFFEE).unwrap();
    assert_eq!(families.all().len(), count + 1);
    let coffee = families.guess("Kaffeemaschine");
    assert_eq!(
        (coffee.id.as_str(), coffee.status),
        ("coffee", Status::CommonPractice)
    );
    assert_eq!(coffee.faults[0].weight, 1.0);
    families.extend(&COFFEE.replace("0.1\n", "0.2\n")).unwrap();
    assert_eq!(families.all().len(), count + 1);
    assert_eq!(families.get("coffee").unwrap().prior_fault, 0.2);
    assert_eq!(families.unknown().id, "unknown");
}

#[test]
fn a_family_says_how_it_shows_in_a_log() {
    use harness::behaviour::{Behaviour, MOST};
    let mut families = Families::built_in().clone();
    let factor = |families: &Families, of| families.get("coffee").unwrap().behaves.factor(of);
    families.extend(COFFEE).unwrap();
    assert_eq!(factor(&families, Behaviour::Wakes), 1.0);
    let with = |behaves: &str| format!("{COFFEE}behaves = {behaves}\n");
    families
        .extend(&with("{ wakes = 3, keeps-awake = 0.5 }"))
        .unwrap();
    let factors = Behaviour::ALL.map(|of| factor(&families, of));
    assert_eq!(factors, [3.0, 0.5, 1.0]);
    for bad in [
        "{ snores = 3 }",
        "{ wakes = 0 }",
        "{ wakes = 11 }",
        "{ stalls = \"often\" }",
        "4",
    ] {
        let error = families.extend(&with(bad)).unwrap_err().to_string();
        assert!(error.contains("family 'coffee'"), "{error}");
    }
    for family in family::all() {
        for of in Behaviour::ALL {
            let factor = family.behaves.factor(of);
            assert!((1.0 / MOST..=MOST).contains(&factor), "{}", family.id);
        }
    }
    // A lamp neither wakes nor keeps anything awake.
    let lamp = family::family("boot-lamp").unwrap();
    assert_eq!(lamp.behaves, Default::default());
}

#[test]
fn bad_families_are_refused_by_name_and_change_nothing() {
    let check = |from: &str, to: &str, expected: &str| {
        let mut families = Families::built_in().clone();
        let text = COFFEE.replace(from, to);
        assert_ne!(text, COFFEE);
        let error = families.extend(&text).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert_eq!(&families, Families::built_in());
    };
    check(
        "prior = 0.1",
        "prior = 1.5",
        "family 'coffee': probability 1.5",
    );
    check(
        "prior = 0.1",
        "prior = nan",
        "family 'coffee': probability NaN",
    );
    check(
        "median_a = 0.001",
        "median_a = 0",
        "family 'coffee': median_a 0 A is outside",
    );
    check("log_sd = 0.3", "log_sd = -1", "family 'coffee': log_sd -1");
    check(
        "name = \"coffee machine\"",
        "",
        "family 'coffee': 'name' is missing",
    );
    check("id = \"coffee\"", "", "family number 1 has no id");
    check(
        "status = \"common practice\"",
        "status = \"rumour\"",
        "read, memory or common practice",
    );
    check(
        "wake = 0",
        "wake = 0\ncaution = \"tea\"",
        "'caution' is missing or not clamp, in-line",
    );
    check("wake = 0", "wake = ", "line 10");
    check("[[family]]", "[[families]]", "no [[family]]");
}

proptest! {
    #[test]
    fn any_label_has_a_family(label in "\\PC{0,40}") {
        prop_assert!(!family::guess(&label).id.is_empty());
    }

    #[test]
    fn any_text_is_families_or_refused(text in "\\PC{0,60}") {
        let _ = Families::built_in().clone().extend(&text);
    }
}

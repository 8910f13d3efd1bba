//! Which column is what, and in what unit.

use trace::readers::{self, ReadError, ReadOptions};

use super::{PLAIN, pairs, read, read_ma, said};

#[test]
fn columns_by_name_and_number() {
    let text = "t,a1,a2,u\n0,1,10,12\n1,2,20,13\n";
    let with = |current: &str| {
        readers::read(
            text.as_bytes(),
            &ReadOptions {
                current: Some(current.to_owned()),
                unit: Some("A".to_owned()),
                ..ReadOptions::default()
            },
        )
    };
    assert_eq!(with("a2").unwrap().current_a, [10.0, 20.0]);
    assert_eq!(with("3").unwrap().current_a, [10.0, 20.0]);
    assert_eq!(with("a2").unwrap().voltage_v, Some(vec![12.0, 13.0]));
    let error = with("a9").unwrap_err();
    assert_eq!(error.kind(), "no-such-column");
    assert!(error.message().contains("t, a1, a2, u"), "{error}");
    assert_eq!(
        read_ma(text).unwrap_err(),
        ReadError::TwoCurrents {
            columns: vec!["a1".to_owned(), "a2".to_owned()]
        }
    );
    let two = read("time_s,I1 (A),I2 (A)\n0,1,2\n1,1,2\n").unwrap_err();
    assert_eq!(
        two.message(),
        "two columns could be the current: I1 (A), I2 (A)"
    );
    // By name without its unit.
    let options = ReadOptions {
        current: Some("kettle".to_owned()),
        ..ReadOptions::default()
    };
    assert_eq!(
        readers::read(
            "time_s,current_A,kettle_A\n0,1,2\n1,1,3\n".as_bytes(),
            &options
        )
        .unwrap()
        .current_a,
        [2.0, 3.0]
    );
}

#[test]
fn without_header() {
    assert_eq!(pairs(&read_ma("0,500\n1,250\n2,750\n").unwrap()), PLAIN);
    assert_eq!(
        pairs(&read_ma("22:10:00 500\n22:10:01 250\n22:10:02 750\n").unwrap()),
        PLAIN
    );
    assert_eq!(
        read("0,500\n1,250\n2,750\n").unwrap_err(),
        ReadError::NoUnit {
            column: "2".to_owned()
        }
    );
    assert!(said(
        &read_ma("0,500\n1,250\n").unwrap(),
        "seconds were assumed"
    ));
}

#[test]
fn units_that_were_asked_for_win() {
    let trace = read_ma("time_s,current_A\n0,500\n1,250\n").unwrap();
    assert_eq!(
        (trace.current_a[0], trace.source.unit.as_str()),
        (0.5, "mA")
    );
    assert!(said(&trace, "says A, but mA was asked for"));
    let wrong = readers::read(
        "".as_bytes(),
        &ReadOptions {
            unit: Some("V".to_owned()),
            ..ReadOptions::default()
        },
    );
    assert_eq!(wrong.unwrap_err().kind(), "bad-option");
}

#[test]
fn analog_lines_among_rows_are_refused_wherever_they_are() {
    let mut rows: String = (0..3000).map(|i| format!("{i},0.1\n")).collect();
    rows.insert_str(rows.len(), "A1: 3.0902 V DC\n");
    let error = read(format!("time_s,current_A\n{rows}")).unwrap_err();
    assert_eq!((error.kind(), error.line()), ("spoilt-row", Some(3002)));
}

#[test]
fn analog_text_with_changing_prefix() {
    let timed = ReadOptions {
        interval_s: Some(0.5),
        ..ReadOptions::default()
    };
    let text = "P1: 412.5 mA DC\nP2: 12.6 V DC\nP1: 1.2 A DC\nP2: 12.5 V DC\nP1: -0.0 mA DC\nP2: 12.4 V DC\nP1: 12.5 uA";
    let trace = readers::read(text.as_bytes(), &timed).unwrap();
    assert_eq!(trace.current_a, [0.4125, 1.2, -0.0]);
    assert_eq!(trace.voltage_v, Some(vec![12.6, 12.5, 12.4]));
    assert_eq!(trace.source.current_column, "P1");
    assert_eq!(
        readers::read("A0: 1 A\nA1: 2 A\n".as_bytes(), &timed)
            .unwrap_err()
            .kind(),
        "two-currents"
    );
}

#[test]
fn a_current_below_zero_throughout_is_said_and_kept() {
    let trace = read("time_s,current_A\n0,-0.5\n1,-0.25\n").unwrap();
    assert_eq!(trace.current_a, [-0.5, -0.25]);
    assert!(said(&trace, "other way round"));
}

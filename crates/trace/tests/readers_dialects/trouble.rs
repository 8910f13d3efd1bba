//! Rows that are spoilt, and files that are no log.

use trace::readers::{self, ReadError, ReadOptions};

use super::{read, said};

#[test]
fn a_few_bad_rows_are_counted_and_named() {
    let trace = read("time_s,current_A\n0,0.5\n1,oops\n2,nan\n3,inf\n4\n5,0.25\n6,1e999\n7,0.1\n8,0.1\n9,0.1\n10,0.1\n").unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (6, 5));
    let lines: Vec<u64> = trace.source.skipped.iter().map(|s| s.line).collect();
    assert_eq!(lines, [3, 4, 5, 6, 8]);
    assert!(
        trace.source.skipped[0]
            .reason
            .contains("`oops` is not a number")
    );
}

#[test]
fn a_text_column_is_an_error_with_its_line() {
    let error = read("time_s,current_A\n0,on\n1,off\n2,on\n").unwrap_err();
    assert_eq!((error.kind(), error.line()), ("text-in-numbers", Some(2)));
    // A log that turns into something else after a while.
    let rows: String = (0..1000)
        .map(|i| {
            if i < 900 {
                format!("{i},0.1\n")
            } else {
                format!("{i},x\n")
            }
        })
        .collect();
    let error = read(format!("time_s,current_A\n{rows}")).unwrap_err();
    assert_eq!((error.kind(), error.line()), ("text-in-numbers", Some(902)));
}

#[test]
fn empty_cells_may_be_many() {
    let rows: String = (0..100)
        .map(|i| {
            if i % 4 == 0 {
                format!("{i},0.1,12\n")
            } else {
                format!("{i},,12\n")
            }
        })
        .collect();
    let trace = read(format!("time_s,current_A,voltage_V\n{rows}")).unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (25, 75));
}

#[test]
fn a_last_line_cut_off() {
    let trace = read("time_s,current_A\n0,0.5\n1,0.25\n2,").unwrap();
    assert_eq!((trace.len(), trace.source.skipped_rows), (2, 1));
    assert!(said(&trace, "last line is cut off"));
    assert!(said(
        &read("time_s,current_A\n0,0.5\n1,0.25").unwrap(),
        "no line end"
    ));
}

#[test]
fn what_is_no_log_says_so() {
    for (bytes, kind) in [
        (b"".to_vec(), "empty"),
        (b"\n\n \n".to_vec(), "empty"),
        (b"\xef\xbb\xbf".to_vec(), "empty"),
        (b"time_s,current_A\n".to_vec(), "header-only"),
        (b"# only\n# comments\n".to_vec(), "header-only"),
        (
            b"; CSV generated\n; Samplerate: 10 Hz\nA DC\n".to_vec(),
            "header-only",
        ),
        (
            b"It was a dark night.\nNothing slept,\nnot even the radio.\n".to_vec(),
            "not-a-table",
        ),
        (b"\x7fELF\x02\x01\x01\0\0\0\0\0".to_vec(), "binary"),
        (b"PK\x03\x04\x14\0\0\0".to_vec(), "unsupported"),
        #[cfg(not(feature = "parquet"))]
        (b"PAR1\x15\0".to_vec(), "unsupported"),
        (
            b"time_s,voltage_V\n0,12.6\n1,12.5\n".to_vec(),
            "voltage-only",
        ),
        (b"time_s,remark\n0,a\n1,b\n".to_vec(), "no-current"),
        (b"time_s,current\n0,1\n1,2\n".to_vec(), "no-unit"),
        (
            b"time_s,current_A\n0,nan\n1,nan\n".to_vec(),
            "text-in-numbers",
        ),
    ] {
        let error = read(&bytes).unwrap_err();
        assert_eq!(
            error.kind(),
            kind,
            "{}: {error}",
            String::from_utf8_lossy(&bytes)
        );
        assert!(
            !error.message().is_empty()
                && !error.hint().is_empty()
                && !error.message().contains('\n')
        );
    }
}

/// Endless zeros, or one endless line, must fail after one block and not be kept.
#[test]
fn endless_input_fails_at_once() {
    assert_eq!(
        readers::read(std::io::repeat(0), &ReadOptions::default()).unwrap_err(),
        ReadError::Binary { line: 1 }
    );
    let kind = readers::read(std::io::repeat(b'7'), &ReadOptions::default())
        .unwrap_err()
        .kind();
    assert!(
        ["line-too-long", "no-time", "not-a-table"].contains(&kind),
        "{kind}"
    );
    let zeros_later = "time_s,current_A\n0,1\n1,2\n".as_bytes();
    let error = readers::read(
        std::io::Read::chain(zeros_later, std::io::repeat(0)),
        &ReadOptions::default(),
    )
    .unwrap_err();
    assert_eq!(error, ReadError::Binary { line: 4 });
}

#[test]
fn more_rows_than_allowed() {
    let few = ReadOptions {
        max_rows: Some(2),
        ..ReadOptions::default()
    };
    assert_eq!(
        readers::read("time_s,current_A\n0,1\n1,2\n2,3\n".as_bytes(), &few).unwrap_err(),
        ReadError::TooLong { max_rows: 2 }
    );
}

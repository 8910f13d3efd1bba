//! Recordings as bytes: nothing is lost, damage is noticed, size is bounded.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr
)] // helpers of tests

mod support;

use job::{Recording, RecordingError};
use proptest::prelude::*;
use support::any_trace;
use trace::{Source, TimeAxis, Trace};

#[test]
fn is_compact() {
    // A night at 1 Hz with a 1 mA step: about a byte a sample at most.
    let mut state = 1_u32;
    let mut counts = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(20 + (state >> 30)) * 0.001
    };
    let current_a: Vec<f64> = (0..36_000).map(|_| counts()).collect();
    let recording = Recording::new(Trace {
        axis: TimeAxis::Stamps((0..36_000).map(f64::from).collect()),
        current_a,
        voltage_v: None,
        source: Source::default(),
    });
    let bytes = recording.to_bytes();
    assert!(bytes.len() < 36_000, "{} bytes", bytes.len());
    assert_eq!(Recording::from_bytes(&bytes).unwrap(), recording);
}

#[test]
fn newer_versions_and_other_bytes_are_refused() {
    let mut bytes = support::recording(vec![0.1, 0.2]).to_bytes();
    bytes[8] = 9;
    assert_eq!(Recording::from_bytes(&bytes), Err(RecordingError::Newer(9)));
    assert_eq!(
        Recording::from_bytes(b"time;current"),
        Err(RecordingError::NotARecording)
    );
    assert_eq!(
        Recording::from_bytes(b""),
        Err(RecordingError::NotARecording)
    );
    assert_eq!(
        Recording::from_bytes(b"nightrec"),
        Err(RecordingError::Damaged)
    );
}

proptest! {
    #[test]
    fn reads_back_bit_for_bit(trace in any_trace()) {
        let recording = Recording::new(trace);
        let bytes = recording.to_bytes();
        let back = Recording::from_bytes(&bytes).unwrap();
        prop_assert_eq!(&back, &recording);
        let bits = |r: &Recording| r.trace.current_a.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
        prop_assert_eq!(bits(&back), bits(&recording));
        prop_assert_eq!(back.to_bytes(), bytes);
    }

    #[test]
    fn any_damage_is_an_error(trace in any_trace(), at in any::<prop::sample::Index>(), flip in 1_u8..) {
        let bytes = Recording::new(trace).to_bytes();
        let mut damaged = bytes.clone();
        let at = at.index(bytes.len());
        damaged[at] ^= flip;
        prop_assert!(Recording::from_bytes(&damaged).is_err());
        prop_assert!(Recording::from_bytes(&bytes[..at]).is_err());
    }

    #[test]
    fn even_with_a_right_checksum_nothing_panics(trace in any_trace(), at in any::<prop::sample::Index>(), flip in 1_u8..) {
        let mut bytes = Recording::new(trace).to_bytes();
        let end = bytes.len() - 8;
        let at = 9 + at.index(end - 9);
        bytes[at] ^= flip;
        let sum = bytes[..end].iter().fold(0xcbf2_9ce4_8422_2325_u64, |sum, &byte| {
            (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        bytes[end..].copy_from_slice(&sum.to_le_bytes());
        let _ = Recording::from_bytes(&bytes);
    }
}

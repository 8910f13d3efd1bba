//! Whatever a reader keeps in English is found again as a message.

use trace::Trace;
use trace::readers;

/// Says the same in the reader's language.
pub(crate) fn found_again(trace: &Trace) {
    let reasons = trace.source.skipped.iter().map(|row| &row.reason);
    for stored in trace.source.assumptions.iter().chain(reasons) {
        let message = readers::told(stored);
        assert!(message.id().is_some(), "not a message: {stored}");
        assert_eq!(message.english(), stored);
    }
}

//! The field names of the machine-readable output, in one place.

use trace::Analysis;

use crate::Assessment;

/// The document of `nightdraw assess --json`.
pub fn assessment(_assessment: &Assessment) -> serde_json::Value {
    unimplemented!()
}

/// The document of `nightdraw read --json`.
pub fn analysis(_analysis: &Analysis) -> serde_json::Value {
    unimplemented!()
}

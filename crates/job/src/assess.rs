//! From job to assessment.

use crate::{Assessment, Job};

/// Everything Nightdraw makes of one job: a pure function of the job.
pub fn assess(_job: &Job) -> Assessment {
    unimplemented!()
}

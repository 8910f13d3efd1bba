//! How the vehicle is driven, as a table of a job file.

use measure::range;
use tongue::say;

use super::fields::Fields;
use crate::{Job, Usage};

/// Reads `[usage]`: both numbers or none.
pub(super) fn read(fields: &mut Fields, job: &mut Job) {
    let trips = fields.number_within("trips_per_week", range::TRIPS, "10");
    let minutes = fields.number_within("minutes_per_trip", range::TRIP, "15");
    match (trips, minutes) {
        (Some(trips_per_week), Some(minutes_per_trip)) => {
            job.usage = Some(Usage {
                trips_per_week,
                minutes_per_trip,
            });
        }
        (None, None) => {}
        (Some(_), None) => fields.missing("minutes_per_trip", "the usage", say::fields::say_trip()),
        (None, Some(_)) => fields.missing("trips_per_week", "the usage", say::fields::say_trips()),
    }
}

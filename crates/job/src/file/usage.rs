//! How the vehicle is driven, as a table of a job file.

use measure::range::Range;

use super::fields::Fields;
use crate::{Job, Usage};

/// Trips in a week. Common practice: a delivery van makes a hundred stops a day.
const TRIPS: Range = Range {
    name: "number of trips",
    low: 0.0,
    high: 1000.0,
    unit: "a week",
};
/// Length of a trip: a day at most.
const TRIP: Range = Range {
    name: "length of a trip",
    low: 0.0,
    high: 1440.0,
    unit: "min",
};

/// Reads `[usage]`: both numbers or none.
pub(super) fn read(fields: &mut Fields, job: &mut Job) {
    let trips = fields.number_within("trips_per_week", TRIPS, "10");
    let minutes = fields.number_within("minutes_per_trip", TRIP, "15");
    match (trips, minutes) {
        (Some(trips_per_week), Some(minutes_per_trip)) => {
            job.usage = Some(Usage {
                trips_per_week,
                minutes_per_trip,
            });
        }
        (None, None) => {}
        (Some(_), None) => fields.missing(
            "minutes_per_trip",
            "the usage",
            "say how long a trip is, such as minutes_per_trip = 15",
        ),
        (None, Some(_)) => fields.missing(
            "trips_per_week",
            "the usage",
            "say how many trips a week, such as trips_per_week = 10",
        ),
    }
}

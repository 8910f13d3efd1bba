//! Names of quantities and limits in words.

use tongue::{Message, say};

/// The name of a quantity or a range, for people; as it is where we have no word for it.
pub fn name(name: &str) -> Message {
    match name {
        "current" => say::measure::name_current(),
        "voltage" => say::measure::name_voltage(),
        "charge" => say::measure::name_charge(),
        "time" => say::measure::name_time(),
        "temperature" => say::measure::name_temperature(),
        "resistance" => say::measure::name_resistance(),
        "share" => say::measure::name_share(),
        "capacity" => say::measure::name_capacity(),
        "cranking current" => say::measure::name_cranking_current(),
        "draw" => say::measure::name_draw(),
        "normal draw" => say::measure::name_normal_draw(),
        "draw while parked" => say::measure::name_draw_while_parked(),
        "limit" => say::measure::name_limit(),
        "voltage across the fuse" => say::measure::name_voltage_across_the_fuse(),
        "fuse rating" => say::measure::name_fuse_rating(),
        "number of cables" => say::measure::name_number_of_cables(),
        "shunt resistance" => say::measure::name_shunt_resistance(),
        "melting integral" => say::measure::name_melting_integral(),
        "probability" => say::measure::name_probability(),
        "accuracy" => say::measure::name_accuracy(),
        "resolution" => say::measure::name_resolution(),
        "age" => say::measure::name_age(),
        "reserve" => say::measure::name_reserve(),
        "health" => say::measure::name_health(),
        "charge used with the engine off" => say::measure::name_charge_used_with_the_engine_off(),
        "current left over while driving" => say::measure::name_current_left_over_while_driving(),
        "number of trips" => say::measure::name_number_of_trips(),
        "length of a trip" => say::measure::name_length_of_a_trip(),
        "internal resistance" => say::measure::name_internal_resistance(),
        "specific gravity" => say::measure::name_specific_gravity(),
        "voltage drop" => say::measure::name_voltage_drop(),
        "time under load" => say::measure::name_time_under_load(),
        "time of rest" => say::measure::name_time_of_rest(),
        "kind of instrument" => say::measure::name_kind_of_instrument(),
        "way to read a current" => say::measure::name_way_to_read(),
        other => Message::plain(other),
    }
}

/// The unit of a range; as it is where it is a sign.
pub fn unit(unit: &str) -> Message {
    match unit {
        "cables" => say::measure::unit_cables(),
        "(a fraction)" => say::measure::unit_a_fraction(),
        "digits" => say::measure::unit_digits(),
        "A or V" => say::measure::unit_a_or_v(),
        "years" => say::measure::unit_years(),
        "(1 is as new)" => say::measure::unit_1_is_as_new(),
        "Ah a week" => say::measure::unit_ah_a_week(),
        "a week" => say::measure::unit_a_week(),
        other => Message::plain(other),
    }
}

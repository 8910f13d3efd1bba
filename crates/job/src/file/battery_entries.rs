//! Entries of the less usual tests of battery and cables.

use measure::{
    quantity::{Ampere, Ohm, Volt},
    range::{self, Range},
};
use tongue::{figure, say};

use super::{
    entries::{hours, temperature},
    fields::Fields,
    words,
};
use crate::EntryKind;

/// Internal resistance of a 12 V battery. Common practice: 2 mΩ for a large one,
/// 50 mΩ for a small one that is worn out.
const INTERNAL: Range = Range {
    name: "internal resistance",
    low: 1e-4,
    high: 10.0,
    unit: "Ω",
};
/// Specific gravity of battery acid: water is 1, the strongest fill below 1.4.
const GRAVITY: Range = Range {
    name: "specific gravity",
    low: 1.0,
    high: 1.4,
    unit: "",
};
/// Voltage lost in a cable.
const CABLE_DROP: Range = Range {
    name: "voltage drop",
    low: -15.0,
    high: 15.0,
    unit: "V",
};

pub(super) fn stand_alone(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let before = fields.amount::<Volt>("before", range::VOLTAGE);
    if before.is_none() {
        fields.missing("before", place, say::fields::say_before_voltage());
    }
    let after = fields.amount::<Volt>("after", range::VOLTAGE);
    if after.is_none() {
        fields.missing("after", place, say::fields::say_after_voltage());
    }
    let stood = hours(fields, "stood");
    if stood.is_none() {
        fields.missing("stood", place, say::fields::say_stood());
    }
    let temperature_c = temperature(fields);
    Some(EntryKind::StandAlone {
        before_v: before?,
        after_v: after?,
        hours: stood?,
        temperature_c,
    })
}

pub(super) fn resistance(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let ohm = fields.amount::<Ohm>("value", INTERNAL);
    if ohm.is_none() {
        fields.missing("value", place, say::fields::say_resistance());
    }
    let temperature_c = temperature(fields);
    Some(EntryKind::Resistance {
        ohm: ohm?,
        temperature_c,
    })
}

pub(super) fn gravity(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let lowest = fields.number_within("lowest", GRAVITY, "1.235");
    if lowest.is_none() {
        fields.missing("lowest", place, say::fields::say_lowest());
    }
    let highest = fields.number_within("highest", GRAVITY, "1.255");
    if highest.is_none() {
        fields.missing("highest", place, say::fields::say_highest());
    }
    let temperature_c = temperature(fields);
    if let (Some(low), Some(high)) = (lowest, highest)
        && low > high
    {
        fields.fault(
            "lowest",
            say::fields::lowest_above(figure(high.to_string()), figure(low.to_string())),
            say::fields::swap(),
        );
        return None;
    }
    Some(EntryKind::Gravity {
        lowest: lowest?,
        highest: highest?,
        temperature_c,
    })
}

pub(super) fn drop(fields: &mut Fields, place: &str) -> Option<EntryKind> {
    let drop_v = fields.amount::<Volt>("value", CABLE_DROP);
    if drop_v.is_none() {
        fields.missing("value", place, say::fields::say_drop());
    }
    let at = fields.choice("place", words::DROPS);
    if at.is_none() {
        fields.missing("place", place, say::fields::say_drop_place());
    }
    let current_a = fields.amount::<Ampere>("current", range::CRANKING);
    Some(EntryKind::Drop {
        place: at?,
        drop_v: drop_v?,
        current_a,
    })
}

//! Numbers and times in words: those of the pictures, and the few that only
//! pages need.

use jiff::{Timestamp, tz::TimeZone};
use maud::{Markup, html};
use measure::{
    Uncertain,
    quantity::{Ampere, Ohm, significant},
};
use picture::words::Suspicion;
pub(crate) use picture::words::{
    cause, current as plain_current, current_interval as span, duration, hours, node_name, percent,
    percent_short, rough_current, stands,
};
use tongue::{Lang, Message, number, say};

/// A current with its standard uncertainty, as the pictures write it: `412 ± 4 mA`.
pub(crate) fn current(draw: Uncertain) -> String {
    picture::words::plus_minus::<Ampere>(draw)
}

/// A resistance with its standard uncertainty: `4.58 ± 0.21 mΩ`.
pub(crate) fn resistance(ohm: Uncertain) -> String {
    picture::words::plus_minus::<Ohm>(ohm)
}

/// Weeks in the unit a person would use.
pub(crate) fn weeks(weeks: f64) -> String {
    hours(weeks * 168.0)
}

/// Power of a panel, to two digits.
pub(crate) fn watts(watt: f64) -> String {
    number(&format!("{} W", significant(watt, 2)))
}

/// Minutes of a test.
pub(crate) fn minutes(minutes: f64) -> String {
    match minutes {
        // Small whole numbers.
        m if m < 0.9 => say::web::seconds((m * 12.0).round().max(1.0) as i64 * 5).to_string(),
        m if m < 90.0 => say::web::minutes(m.round().max(1.0) as i64).to_string(),
        m => hours(m / 60.0),
    }
}

/// A moment as a clock on the wall shows it.
pub(crate) fn moment(at: Timestamp) -> String {
    let format = match tongue::speaking() {
        Lang::En => "%-d %b %Y, %H:%M",
        Lang::De => "%d.%m.%Y, %H:%M",
    };
    at.to_zoned_datetime(TimeZone::system())
        .strftime(format)
        .to_string()
}

/// How suspect a node is: class for the shade, and the word that goes with it,
/// both those of the pictures.
pub(crate) fn suspicion(p_fault: f64) -> (&'static str, Message) {
    let suspicion = Suspicion::of(p_fault);
    let shade = match suspicion {
        Suspicion::Clear => "s0",
        Suspicion::Unlikely => "s1",
        Suspicion::Possible => "s2",
        Suspicion::Likely => "s3",
        Suspicion::AlmostCertain => "s4",
    };
    (shade, suspicion.word())
}

/// A quantity as it writes itself, in numbers of the language spoken: `4,12 A`.
pub(crate) fn written(quantity: impl std::fmt::Display) -> String {
    number(&quantity.to_string())
}

/// A number put into a field: with the decimal sign of the language spoken, and
/// nothing else that a field would not take.
pub(crate) fn filled_in(text: &str) -> String {
    match tongue::speaking() {
        Lang::En => text.to_owned(),
        Lang::De => text.replace('.', ","),
    }
}

/// Stands in a sentence for what [`within`] puts there; no text contains it (Unicode, private use).
const PLACE: &str = "\u{e000}";

/// A sentence with a link or an emphasis inside it, wherever the language has it.
pub(crate) fn within(sentence: impl FnOnce(&str) -> Message, inside: &Markup) -> Markup {
    let text = sentence(PLACE).to_string();
    let (before, after) = text.split_once(PLACE).unwrap_or((text.as_str(), ""));
    html! { (before) (inside) (after) }
}

/// The time of day of a moment, to the second.
pub(crate) fn time_of_day(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system())
        .strftime("%H:%M:%S")
        .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_said_as_people_do() {
        assert_eq!(minutes(1.0 / 3.0), "20 seconds");
        assert_eq!(minutes(1.0), "1 minute");
        assert_eq!(minutes(12.0), "12 minutes");
        assert_eq!(minutes(720.0), "12 hours");
        tongue::speak(Lang::De, || {
            assert_eq!(minutes(1.0), "1 Minute");
            assert_eq!(minutes(90.0), "1,5 Stunden");
            let at = "2026-03-02T12:05:00Z".parse().unwrap();
            assert!(moment(at).starts_with("02.03.2026, "), "{}", moment(at));
        });
    }

    #[test]
    fn a_link_stands_where_the_language_has_it() {
        let link = html! { b { "x" } };
        let said = within(|it| say::web::back_to(it), &link).into_string();
        assert_eq!(said, "Back to <b>x</b>");
    }
}

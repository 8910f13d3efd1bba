//! What was stored in English, found again as a message.
//!
//! Recordings keep in English what was taken for granted and why a row was left
//! out. Whoever shows it to a person needs the sentence behind it.

use std::sync::OnceLock;

use tongue::{Message, figure, say};

/// A sentence of up to three values.
type Form = fn([&str; 3]) -> Message;

/// Why a row was left out.
const SKIPPED: &[Form] = &[
    |[a, ..]| say::trace::skip_no_column(a),
    |[a, ..]| say::trace::skip_no_value(a),
    |[a, ..]| say::trace::skip_no_number(a),
    |[a, ..]| say::trace::skip_other_time(a),
    |[a, ..]| say::trace::skip_no_time(a),
    |[a, ..]| say::trace::skip_no_value_line(a),
    |[a, ..]| say::trace::skip_other_output(a),
    |[a, ..]| say::trace::skip_backwards(figure(a)),
];

/// What was taken for granted.
#[rustfmt::skip]
const TAKEN: &[Form] = &[
    |_| say::trace::taken_packed_gzip(),
    |_| say::trace::taken_packed_zstd(),
    |_| say::trace::taken_packed_cut(),
    |_| say::trace::taken_parquet_one_group(),
    |[a, ..]| say::trace::taken_parquet_groups(figure(a)),
    |[a, ..]| say::trace::taken_separated(part(a)),
    |[a, ..]| say::trace::taken_passed_over(figure(a)),
    |_| say::trace::taken_comma_decimal(),
    |_| say::trace::taken_decimal_comma(),
    |[a, ..]| say::trace::taken_thousands(a),
    |[a, ..]| say::trace::taken_day_first(a),
    |_| say::trace::taken_last_line_cut(),
    |_| say::trace::taken_last_line_open(),
    |_| say::trace::taken_last_sample_cut(),
    |_| say::trace::taken_midnight_once(),
    |[a, ..]| say::trace::taken_midnight_times(figure(a)),
    |[a, ..]| say::trace::taken_put_back(a),
    |[a, ..]| say::trace::taken_put_forward(a),
    |[a, b, ..]| say::trace::taken_rows_skipped(figure(b), figure(a)),
    |[a, ..]| say::trace::taken_long_gaps(figure(a)),
    |_| say::trace::taken_none_above_zero(),
    |[a, b, ..]| say::trace::taken_evenly_spaced(figure(a), figure(b)),
    |[a, ..]| say::trace::taken_shared_stamps(figure(a)),
    |[a, ..]| say::trace::taken_same_stamp(figure(a)),
    |_| say::trace::taken_arrival(),
    |[a, ..]| say::trace::taken_started_again(figure(a)),
    |[a, b, ..]| say::trace::taken_only_from_to(figure(a), figure(b)),
    |[a, ..]| say::trace::taken_volt_as_current(a),
    |[a, b, ..]| say::trace::taken_channel_volt(a, b),
    |[a, b, ..]| say::trace::taken_named_current(a, b),
    |[a, b, c]| say::trace::taken_unit_overruled(a, b, c),
    |[a, ..]| say::trace::taken_current_channel(a),
    |[a, b, ..]| say::trace::taken_current_column(a, b),
    |[a, ..]| say::trace::taken_raw_floats(figure(a)),
    |[a, b, ..]| say::trace::taken_wav(figure(a), figure(b)),
    |[a, ..]| say::trace::taken_no_numbers(figure(a)),
    |[a, ..]| say::trace::taken_analog_text(figure(a)),
    |[a, ..]| say::trace::taken_sample_rate(figure(a)),
    |[a, b, ..]| say::trace::taken_time_column(a, b),
    |[a, b, ..]| say::trace::taken_time_stamps(a, part(b)),
    |[a, b, ..]| say::trace::taken_time_two_columns(b, a),
    |[a, b, ..]| say::trace::taken_sample_number(a, figure(b)),
    |[a, ..]| say::trace::taken_rows_counted(figure(a)),
    |[a, ..]| say::trace::taken_only_rises(a),
    |[a, ..]| say::trace::taken_milliseconds_1970(a),
    |[a, ..]| say::trace::taken_seconds_1970(a),
    |[a, ..]| say::trace::taken_no_time_unit(a),
];

/// Hold the places of the values in the English of a form; control characters,
/// which no sentence has.
const HOLES: [&str; 3] = ["\u{1}", "\u{2}", "\u{3}"];

/// The message whose English is `stored`: one of a [`Source`](crate::Source)'s
/// assumptions, or the reason in a [`SkippedRow`](crate::SkippedRow). The words
/// as they are if there is none.
pub fn told(stored: &str) -> Message {
    static ENGLISH: OnceLock<Vec<(Form, Message)>> = OnceLock::new();
    let forms = ENGLISH.get_or_init(|| {
        let forms = SKIPPED.iter().chain(TAKEN);
        forms.map(|form| (*form, form(HOLES))).collect()
    });
    let found = forms
        .iter()
        .find_map(|(form, english)| Some(form(values(english, stored)?)));
    found.unwrap_or_else(|| Message::plain(stored))
}

/// What stands in `stored` where `form` has its holes. Names may hold words of
/// the sentence, so each of its pieces is looked for from the end.
fn values<'s>(form: &str, stored: &'s str) -> Option<[&'s str; 3]> {
    let mut values = [""; 3];
    let (mut form, mut rest) = (form, stored);
    while let Some((at, which)) = last_hole(form) {
        rest = rest.strip_suffix(&form[at + 1..])?;
        form = &form[..at];
        let before = last_hole(form).map_or(0, |(at, _)| at + 1);
        let piece = &form[before..];
        let from = if before == 0 {
            rest.starts_with(piece).then_some(piece.len())?
        } else {
            rest.rfind(piece)? + piece.len()
        };
        values[which] = &rest[from..];
        rest = &rest[..from];
    }
    (form == rest).then_some(values)
}

/// Where the last hole is, and whose.
fn last_hole(form: &str) -> Option<(usize, usize)> {
    let holes = HOLES.iter().enumerate();
    holes
        .filter_map(|(which, hole)| Some((form.rfind(hole)?, which)))
        .max()
}

/// The words for how columns are separated or times are written.
fn part(stored: &str) -> Message {
    let parts = [
        say::trace::by_commas(),
        say::trace::by_semicolons(),
        say::trace::by_tabs(),
        say::trace::by_blanks(),
        say::trace::by_nothing(),
        say::trace::how_zoned(),
        say::trace::how_local(),
        say::trace::how_time_of_day(),
    ];
    let found = parts.into_iter().find(|part| *part == stored);
    found.unwrap_or_else(|| Message::plain(stored))
}

#[cfg(test)]
mod tests {
    use tongue::{Lang, speak};

    use super::*;

    #[test]
    fn what_is_stored_is_found_again() {
        for (en, de) in [
            ("there is no column 3", "es gibt keine Spalte 3"),
            ("there is no value (`nan`)", "es gibt keinen Wert (`nan`)"),
            ("`x.5` is not a number", "`x.5` ist keine Zahl"),
            ("`x` is not a time", "`x` ist keine Zeit"),
            (
                "`22:10` is a time of another form than in the rows before",
                "`22:10` ist eine Zeit in anderer Form als in den Zeilen davor",
            ),
            (
                "`a` is not a value with channel and unit",
                "`a` ist kein Wert mit Kanal und Einheit",
            ),
            (
                "`a: b` is a line of another output",
                "`a: b` ist eine Zeile einer anderen Ausgabe",
            ),
            (
                "the last line is cut off and was left out",
                "die letzte Zeile ist abgeschnitten und wurde ausgelassen",
            ),
            (
                "columns are separated by nothing (one column)",
                "die Spalten sind getrennt durch nichts (eine Spalte)",
            ),
            (
                "current was taken from column draw in A in mA",
                "der Strom wurde aus Spalte draw in A in mA genommen",
            ),
            (
                "3 of 12345 rows were skipped",
                "3 von 12345 Zeilen wurden übersprungen",
            ),
            (
                "column I says A, but mA was asked for and taken",
                "Spalte I sagt A, aber mA war verlangt und wurde genommen",
            ),
            (
                "rows were counted, one each 0.5 s, as asked; stamps in the file were not used",
                "die Zeilen wurden wie verlangt gezählt, eine alle 0,5 s; Zeitstempel in der Datei wurden nicht verwendet",
            ),
            ("something else", "something else"),
            ("", ""),
        ] {
            let found = told(en);
            assert_eq!(found.english(), en);
            assert_eq!(speak(Lang::De, || found.to_string()), de);
        }
    }
}

//! What comment lines before a table say.

use super::clock;

/// Comments before the first row.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Preamble {
    /// How many comment lines.
    pub(super) comments: u64,
    /// The last of them, without its mark.
    pub(super) last: Option<String>,
    /// `Samplerate: 10 Hz`, as the CSV output of sigrok's tools has it.
    pub(super) rate_hz: Option<f64>,
    /// Start of the recording, where a line ends `on Wed Nov 25 12:46:26 2026`.
    pub(super) start: Option<i64>,
}

impl Preamble {
    /// Takes one comment line in.
    pub(super) fn take(&mut self, line: &[u8]) {
        self.comments += 1;
        let text = String::from_utf8_lossy(line);
        let text = text
            .trim_start_matches(['#', ';', '%', '/', ' ', '\t'])
            .trim();
        if let Some(rate) = text.strip_prefix("Samplerate:") {
            self.rate_hz = frequency(rate);
        } else if text.starts_with("from ")
            && let Some((_, date)) = text.rsplit_once(" on ")
        {
            self.start = ctime(date);
        }
        self.last = Some(text.to_owned());
    }
}

/// `44.1 kHz` in hertz.
fn frequency(text: &str) -> Option<f64> {
    let (number, unit) = text.trim().split_once(' ')?;
    let factor = match unit.trim() {
        "Hz" => 1.0,
        "kHz" => 1e3,
        "MHz" => 1e6,
        "GHz" => 1e9,
        "mHz" => 1e-3,
        _ => return None,
    };
    number
        .parse::<f64>()
        .ok()
        .map(|n| n * factor)
        .filter(|hz| hz.is_finite() && *hz > 0.0)
}

/// `Wed Nov 25 12:46:26 2026`, as C's `ctime` writes it, as seconds since 1970.
fn ctime(text: &str) -> Option<i64> {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let words: Vec<&str> = text.split_whitespace().collect();
    let [_, month, day, time, year] = words.as_slice() else {
        return None;
    };
    let month = MONTHS.iter().position(|m| m == month)? as i64 + 1;
    let stamp = clock::parse(time.as_bytes(), clock::DateOrder::DayFirst)?;
    let day = clock::days_from_civil(year.parse().ok()?, month, day.parse().ok()?)?;
    Some(day * 86_400 + stamp.seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rate_and_start() {
        let mut p = Preamble::default();
        p.take(b"; from Demo driver on Wed Nov 25 12:46:26 2026");
        p.take(b"; Samplerate: 44.1 kHz");
        assert_eq!(p.rate_hz, Some(44_100.0));
        assert_eq!(
            clock::iso(p.start.unwrap(), 0.0, true, None),
            "2026-11-25T12:46:26"
        );
        p.take(b"; Samplerate: -1 Hz");
        assert_eq!(p.rate_hz, None);
    }
}

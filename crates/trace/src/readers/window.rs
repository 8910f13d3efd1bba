//! A part of a trace, from one time to another.

use measure::quantity::Second;
use tongue::{figure, say};

use crate::model::{Gap, TimeAxis, Trace};

use super::ReadError;
use super::clock::{self, DateOrder, Stamp};

const DAY_S: f64 = 86_400.0;

/// One end of a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// Seconds from the first sample.
    Offset(f64),
    /// A time of day, in seconds; the first one in the trace (for the end: the first after the start).
    TimeOfDay(f64),
    /// Seconds since 1970, local as the file is, or UTC with `true`.
    Instant(f64, bool),
}

impl Edge {
    /// Reads `22:10..22:12`: two edges with two points between.
    ///
    /// # Errors
    /// [`ReadError::BadOption`] naming `option`.
    pub fn parse_span(option: &'static str, text: &str) -> Result<(Self, Self), ReadError> {
        let (from, to) = Self::parts(option, text)?;
        Ok((Self::parse(option, from)?, Self::parse(option, to)?))
    }

    fn parts<'a>(option: &'static str, text: &'a str) -> Result<(&'a str, &'a str), ReadError> {
        text.split_once("..").ok_or_else(|| ReadError::BadOption {
            option,
            reason: say::trace::option_span(text),
        })
    }

    /// Reads `22:10`, `22:10:05.5`, `2026-11-25T22:10`, `90min`, `3600s` or `1.5h`.
    ///
    /// # Errors
    /// [`ReadError::BadOption`] naming `option` for anything else, bare numbers included.
    pub fn parse(option: &'static str, text: &str) -> Result<Self, ReadError> {
        if let Some(stamp) = clock::parse(text.as_bytes(), DateOrder::DayFirst) {
            let seconds = stamp.since(0);
            return Ok(if stamp.day.is_some() {
                Self::Instant(seconds, stamp.zone.is_some())
            } else {
                Self::TimeOfDay(seconds)
            });
        }
        let text = text.trim();
        let split = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
        let number = text[..split]
            .trim()
            .parse::<f64>()
            .ok()
            .filter(|n| n.is_finite() && *n >= 0.0);
        let factor = match text[split..].trim() {
            "ms" => Some(1e-3),
            "s" => Some(1.0),
            "min" => Some(60.0),
            "h" => Some(3600.0),
            "d" => Some(DAY_S),
            _ => None,
        };
        number
            .zip(factor)
            .map(|(n, f)| Self::Offset(n * f))
            .ok_or_else(|| ReadError::BadOption {
                option,
                reason: say::trace::option_time(text),
            })
    }
}

impl Trace {
    /// The samples from `from` to `to`, written as [`Edge::parse`] reads them.
    ///
    /// # Errors
    /// [`ReadError::BadOption`] for an end that cannot be read, else as [`Trace::between`].
    pub fn window(&self, from: Option<&str>, to: Option<&str>) -> Result<Self, ReadError> {
        let from = from.map(|text| Edge::parse("from", text)).transpose()?;
        let to = to.map(|text| Edge::parse("to", text)).transpose()?;
        self.between(from, to)
    }

    /// The samples from `from` to `to`, both included; time counts from the first of them.
    ///
    /// # Errors
    /// [`ReadError::EmptyWindow`] if nothing is left, or if a time of day is
    /// asked for in a trace whose start is not known.
    pub fn between(&self, from: Option<Edge>, to: Option<Edge>) -> Result<Self, ReadError> {
        let start = self
            .source
            .start
            .as_deref()
            .and_then(|s| clock::parse(s.as_bytes(), DateOrder::DayFirst));
        let from_s = from.map_or(Ok(0.0), |edge| offset(edge, start, 0.0))?;
        let to_s = to.map_or(Ok(f64::INFINITY), |edge| offset(edge, start, from_s))?;
        let first = self.first_from(from_s, false);
        let end = self.first_from(to_s, true);
        if first >= end {
            let last = self.len().checked_sub(1).map_or(0.0, |i| self.time_s(i));
            let reason = if to_s.is_finite() {
                say::trace::window_empty(
                    figure(from_s.to_string()),
                    figure(last.to_string()),
                    figure(to_s.to_string()),
                )
            } else {
                say::trace::window_beyond(Second(from_s), Second(last))
            };
            return Err(ReadError::EmptyWindow { reason });
        }
        Ok(self.cut(first, end, start))
    }

    /// The moment that `text` names as [`Edge::parse`] reads it, in seconds from the first sample; a time of day is the
    /// first one at or after `after_s`. It may lie outside the trace.
    ///
    /// # Errors
    /// As [`Trace::window`], with `option` named.
    pub fn moment(&self, option: &'static str, text: &str, after_s: f64) -> Result<f64, ReadError> {
        let start = self
            .source
            .start
            .as_deref()
            .and_then(|s| clock::parse(s.as_bytes(), DateOrder::DayFirst));
        offset(Edge::parse(option, text)?, start, after_s)
    }

    /// The times between two moments that `text` names as `FROM..TO`, each as in [`Trace::moment`]; TO is the first such time after FROM.
    ///
    /// # Errors
    /// As [`Trace::window`], with `option` named.
    pub fn span(&self, option: &'static str, text: &str) -> Result<(f64, f64), ReadError> {
        let (from, to) = Edge::parts(option, text)?;
        let from_s = self.moment(option, from, 0.0)?;
        Ok((from_s, self.moment(option, to, from_s)?))
    }

    /// First sample at `time_s` or later (or later only).
    pub(crate) fn first_from(&self, time_s: f64, beyond: bool) -> usize {
        // Half a rounding error at the edge belongs inside.
        let slack = 1e-9 * time_s.abs().min(1e15);
        let before = |t: f64| {
            if beyond {
                t <= time_s + slack
            } else {
                t < time_s - slack
            }
        };
        match &self.axis {
            TimeAxis::Stamps(stamps) => stamps.partition_point(|t| before(*t)),
            TimeAxis::Regular { .. } => {
                let (mut low, mut high) = (0, self.len());
                while low < high {
                    let middle = low + (high - low) / 2;
                    if before(self.time_s(middle)) {
                        low = middle + 1
                    } else {
                        high = middle
                    }
                }
                low
            }
        }
    }

    fn cut(&self, first: usize, end: usize, start: Option<Stamp>) -> Self {
        let shift = self.time_s(first);
        let last = self.time_s(end - 1);
        let mut source = self.source.clone();
        source.rows = (end - first) as u64;
        source.gaps = source
            .gaps
            .iter()
            .filter(|g| g.start_s >= shift && g.end_s <= last)
            .map(|g| Gap {
                start_s: g.start_s - shift,
                end_s: g.end_s - shift,
            })
            .collect();
        if let Some(stamp) = start {
            let at = stamp.fraction + shift;
            let whole = stamp.whole() + at.floor() as i64;
            source.start = Some(clock::iso(
                whole,
                at - at.floor(),
                stamp.day.is_some(),
                stamp.zone,
            ));
        }
        if (first, end) != (0, self.len()) {
            source.assumptions.push(format!(
                "only the samples from {shift} s to {last} s after the start of the log were used"
            ));
        }
        Self {
            axis: match &self.axis {
                TimeAxis::Regular { interval_s } => TimeAxis::Regular {
                    interval_s: *interval_s,
                },
                TimeAxis::Stamps(stamps) => {
                    TimeAxis::Stamps(stamps[first..end].iter().map(|t| t - shift).collect())
                }
            },
            current_a: self.current_a[first..end].to_vec(),
            voltage_v: self.voltage_v.as_ref().map(|v| v[first..end].to_vec()),
            source,
        }
    }
}

/// Seconds from the first sample; times of day are looked for from `after_s` on.
fn offset(edge: Edge, start: Option<Stamp>, after_s: f64) -> Result<f64, ReadError> {
    let unknown = || ReadError::EmptyWindow {
        reason: say::trace::window_no_time_of_day(),
    };
    match edge {
        Edge::Offset(s) => Ok(s),
        Edge::TimeOfDay(of_day) => {
            let start = start.ok_or_else(unknown)?;
            let begins = start.since(0) + start.zone.unwrap_or(0) as f64;
            let wait = (of_day - (begins + after_s)).rem_euclid(DAY_S);
            Ok(after_s + wait)
        }
        Edge::Instant(s, utc) => {
            let start =
                start
                    .filter(|s| s.day.is_some())
                    .ok_or_else(|| ReadError::EmptyWindow {
                        reason: say::trace::window_no_date(),
                    })?;
            let local = if utc { 0 } else { start.zone.unwrap_or(0) };
            // A window may begin before the log does.
            Ok(
                (s - (start.since(0) + local as f64)).max(if s < start.since(0) + local as f64 {
                    -1.0
                } else {
                    0.0
                }),
            )
        }
    }
}

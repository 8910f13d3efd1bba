//! Colours: one table, by day and by night, from which the style sheet is made.
//!
//! The suspicion shades run steadily from pale to dark (by night from dim to
//! bright), so that they still order themselves on a grey printer.

/// A role that a colour plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Texts.
    Ink,
    /// Lesser texts.
    Soft,
    /// The ground.
    Paper,
    /// A raised ground.
    Panel,
    /// Outlines.
    Edge,
    /// Grid lines.
    Faint,
    /// Levels, and the middle of a forecast.
    Level,
    /// What may come.
    Band,
    /// What was recorded.
    Core,
    /// Limits.
    Limit,
    /// Hours of night.
    Night,
    /// Awake.
    Awake,
    /// Shutting down.
    Settling,
    /// Asleep.
    Asleep,
    /// A wake-up.
    WakeUp,
    /// Suspicion below 2 %.
    Clear,
    /// Suspicion of 2 % to 10 %.
    Unlikely,
    /// Suspicion of 10 % to 50 %.
    Possible,
    /// Suspicion of 50 % to 90 %.
    Likely,
    /// Suspicion of 90 % and more.
    Certain,
}

/// Name, by day, by night.
type Row = (Tone, &'static str, &'static str, &'static str);

const TABLE: [Row; 20] = [
    (Tone::Ink, "ink", "#16202a", "#edf2f5"),
    (Tone::Soft, "soft", "#43505b", "#bac6cf"),
    (Tone::Paper, "paper", "#ffffff", "#10171d"),
    (Tone::Panel, "panel", "#eef2f4", "#1b262f"),
    (Tone::Edge, "edge", "#66737d", "#8696a2"),
    (Tone::Faint, "faint", "#cdd5da", "#303d47"),
    (Tone::Level, "level", "#0f4f7d", "#8fd0ff"),
    (Tone::Band, "band", "#bcd6e4", "#27495f"),
    (Tone::Core, "core", "#6d9cb8", "#4b86a8"),
    (Tone::Limit, "limit", "#8a1c14", "#ffab9c"),
    (Tone::Night, "night", "#e4e7f0", "#080c12"),
    (Tone::Awake, "awake", "#f2dcae", "#4b3a16"),
    (Tone::Settling, "settling", "#e9e4d4", "#343021"),
    (Tone::Asleep, "asleep", "#e3edf3", "#15283a"),
    (Tone::WakeUp, "wake", "#f0c9b2", "#5a2f1b"),
    (Tone::Clear, "s0", "#d3dce1", "#36444e"),
    (Tone::Unlikely, "s1", "#bcc8b4", "#4d5f4f"),
    (Tone::Possible, "s2", "#dfa93f", "#a27a24"),
    (Tone::Likely, "s3", "#c4602a", "#e8853f"),
    (Tone::Certain, "s4", "#861a16", "#ffb3a2"),
];

impl Tone {
    fn row(self) -> &'static Row {
        // The table lists every tone in the order of the enum; a test holds this.
        &TABLE[self as usize]
    }

    pub(crate) fn name(self) -> &'static str {
        self.row().1
    }

    pub(crate) fn day(self) -> &'static str {
        self.row().2
    }

    /// Red, green and blue by day.
    pub fn day_rgb(self) -> [u8; 3] {
        let hex = u32::from_str_radix(self.day().trim_start_matches('#'), 16).unwrap_or(0);
        let [_, r, g, b] = hex.to_be_bytes();
        [r, g, b]
    }

    pub(crate) fn of(suspicion: crate::words::Suspicion) -> Self {
        use crate::words::Suspicion;
        match suspicion {
            Suspicion::Clear => Self::Clear,
            Suspicion::Unlikely => Self::Unlikely,
            Suspicion::Possible => Self::Possible,
            Suspicion::Likely => Self::Likely,
            Suspicion::AlmostCertain => Self::Certain,
        }
    }
}

/// Rules that a page includes once, so that its pictures follow its theme.
/// They read the custom properties of [`day_theme`] and [`night_theme`].
pub fn style_sheet() -> String {
    let mut css = String::from(
        ".nd-pic{max-width:100%;height:auto;display:block}\
         .nd-pic text{font-variant-numeric:tabular-nums}\
         .nd-pic a{cursor:pointer}\
         .nd-pic a:hover .nd-hit{stroke:var(--nd-edge,#66737d)}\
         .nd-pic a:focus{outline:none}\
         .nd-pic a:focus-visible .nd-hit{stroke:var(--nd-ink,#16202a);stroke-width:3}\n",
    );
    for (_, name, day, _) in TABLE {
        css.push_str(&format!(
            ".nd-f-{name}{{fill:var(--nd-{name},{day})}}.nd-k-{name}{{stroke:var(--nd-{name},{day})}}\n"
        ));
    }
    css
}

/// Custom properties of the sunlight theme: `--nd-ink:#16202a;…`.
pub fn day_theme() -> String {
    TABLE
        .iter()
        .map(|(_, name, day, _)| format!("--nd-{name}:{day};"))
        .collect()
}

/// Custom properties of the night theme.
pub fn night_theme() -> String {
    TABLE
        .iter()
        .map(|(_, name, _, night)| format!("--nd-{name}:{night};"))
        .collect()
}

/// Relative luminance of `#rrggbb`, 0 to 1 (W3C, Web Content Accessibility Guidelines 2.2, 2023, definition "relative
/// luminance"); `None` for anything else.
pub fn luminance(hex: &str) -> Option<f64> {
    let digits = hex.strip_prefix('#')?;
    if digits.len() != 6 || !digits.bytes().all(|c| c.is_ascii_hexdigit()) {
        return None;
    }
    let colour = u32::from_str_radix(digits, 16).ok()?;
    let part = |shift: u32| {
        let c = f64::from(colour >> shift & 0xff) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    Some(0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0))
}

/// Contrast of two colours `#rrggbb`, 1 to 21 (as [`luminance`], definition "contrast ratio").
pub fn contrast(a: &str, b: &str) -> Option<f64> {
    let (a, b) = (luminance(a)? + 0.05, luminance(b)? + 0.05);
    Some(a.max(b) / a.min(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contrast(a: &str, b: &str) -> f64 {
        super::contrast(a, b).unwrap()
    }

    fn luminance(hex: &str) -> f64 {
        super::luminance(hex).unwrap()
    }

    #[test]
    fn the_measure_itself_is_right() {
        // WCAG 2.2: black on white is 21:1; #777777 on white 4.48 (from memory).
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.01);
        for none in ["", "#fff", "777777", "#77777g", "#+77777"] {
            assert!(super::luminance(none).is_none(), "{none}");
        }
    }

    #[test]
    fn table_is_in_the_order_of_the_tones() {
        for (at, row) in TABLE.iter().enumerate() {
            assert_eq!(row.0 as usize, at, "{}", row.1);
        }
    }

    #[test]
    fn text_reads_in_both_themes() {
        for pick in [|r: &Row| r.2, |r: &Row| r.3] {
            let get = |t: Tone| pick(t.row());
            for ground in [
                Tone::Paper,
                Tone::Panel,
                Tone::Night,
                Tone::Awake,
                Tone::Settling,
                Tone::Asleep,
                Tone::WakeUp,
            ] {
                let ratio = contrast(get(Tone::Ink), get(ground));
                assert!(ratio >= 7.0, "ink on {} {ratio:.2}", ground.name());
            }
            // WCAG 2.2, 1.4.6 for text, 1.4.11 for lines that carry meaning.
            assert!(contrast(get(Tone::Soft), get(Tone::Paper)) >= 7.0);
            assert!(contrast(get(Tone::Soft), get(Tone::Panel)) >= 7.0);
            for line in [Tone::Edge, Tone::Level, Tone::Limit] {
                for ground in [
                    Tone::Paper,
                    Tone::Panel,
                    Tone::Asleep,
                    Tone::Night,
                    Tone::Settling,
                ] {
                    let ratio = contrast(get(line), get(ground));
                    assert!(
                        ratio >= 3.0,
                        "{} on {} {ratio:.2}",
                        line.name(),
                        ground.name()
                    );
                }
            }
        }
    }

    #[test]
    fn suspicion_shades_keep_their_order_in_grey() {
        let steps = [
            Tone::Clear,
            Tone::Unlikely,
            Tone::Possible,
            Tone::Likely,
            Tone::Certain,
        ];
        let day: Vec<f64> = steps.iter().map(|t| luminance(t.row().2)).collect();
        let night: Vec<f64> = steps.iter().map(|t| luminance(t.row().3)).collect();
        assert!(day.windows(2).all(|w| w[0] > w[1] * 1.15), "{day:?}");
        assert!(night.windows(2).all(|w| w[1] > w[0] * 1.15), "{night:?}");
    }
}

//! Colours: one table for both themes, from which the style sheet and the
//! contrast test are made.

use std::fmt::Write as _;

use axum::{
    extract::Request,
    http::{HeaderMap, header},
    middleware::Next,
    response::Response,
};

/// What the person chose with the switch in the page's head.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Look {
    /// Whatever the device prefers.
    #[default]
    Device,
    /// For bright light.
    Sun,
    /// For the dark.
    Night,
}

tokio::task_local! {
    /// The look of the request being answered.
    static ASKED: Look;
}

/// Remembers the look while a request is answered, for pages that are made of
/// an error and see no request.
pub(crate) async fn remember(request: Request, next: Next) -> Response {
    let look = Look::from_headers(request.headers());
    ASKED.scope(look, next.run(request)).await
}

impl Look {
    /// The look of the request being answered; the device's own outside of one.
    pub(crate) fn asked() -> Self {
        ASKED.try_with(|look| *look).unwrap_or_default()
    }

    /// Name of the cookie that keeps the choice.
    pub(crate) const COOKIE: &str = "look";

    /// All choices, in the order of their buttons.
    pub(crate) const ALL: [Self; 3] = [Self::Sun, Self::Night, Self::Device];

    /// The word in cookie, form and markup.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Sun => "sun",
            Self::Night => "night",
        }
    }

    /// The choice called `word`; the device's own for anything else.
    pub(crate) fn from_word(word: &str) -> Self {
        match word {
            "sun" => Self::Sun,
            "night" => Self::Night,
            _ => Self::Device,
        }
    }

    /// The choice kept in the request's cookie.
    pub(crate) fn from_headers(headers: &HeaderMap) -> Self {
        cookie(headers, Self::COOKIE).map_or(Self::Device, Self::from_word)
    }
}

/// The value of the cookie called `name`.
pub(crate) fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value)
}

/// One role, its colour in the sun and at night.
type Colour = (&'static str, &'static str, &'static str);

// Chosen by us: near-black on white outdoors, warm and dim at night so that
// eyes stay adapted. Suspicion and
// states have the pictures' own colours.
const COLOURS: &[Colour] = &[
    ("ground", "#ffffff", "#17111c"),
    ("panel", "#f4f0f7", "#231a2b"),
    ("ink", "#17101d", "#f4ebdd"),
    ("soft", "#453a4e", "#cfc3cf"),
    ("line", "#7b6d86", "#8f7f9c"),
    ("act", "#3b1a5a", "#f3b95f"),
    ("act-ink", "#ffffff", "#1d1206"),
    ("link", "#43206a", "#f6c67e"),
    ("focus", "#b04a00", "#ffd98f"),
    ("alarm", "#fde6df", "#4a1710"),
    ("alarm-ink", "#6d1407", "#ffd9d0"),
    ("calm", "#e2f1ea", "#0f3529"),
    ("calm-ink", "#0b4029", "#cdf0df"),
    ("care", "#fff0c9", "#43310a"),
    ("care-ink", "#4a3200", "#ffe6ae"),
];

/// The style sheet's variables, both themes.
pub(crate) fn variables() -> String {
    let sun = format!(
        "{}{}",
        declarations(|colour| colour.1),
        picture::day_theme()
    );
    let night = format!(
        "{}{}",
        declarations(|colour| colour.2),
        picture::night_theme()
    );
    let mut css = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        css,
        ":root{{color-scheme:light;{sun}}}\n\
         @media (prefers-color-scheme:dark){{:root[data-look=device]{{color-scheme:dark;{night}}}}}\n\
         :root[data-look=night]{{color-scheme:dark;{night}}}\n\
         @media print{{:root,:root[data-look]{{color-scheme:light;{sun}}}}}\n"
    );
    css
}

fn declarations(pick: impl Fn(&Colour) -> &'static str) -> String {
    COLOURS
        .iter()
        .map(|colour| format!("--{}:{};", colour.0, pick(colour)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(pairs: &[(&str, &str)], least: f64) {
        let find = |name: &str| COLOURS.iter().find(|c| c.0 == name).unwrap();
        for (front, back) in pairs {
            let (front, back) = (find(front), find(back));
            for (theme, a, b) in [("sun", front.1, back.1), ("night", front.2, back.2)] {
                let ratio = picture::contrast(a, b).unwrap();
                assert!(
                    ratio >= least,
                    "{theme}: {} on {} is {ratio:.2}, needs {least}",
                    front.0,
                    back.0
                );
            }
        }
    }

    #[test]
    fn text_has_seven_to_one() {
        check(
            &[
                ("ink", "ground"),
                ("ink", "panel"),
                ("soft", "ground"),
                ("soft", "panel"),
                ("link", "ground"),
                ("link", "panel"),
                ("act-ink", "act"),
                ("alarm-ink", "alarm"),
                ("calm-ink", "calm"),
                ("care-ink", "care"),
                ("ink", "care"),
                ("ink", "alarm"),
                ("ink", "calm"),
            ],
            7.0,
        );
    }

    #[test]
    fn lines_and_shapes_have_three_to_one() {
        check(
            &[
                ("line", "ground"),
                ("line", "panel"),
                ("focus", "ground"),
                ("focus", "panel"),
                ("act", "ground"),
                ("act", "panel"),
            ],
            3.0,
        );
    }

    #[test]
    fn the_cookie_is_found_among_others() {
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, "a=1; look=night; b=2".parse().unwrap());
        assert_eq!(Look::from_headers(&headers), Look::Night);
        assert_eq!(Look::from_headers(&HeaderMap::new()), Look::Device);
    }
}

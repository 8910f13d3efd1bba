//! The language of a request: the one chosen on the page, else what the browser asks for.

use axum::{
    extract::Request,
    http::{HeaderMap, header},
    middleware::Next,
    response::Response,
};
use tongue::Lang;

use crate::theme::cookie;

/// Name of the cookie that keeps the choice.
pub(crate) const COOKIE: &str = "language";

/// Speaks the language of the request while it is answered.
pub(crate) async fn speak(request: Request, next: Next) -> Response {
    let lang = of(request.headers());
    tongue::spoken(lang, next.run(request)).await
}

fn of(headers: &HeaderMap) -> Lang {
    let accepted = || {
        headers
            .get(header::ACCEPT_LANGUAGE)
            .and_then(|value| value.to_str().ok())
            .map_or_else(Lang::default, Lang::from_accept)
    };
    cookie(headers, COOKIE)
        .and_then(Lang::from_tag)
        .unwrap_or_else(accepted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_choice_comes_before_the_browser() {
        let mut headers = HeaderMap::new();
        assert_eq!(of(&headers), Lang::En);
        headers.insert(header::ACCEPT_LANGUAGE, "de-CH, en;q=0.5".parse().unwrap());
        assert_eq!(of(&headers), Lang::De);
        headers.insert(header::COOKIE, "look=sun; language=en".parse().unwrap());
        assert_eq!(of(&headers), Lang::En);
        headers.insert(header::COOKIE, "language=xx".parse().unwrap());
        assert_eq!(of(&headers), Lang::De);
    }
}

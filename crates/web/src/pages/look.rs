//! The switches between sunlight and night, and between languages, kept in cookies.

use axum::{
    http::header,
    response::{IntoResponse, Redirect, Response},
};

use tongue::Lang;

use crate::{form::Typed, language, theme::Look};

/// Keeps the choice for a year and goes back to where the person was.
pub(crate) async fn choose(typed: Typed) -> Response {
    let look = Look::from_word(typed.get("look"));
    keep(Look::COOKIE, look.word(), &typed)
}

/// The same for the language.
pub(crate) async fn language(typed: Typed) -> Response {
    let lang = Lang::from_tag(typed.get("language")).unwrap_or_default();
    keep(language::COOKIE, lang.tag(), &typed)
}

fn keep(name: &str, value: &str, typed: &Typed) -> Response {
    let cookie = format!("{name}={value}; Path=/; Max-Age=31536000; SameSite=Strict; HttpOnly");
    (
        [(header::SET_COOKIE, cookie)],
        Redirect::to(own_address(typed.get("back"))),
    )
        .into_response()
}

/// The address when it is one of ours, else the front page: `//elsewhere`,
/// `/\elsewhere` and whole addresses would lead away.
fn own_address(back: &str) -> &str {
    let plain = back
        .bytes()
        .all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && back.starts_with('/') && !back.starts_with("//") {
        back
    } else {
        "/"
    }
}

#[cfg(test)]
mod tests {
    use super::own_address;

    #[test]
    fn only_own_addresses() {
        assert_eq!(own_address("/jobs/1"), "/jobs/1");
        for away in [
            "//evil.example",
            "/\\evil.example",
            "http://evil.example",
            "",
            "/a\r\nSet-Cookie: x",
        ] {
            assert_eq!(own_address(away), "/", "{away}");
        }
    }
}

//! The pages through the router, without a socket; answers are parsed as HTML.
//!
//! `sample` pages use the kit's invented assessment, so that what is shown is
//! known; `real` ones use the real one.

mod advice;
mod german;
mod german_files;
mod guard;
mod html;
mod intake;
mod kinds;
mod logs;
mod pages;
mod practice;
mod scope;
mod sending;
mod van;

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{HeaderMap, Request, StatusCode, header},
};
use job::{Assessment, History, Job};
use scraper::{ElementRef, Html, Selector};
use tongue::Lang;
use tower::ServiceExt;

use crate::{access::Access, app, parts::readings::Returned, shelf::Shelf, state::AppState};

/// A bench in memory.
struct Bench {
    state: AppState,
    app: Router,
    lang: Lang,
}

/// What came back.
struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    text: String,
}

impl Bench {
    fn real() -> Self {
        Self::with(job::assess_with, Access::this_machine(None))
    }

    fn sample() -> Self {
        Self::with(sample_assess, Access::this_machine(None))
    }

    fn with(assess: fn(&Job, &History) -> Assessment, access: Access) -> Self {
        let state = AppState::build(
            Shelf::new(store::Store::in_memory().unwrap()),
            access,
            assess,
        );
        Self {
            app: app(state.clone()),
            state,
            lang: Lang::En,
        }
    }

    /// The same, asked by a browser that has this language chosen.
    fn speaking(mut self, lang: Lang) -> Self {
        self.lang = lang;
        self
    }

    /// With the kit's job on it, number 1.
    fn with_kit_job() -> Self {
        let bench = Self::sample();
        assert_eq!(
            bench
                .state
                .create(&crate::pages::sample_job(), "kit")
                .unwrap(),
            1
        );
        bench
    }

    async fn send(&self, mut request: Request<Body>) -> Answer {
        if self.lang != Lang::En {
            let cookie = format!("language={}", self.lang.tag());
            request
                .headers_mut()
                .append(header::COOKIE, cookie.parse().unwrap());
        }
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 64 << 20).await.unwrap();
        Answer {
            status: parts.status,
            headers: parts.headers,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    async fn get(&self, path: &str) -> Answer {
        self.send(
            Request::get(path)
                .header(header::HOST, "localhost")
                .body(Body::empty())
                .unwrap(),
        )
        .await
    }

    /// A form sent by our own page.
    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.send(own_post(
            path,
            "application/x-www-form-urlencoded",
            encoded(fields).into(),
        ))
        .await
    }
}

impl Answer {
    fn html(&self) -> Html {
        Html::parse_document(&self.text)
    }

    fn location(&self) -> &str {
        self.headers
            .get(header::LOCATION)
            .map_or("", |to| to.to_str().unwrap())
    }

    #[track_caller]
    fn expect(self, status: StatusCode) -> Self {
        assert_eq!(self.status, status, "{}", self.text);
        self
    }
}

/// For the workshop's network, with a register that is gone with the test.
fn network(port: Option<u16>) -> Access {
    Access::network(port, store::Store::in_memory().unwrap()).unwrap()
}

fn sample_assess(_: &Job, _: &History) -> Assessment {
    crate::pages::sample_assessment()
}

fn own_post(path: &str, kind: &str, body: Body) -> Request<Body> {
    Request::post(path)
        .header(header::HOST, "localhost")
        .header(header::ORIGIN, "http://localhost")
        .header(header::CONTENT_TYPE, kind)
        .body(body)
        .unwrap()
}

fn encoded(fields: &[(&str, &str)]) -> String {
    let part = crate::parts::step::address_part;
    fields
        .iter()
        .map(|(name, value)| format!("{}={}", part(name), part(value)))
        .collect::<Vec<_>>()
        .join("&")
}

/// All elements that match.
fn all<'a>(html: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    html.select(&Selector::parse(selector).unwrap()).collect()
}

/// The text of the first element that matches, blanks joined.
#[track_caller]
fn text(html: &Html, selector: &str) -> String {
    let found = all(html, selector);
    let first = found
        .first()
        .unwrap_or_else(|| panic!("nothing matches {selector}: {}", html.html()));
    first
        .text()
        .collect::<Vec<_>>()
        .join(" ")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

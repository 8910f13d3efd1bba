//! The frame around every page.

use maud::{DOCTYPE, Markup, html};

use tongue::{Lang, say};

use crate::{form::Wrong, theme::Look};

/// What the frame needs to know.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Page<'a> {
    /// Title, without the program's name.
    pub(crate) title: &'a str,
    /// The theme chosen.
    pub(crate) look: Look,
    /// Address of this page, to come back to.
    pub(crate) here: &'a str,
    /// Job and revision whose changes the page follows.
    pub(crate) follow: Option<(i64, u64)>,
}

/// A whole page around `body`, which brings the one `h1`.
pub(crate) fn page(page: &Page<'_>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(tongue::speaking().tag()) data-look=(page.look.word()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (say::web::title(page.title)) }
                link rel="icon" href="/assets/mark.svg" type="image/svg+xml";
                link rel="stylesheet" href="/assets/bench.css";
                script src="/assets/bench.js" defer {}
            }
            body data-look-at=(say::web::script_look()) data-discard=(say::web::script_discard()) data-updated=(say::web::script_updated())
                data-changed=(say::web::script_changed()) data-show=(say::web::script_show()) data-lost=(say::web::script_lost())
                data-pad=(say::web::script_pad()) data-delete=(say::web::script_delete()) data-decimal=(say::web::script_decimal())
                data-minus=(say::web::script_minus()) data-enter=(say::web::script_enter()) {
                a class="skip" href="#main" { (say::web::to_content()) }
                header class="head" {
                    nav aria-label=(say::web::bench()) {
                        a class="home" href="/" { img src="/assets/mark.svg" alt="" width="32" height="32"; "Nightdraw" span class="hidden" { (say::web::all_jobs()) } }
                    }
                    (looks(page))
                }
                main id="main" tabindex="-1" data-job=[page.follow.map(|(id, _)| id)] data-revision=[page.follow.map(|(_, revision)| revision)] {
                    (body)
                }
                div id="note" class="head" role="status" {}
                div id="unsent" class="head told care" role="status" hidden {
                    p { strong { (say::web::unsent()) } " " (say::web::unsent_how()) }
                    ul {}
                }
                footer class="foot" {
                    p { (say::web::foot()) }
                    (languages(page))
                }
            }
        }
    }
}

fn looks(page: &Page<'_>) -> Markup {
    html! {
        form class="looks" method="post" action="/look" aria-label=(say::web::brightness()) {
            input type="hidden" name="back" value=(page.here);
            @for look in Look::ALL {
                button type="submit" name="look" value=(look.word()) aria-pressed=(look == page.look) { (look_word(look)) }
            }
        }
    }
}

fn look_word(look: Look) -> tongue::Message {
    match look {
        Look::Sun => say::web::look_sun(),
        Look::Night => say::web::look_night(),
        Look::Device => say::web::look_device(),
    }
}

/// Every language under its own name.
fn languages(page: &Page<'_>) -> Markup {
    html! {
        form class="looks" method="post" action="/language" aria-label=(say::web::language()) {
            input type="hidden" name="back" value=(page.here);
            @for (lang, name) in Lang::ALL {
                button type="submit" name="language" value=(lang.tag()) lang=(lang.tag()) aria-pressed=(lang == tongue::speaking()) { (name) }
            }
        }
    }
}

/// The list of problems above a form, each linked to its field.
pub(crate) fn wrong_summary(wrong: &Wrong, prefix: &str) -> Markup {
    html! {
        @if !wrong.is_empty() {
            div class="told alarm" role="alert" tabindex="-1" data-takes-focus {
                h2 { (say::web::look_again()) }
                ul {
                    @for (field, message) in &wrong.0 {
                        li {
                            @if field.is_empty() { (message) }
                            @else { a href=(format!("#{prefix}{field}")) { (message) } }
                        }
                    }
                }
            }
        }
    }
}

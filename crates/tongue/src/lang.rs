//! The languages, and which one is spoken here and now.

use std::{
    cell::Cell,
    future::Future,
    pin::Pin,
    task::{Context, Poll},
};

/// A language that Nightdraw speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Lang {
    /// English.
    #[default]
    En,
    /// German.
    De,
}

thread_local! {
    static SPOKEN: Cell<Lang> = const { Cell::new(Lang::En) };
}

impl Lang {
    /// All of them, each with its name in itself.
    pub const ALL: [(Self, &str); 2] = [(Self::En, "English"), (Self::De, "Deutsch")];

    /// Its tag (RFC 5646), as in `lang="de"`.
    pub fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::De => "de",
        }
    }

    /// The language of a tag such as `de`, `de-AT` or `en_GB.UTF-8`.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let first = tag.trim().split(['-', '_', '.', '@']).next()?;
        Self::ALL
            .into_iter()
            .map(|(lang, _)| lang)
            .find(|lang| lang.tag().eq_ignore_ascii_case(first))
    }

    /// The best of an `Accept-Language` header (RFC 9110, section 12.5.4);
    /// English where it names none of ours.
    pub fn from_accept(header: &str) -> Self {
        let mut best = (Self::default(), 0.0);
        for part in header.split(',').take(64) {
            let mut fields = part.split(';');
            let lang = fields.next().and_then(Self::from_tag);
            let weight = fields
                .find_map(|field| field.trim().strip_prefix("q="))
                .map_or(1.0, |q| q.trim().parse::<f64>().unwrap_or(0.0));
            if let Some(lang) = lang.filter(|_| weight > best.1) {
                best = (lang, weight);
            }
        }
        best.0
    }
}

/// The language spoken here; English unless [`speak`] or [`spoken`] says otherwise.
pub fn speaking() -> Lang {
    SPOKEN.get()
}

/// Runs `work` with `lang` spoken.
pub fn speak<T>(lang: Lang, work: impl FnOnce() -> T) -> T {
    let _back = Back::to(lang);
    work()
}

/// A future inside which `lang` is spoken, on whichever thread it goes on.
pub fn spoken<F: Future>(lang: Lang, future: F) -> impl Future<Output = F::Output> {
    Spoken {
        lang,
        future: Box::pin(future),
    }
}

/// Puts the language before back, also when the work ends in a panic.
struct Back(Lang);

impl Back {
    fn to(lang: Lang) -> Self {
        Self(SPOKEN.replace(lang))
    }
}

impl Drop for Back {
    fn drop(&mut self) {
        SPOKEN.set(self.0);
    }
}

struct Spoken<F> {
    lang: Lang,
    future: Pin<Box<F>>,
}

impl<F: Future> Future for Spoken<F> {
    type Output = F::Output;

    fn poll(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<F::Output> {
        let _back = Back::to(self.lang);
        self.future.as_mut().poll(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_browser_s_wish_is_weighed() {
        for (header, lang) in [
            ("", Lang::En),
            ("de", Lang::De),
            ("de-AT,de;q=0.9,en;q=0.8", Lang::De),
            ("en-GB,en;q=0.9,de;q=0.8", Lang::En),
            ("fr, en;q=0.3, de;q=0.7", Lang::De),
            ("fr;q=1, *;q=0.1", Lang::En),
            ("de;q=0", Lang::En),
            ("de;q=nonsense, en;q=0.1", Lang::En),
        ] {
            assert_eq!(Lang::from_accept(header), lang, "{header}");
        }
        assert_eq!(Lang::from_tag("de_DE.UTF-8"), Some(Lang::De));
        assert_eq!(Lang::from_tag("dexter"), None);
    }

    #[test]
    fn a_language_holds_inside_and_nowhere_else() {
        assert_eq!(speaking(), Lang::En);
        let inside = speak(Lang::De, || {
            (speaking(), speak(Lang::En, speaking), speaking())
        });
        assert_eq!(inside, (Lang::De, Lang::En, Lang::De));
        assert_eq!(speaking(), Lang::En);
        let thrown = std::panic::catch_unwind(|| speak(Lang::De, || panic!("on purpose")));
        assert!(thrown.is_err());
        assert_eq!(speaking(), Lang::En);
        assert_eq!(std::thread::spawn(speaking).join().unwrap(), Lang::En);
    }

    #[test]
    fn a_future_keeps_its_language_between_polls() {
        let mut step = 0;
        let work = std::future::poll_fn(move |_| {
            step += 1;
            assert_eq!(speaking(), Lang::De);
            if step < 3 {
                Poll::Pending
            } else {
                Poll::Ready(step)
            }
        });
        let mut work = Box::pin(spoken(Lang::De, work));
        let mut context = Context::from_waker(std::task::Waker::noop());
        let mut polls = 0;
        loop {
            polls += 1;
            let seen = work.as_mut().poll(&mut context);
            assert_eq!(speaking(), Lang::En);
            if seen.is_ready() {
                break;
            }
        }
        assert_eq!(polls, 3);
    }
}

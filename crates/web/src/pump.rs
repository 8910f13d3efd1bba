//! What is new, told once to all who listen: one look at the store serves every
//! open page.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex},
    time::Duration,
};

use maud::Markup;
use tokio::sync::broadcast;
use tongue::Lang;

use crate::{
    parts::live,
    receiving::Stream,
    state::{AppState, lock},
};

/// How often the store is asked for what another program changed; two screens
/// agree within half a second.
const LOOK: Duration = Duration::from_millis(250);
/// How often it is asked whether something was written to a stream's file, while
/// one comes in: that costs far less than reading what was written.
const LOOK_LIVE: Duration = Duration::from_millis(15);
/// News that a slow page may fall behind before it has to ask anew.
const BEHIND: usize = 256;

/// Something that pages want to hear.
#[derive(Debug, Clone)]
pub(crate) enum News {
    /// A job has reached a revision.
    Revision(i64, u64),
    /// What can be said of a job's stream now, as markup in each language.
    Live(i64, Arc<Spoken>),
}

/// Markup in each language.
#[derive(Debug)]
pub(crate) struct Spoken([(Lang, String); Lang::ALL.len()]);

impl Spoken {
    fn of(markup: impl Fn() -> Markup) -> Self {
        Self(Lang::ALL.map(|(lang, _)| (lang, tongue::speak(lang, || markup().into_string()))))
    }

    /// In one of them.
    pub(crate) fn in_language(&self, lang: Lang) -> &str {
        let own = self.0.iter().find(|(known, _)| *known == lang);
        own.map_or("", |(_, markup)| markup)
    }
}

impl News {
    /// The job it is about.
    pub(crate) fn job(&self) -> i64 {
        match self {
            Self::Revision(id, _) | Self::Live(id, _) => *id,
        }
    }
}

/// The one who looks, and those who listen.
#[derive(Debug)]
pub(crate) struct Pump {
    news: broadcast::Sender<News>,
    told: Mutex<Told>,
}

#[derive(Debug, Default)]
struct Told {
    running: bool,
    revisions: BTreeMap<i64, u64>,
    /// By stream: what was told of it last, and whether it was told to be cut off.
    beats: BTreeMap<i64, (u64, bool)>,
}

impl Pump {
    pub(crate) fn new() -> Self {
        Self {
            news: broadcast::channel(BEHIND).0,
            told: Mutex::default(),
        }
    }

    /// Listens from now on; starts looking when nobody did.
    pub(crate) fn listen(&self, state: &AppState) -> broadcast::Receiver<News> {
        let receiver = self.news.subscribe();
        let mut told = lock(&self.told);
        if !std::mem::replace(&mut told.running, true) {
            tokio::spawn(run(state.clone()));
        }
        receiver
    }

    /// Tells a revision, unless it was told before.
    pub(crate) fn revision(&self, id: i64, revision: u64) {
        let mut told = lock(&self.told);
        let last = told.revisions.entry(id).or_default();
        if revision > *last {
            *last = revision;
            // Nobody listening is no error.
            let _ = self.news.send(News::Revision(id, revision));
        }
    }

    /// Tells what is new of the streams; says whether one is coming in.
    fn streams(&self, streams: Vec<Stream>) -> bool {
        let mut told = lock(&self.told);
        let known = |id: &i64| streams.iter().any(|stream| stream.session.id == *id);
        told.beats.retain(|id, _| known(id));
        let mut living = false;
        for stream in streams {
            living |= !stream.cut_off;
            let (id, now) = (stream.session.id, (stream.session.beat, stream.cut_off));
            if told.beats.insert(id, now) != Some(now) {
                let markup = Spoken::of(|| match stream.cut_off {
                    true => live::gone(&stream.tip),
                    false => live::now(&stream.tip),
                });
                let news = News::Live(stream.session.job.number(), Arc::new(markup));
                let _ = self.news.send(news);
            }
        }
        living
    }

    /// Whether to go on looking; not when nobody listens any more.
    fn wanted(&self) -> bool {
        let mut told = lock(&self.told);
        told.running = self.news.receiver_count() > 0;
        told.running
    }
}

/// Looks again and again, as long as someone listens.
async fn run(state: AppState) {
    let mut closing = state.closing();
    let mut jobs_at: Option<tokio::time::Instant> = None;
    let mut living = false;
    while state.pump().wanted() {
        let jobs = jobs_at.is_none_or(|at| at.elapsed() >= LOOK);
        if jobs {
            jobs_at = Some(tokio::time::Instant::now());
        }
        let looked = state.run(move |state| {
            if !state.streams().have_changed() && !jobs {
                return Ok(living);
            }
            let living = state.pump().streams(state.streams().newest());
            if jobs {
                for (id, revision) in state.revisions()? {
                    state.pump().revision(id, revision);
                }
            }
            Ok(living)
        });
        // A store that cannot be read now is asked again.
        living = looked.await.unwrap_or(false);
        let pause = if living { LOOK_LIVE } else { LOOK };
        tokio::select! {
            () = tokio::time::sleep(pause) => {}
            _ = closing.wait_for(|closed| *closed) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use maud::html;
    use tongue::say;

    use super::*;

    #[test]
    fn each_listener_hears_its_own_language() {
        let told = Spoken::of(|| html! { (say::bench::what_happened()) });
        assert_eq!(told.in_language(Lang::En), "What happened");
        assert_eq!(told.in_language(Lang::De), "Was geschah");
    }
}

//! Tells open pages what has changed.

use std::{collections::VecDeque, convert::Infallible};

use axum::{
    extract::State,
    response::sse::{Event, KeepAlive, Sse},
};
use futures_util::stream::{self, Stream};
use tokio::sync::broadcast::error::RecvError;

use super::Id;
use crate::{problem::Problem, pump::News, state::AppState};

/// One event with the revision of a job now, then one for each change; for programs that follow one job.
pub(crate) async fn stream(
    State(state): State<AppState>,
    Id(id): Id,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    follow(state, Some(id)).await
}

/// The revision of every job now, then every change: one stream serves all pages of a browser.
pub(crate) async fn all(
    State(state): State<AppState>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    follow(state, None).await
}

async fn follow(
    state: AppState,
    only: Option<i64>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    let mut follower = Follower {
        only,
        ready: VecDeque::new(),
        lang: tongue::speaking(),
        news: state.listen(),
        closing: state.closing(),
        state,
    };
    // Before the first event, so that an unknown job is an error and no stream.
    follower.catch_up().await?;
    let events = stream::unfold(follower, |mut follower| async move {
        let news = follower.next().await?;
        Some((Ok(follower.event(&news)), follower))
    });
    Ok(Sse::new(events).keep_alive(KeepAlive::default()))
}

struct Follower {
    only: Option<i64>,
    ready: VecDeque<News>,
    /// Of the browser that listens.
    lang: tongue::Lang,
    news: tokio::sync::broadcast::Receiver<News>,
    closing: tokio::sync::watch::Receiver<bool>,
    state: AppState,
}

impl Follower {
    /// The next piece of news; `None` at the end.
    async fn next(&mut self) -> Option<News> {
        loop {
            if let Some(news) = self.ready.pop_front() {
                return Some(news);
            }
            let news = tokio::select! {
                news = self.news.recv() => news,
                _ = self.closing.wait_for(|closed| *closed) => return None,
            };
            match news {
                Ok(news) if self.only.is_none_or(|id| id == news.job()) => return Some(news),
                Ok(_) => {}
                // Too much at once: ask the store instead.
                Err(RecvError::Lagged(_)) => self.catch_up().await.ok()?,
                Err(RecvError::Closed) => return None,
            }
        }
    }

    async fn catch_up(&mut self) -> Result<(), Problem> {
        let only = self.only;
        let now = self.state.run(move |state| match only {
            Some(id) => Ok(vec![(id, state.revision(id)?)]),
            None => state.revisions(),
        });
        let now = now.await?;
        self.ready = now
            .into_iter()
            .map(|(id, revision)| News::Revision(id, revision))
            .collect();
        Ok(())
    }

    fn event(&self, news: &News) -> Event {
        match news {
            News::Live(_, markup) if self.only.is_some() => Event::default()
                .event("live")
                .data(markup.in_language(self.lang)),
            News::Live(id, markup) => Event::default()
                .event("live")
                .data(format!("{id} {}", markup.in_language(self.lang))),
            News::Revision(_, revision) if self.only.is_some() => Event::default()
                .event("revision")
                .data(revision.to_string()),
            News::Revision(id, revision) => Event::default()
                .event("revision")
                .data(format!("{id} {revision}")),
        }
    }
}

//! Tells open pages that their job has changed.

use std::{convert::Infallible, time::Duration};

use axum::{
    extract::State,
    response::sse::{Event, KeepAlive, Sse},
};
use futures_util::stream::{self, Stream};
use tokio::sync::broadcast::error::RecvError;

use super::Id;
use crate::{problem::Problem, state::AppState};

/// How often the store is asked for changes that another program made.
const LOOK_AGAIN: Duration = Duration::from_millis(1000);

/// One event with the revision now, then one for each change.
pub(crate) async fn stream(
    State(state): State<AppState>,
    Id(id): Id,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Problem> {
    let mut follower = Follower {
        id,
        told: None,
        changes: state.changes(),
        closing: state.closing(),
        state,
    };
    // Before the first event, so that an unknown job is an error and no stream.
    let first = follower.stored().await?;
    follower.told = Some(first);
    let events = stream::unfold(
        (follower, Some(first)),
        |(mut follower, ready)| async move {
            let revision = match ready {
                Some(revision) => revision,
                None => follower.next().await?,
            };
            let event = Event::default()
                .event("revision")
                .data(revision.to_string());
            Some((Ok(event), (follower, None)))
        },
    );
    Ok(Sse::new(events).keep_alive(KeepAlive::default()))
}

struct Follower {
    id: i64,
    told: Option<u64>,
    changes: tokio::sync::broadcast::Receiver<(i64, u64)>,
    closing: tokio::sync::watch::Receiver<bool>,
    state: AppState,
}

impl Follower {
    /// The next revision that the page has not been told; `None` at the end.
    async fn next(&mut self) -> Option<u64> {
        loop {
            // What happened, by value: the store can only be asked once the
            // receivers are free again.
            let heard = tokio::select! {
                change = self.changes.recv() => match change {
                    Ok((id, revision)) if id == self.id => Some(revision),
                    Ok(_) => continue,
                    // Too many changes at once: ask the store instead.
                    Err(RecvError::Lagged(_)) => None,
                    Err(RecvError::Closed) => return None,
                },
                () = tokio::time::sleep(LOOK_AGAIN) => None,
                _ = self.closing.wait_for(|closed| *closed) => return None,
            };
            let revision = match heard {
                Some(revision) => revision,
                None => self.stored().await.ok()?,
            };
            if self.told != Some(revision) {
                self.told = Some(revision);
                return Some(revision);
            }
        }
    }

    async fn stored(&self) -> Result<u64, Problem> {
        let id = self.id;
        self.state.run(move |state| state.revision(id)).await
    }
}

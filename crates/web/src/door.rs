//! The door that connections come through: not too many, and none that only stands in it.

use std::{
    collections::HashMap,
    future::Future,
    io,
    net::{IpAddr, SocketAddr},
    pin::Pin,
    sync::{Arc, Mutex},
    task::{Context, Poll},
    time::Duration,
};

use tokio::{
    io::{AsyncRead, AsyncWrite, ReadBuf},
    net::{TcpListener, TcpStream},
    time::{Instant, Sleep, sleep},
};

use crate::state::lock;

/// What a door lets through.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits {
    /// Connections of one machine at once; a browser opens six for each page.
    pub(crate) each: usize,
    /// Connections of all machines at once.
    pub(crate) all: usize,
    /// How long a connection may be silent both ways; event streams say
    /// something every 15 s.
    pub(crate) silent: Duration,
}

impl Default for Limits {
    /// Common practice.
    fn default() -> Self {
        Self {
            each: 64,
            all: 512,
            silent: Duration::from_secs(60),
        }
    }
}

/// Listens, and counts who is inside.
pub(crate) struct Door {
    listener: TcpListener,
    limits: Limits,
    inside: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

impl Door {
    pub(crate) fn new(listener: TcpListener, limits: Limits) -> Self {
        Self {
            listener,
            limits,
            inside: Arc::default(),
        }
    }

    /// A place inside; `None` when there is none left.
    fn place(&self, peer: IpAddr) -> Option<Place> {
        let mut inside = lock(&self.inside);
        let here = inside.get(&peer).copied().unwrap_or(0);
        if here >= self.limits.each || inside.values().sum::<usize>() >= self.limits.all {
            return None;
        }
        inside.insert(peer, here + 1);
        Some(Place {
            peer,
            inside: Arc::clone(&self.inside),
        })
    }
}

impl axum::serve::Listener for Door {
    type Io = Visit;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Visit, SocketAddr) {
        loop {
            let (stream, peer) = axum::serve::Listener::accept(&mut self.listener).await;
            // Without a place the connection is dropped, which closes it.
            if let Some(place) = self.place(peer.ip().to_canonical()) {
                let silent = self.limits.silent;
                let visit = Visit {
                    stream,
                    silent,
                    patience: Box::pin(sleep(silent)),
                    _place: place,
                };
                return (visit, peer);
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

/// Where a connection comes from, for the pages.
#[derive(Debug, Clone, Copy)]
pub(crate) struct From(pub(crate) SocketAddr);

impl axum::extract::connect_info::Connected<axum::serve::IncomingStream<'_, Door>> for From {
    fn connect_info(stream: axum::serve::IncomingStream<'_, Door>) -> Self {
        Self(*stream.remote_addr())
    }
}

/// A place inside, given back when dropped.
struct Place {
    peer: IpAddr,
    inside: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut inside = lock(&self.inside);
        match inside.get_mut(&self.peer) {
            Some(count) if *count > 1 => *count -= 1,
            _ => {
                inside.remove(&self.peer);
            }
        }
    }
}

/// A connection that ends when nothing is said for too long.
pub(crate) struct Visit {
    stream: TcpStream,
    silent: Duration,
    patience: Pin<Box<Sleep>>,
    _place: Place,
}

impl Visit {
    /// Something was said, or it was silent for too long.
    fn watch<T>(
        &mut self,
        context: &mut Context<'_>,
        said: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        match said {
            Poll::Ready(outcome) => {
                let until = Instant::now() + self.silent;
                self.patience.as_mut().reset(until);
                Poll::Ready(outcome)
            }
            Poll::Pending => match self.patience.as_mut().poll(context) {
                Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
                Poll::Pending => Poll::Pending,
            },
        }
    }
}

impl AsyncRead for Visit {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let said = Pin::new(&mut self.stream).poll_read(context, buffer);
        self.watch(context, said)
    }
}

impl AsyncWrite for Visit {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let said = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.watch(context, said)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use std::io::{Read, Write};

    use axum::{Router, routing::get};

    use super::*;

    async fn serving(limits: Limits) -> SocketAddr {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let pages = Router::new().route("/", get(|| async { "hello" }));
        tokio::spawn(async move { axum::serve(Door::new(listener, limits), pages).await });
        address
    }

    fn connect(address: SocketAddr) -> std::net::TcpStream {
        let stream = std::net::TcpStream::connect(address).unwrap();
        let patience = Some(Duration::from_secs(20));
        stream.set_read_timeout(patience).unwrap();
        stream
    }

    fn answers(stream: &mut std::net::TcpStream) -> bool {
        let asked = stream.write_all(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n");
        let mut answer = [0; 12];
        asked.is_ok() && stream.read_exact(&mut answer).is_ok() && &answer == b"HTTP/1.1 200"
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn one_machine_has_so_many_places_and_gets_them_back() {
        let limits = Limits {
            each: 2,
            ..Limits::default()
        };
        let address = serving(limits).await;
        let (mut a, mut b, mut c) = (connect(address), connect(address), connect(address));
        assert!(answers(&mut a) && answers(&mut b));
        assert!(!answers(&mut c), "the third is turned away");
        drop(a);
        let again = (0..200).any(|_| {
            std::thread::sleep(Duration::from_millis(20));
            answers(&mut connect(address))
        });
        assert!(again);
    }

    #[tokio::test(flavor = "multi_thread")]
    async fn half_a_request_does_not_hold_the_door() {
        let limits = Limits {
            silent: Duration::from_millis(200),
            ..Limits::default()
        };
        let address = serving(limits).await;
        let mut slow = connect(address);
        slow.write_all(b"GET / HTTP/1.1\r\nHost:").unwrap();
        let mut rest = Vec::new();
        // The server closes; the client's own patience of 20 s would be an error.
        let closed = slow.read_to_end(&mut rest);
        assert!(
            !matches!(&closed, Err(e) if e.kind() == io::ErrorKind::WouldBlock),
            "{closed:?}"
        );
    }
}

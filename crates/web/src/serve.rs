//! Opening the bench page on a port.

use std::{
    io,
    net::{IpAddr, Ipv4Addr, SocketAddr},
    path::PathBuf,
    time::Duration,
};

use tokio::{net::TcpListener, signal};
use tongue::{Message, say};

use crate::{
    access::Access,
    app,
    door::{Door, From, Limits},
    receiving::Streams,
    shelf::Shelf,
    state::AppState,
};

/// Port tried first when none is asked for; a free one is taken when it is in use.
const USUAL_PORT: u16 = 4127;
/// Ports below need special rights (RFC 6335, section 6: system ports 0 to 1023).
const FIRST_FREE: u16 = 1024;
/// How long open requests may take to finish once the program is told to end.
const GRACE: Duration = Duration::from_secs(2);

/// Where and for whom the page is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Config {
    /// Folder of the database.
    pub data_dir: PathBuf,
    /// Port; `None` takes the usual one or any free one, `Some(0)` any free one.
    pub port: Option<u16>,
    /// Whether devices of the workshop's network may be paired.
    pub lan: bool,
}

/// Why the page cannot be opened.
#[derive(Debug)]
pub enum ServeError {
    /// The port is taken.
    PortInUse {
        /// Which.
        port: u16,
    },
    /// The port cannot be had.
    Port {
        /// Which.
        port: u16,
        /// Why.
        source: io::Error,
    },
    /// The database.
    Store(store::StoreError),
    /// The server stopped.
    Stopped(io::Error),
}

impl ServeError {
    /// A stable word for programs.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::PortInUse { .. } => "port-in-use",
            Self::Port { .. } => "port",
            Self::Store(error) => error.kind.word(),
            Self::Stopped(_) => "stopped",
        }
    }

    /// What is wrong, one sentence.
    pub fn message(&self) -> Message {
        match self {
            Self::PortInUse { port } => say::web::port_in_use(port.to_string()),
            Self::Port { port, source } => say::web::port(port.to_string(), source.to_string()),
            // The store's own words; its display would add the hint.
            Self::Store(error) => error.message.clone(),
            Self::Stopped(source) => say::web::stopped(source.to_string()),
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> Message {
        match self {
            Self::PortInUse { .. } => say::web::port_in_use_hint(),
            Self::Port { port, .. } if *port < FIRST_FREE => say::web::port_below_hint(),
            Self::Port { .. } => say::web::port_hint(),
            Self::Store(error) => error.hint.clone(),
            Self::Stopped(_) => say::web::stopped_hint(),
        }
    }
}

impl std::fmt::Display for ServeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for ServeError {}

impl std::convert::From<store::StoreError> for ServeError {
    fn from(error: store::StoreError) -> Self {
        Self::Store(error)
    }
}

/// Opens the page, calls `on_ready` with its address once it answers, and
/// serves until the program is told to end (Ctrl-C or a termination signal).
///
/// Listens on loopback unless `config.lan`; then other devices have to be
/// paired with the code that the page `/devices` shows on this machine.
///
/// # Errors
/// When the database or the port cannot be opened.
pub async fn serve(config: Config, on_ready: impl FnOnce(SocketAddr)) -> Result<(), ServeError> {
    serve_announcing(config, |address, _| on_ready(address)).await
}

/// Like [`serve`], and hands over the first pairing code too when other
/// devices are welcome, so that a terminal can show it.
///
/// # Errors
/// When the database or the port cannot be opened.
pub async fn serve_announcing(
    config: Config,
    on_ready: impl FnOnce(SocketAddr, Option<&str>),
) -> Result<(), ServeError> {
    let listener = listen(&config).await?;
    let address = listener.local_addr().map_err(ServeError::Stopped)?;
    let port = Some(address.port());
    let access = if config.lan {
        Access::network(port, store::Store::open(&config.data_dir)?)?
    } else {
        Access::this_machine(port)
    };
    let code = config.lan.then(|| access.code()).flatten();
    let shelf = Shelf::new(store::Store::open(&config.data_dir)?);
    let streams = Streams::open(&config.data_dir);
    let state = AppState::with_streams(shelf, streams, access, job::assess_with);
    let pages = app(state.clone()).into_make_service_with_connect_info::<From>();
    let mut closing = state.closing();
    let door = Door::new(listener, Limits::default());
    let server = axum::serve(door, pages).with_graceful_shutdown(async move {
        told_to_end().await;
        state.close();
    });
    on_ready(address, code.as_deref());
    tokio::select! {
        ended = server => ended.map_err(ServeError::Stopped),
        () = async {
            // An error means that the state is gone, and the server with it.
            let _ = closing.wait_for(|closed| *closed).await;
            tokio::time::sleep(GRACE).await;
        } => Ok(()),
    }
}

async fn listen(config: &Config) -> Result<TcpListener, ServeError> {
    let ip = IpAddr::V4(if config.lan {
        Ipv4Addr::UNSPECIFIED
    } else {
        Ipv4Addr::LOCALHOST
    });
    let port = config.port.unwrap_or(USUAL_PORT);
    match TcpListener::bind((ip, port)).await {
        Ok(listener) => Ok(listener),
        Err(error) if error.kind() == io::ErrorKind::AddrInUse => match config.port {
            Some(port) => Err(ServeError::PortInUse { port }),
            None => TcpListener::bind((ip, 0))
                .await
                .map_err(|source| ServeError::Port { port: 0, source }),
        },
        Err(source) => Err(ServeError::Port { port, source }),
    }
}

/// Returns when Ctrl-C is pressed or the system asks the program to end.
async fn told_to_end() {
    let interrupt = async {
        if signal::ctrl_c().await.is_err() {
            // Without the signal the program can still be ended from outside.
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match signal::unix::signal(signal::unix::SignalKind::terminate()) {
            Ok(mut asked) => {
                asked.recv().await;
            }
            Err(_) => std::future::pending::<()>().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}

//! Serving a garage, from the first bound port to the last answer.

use std::fmt;
use std::net::{Ipv4Addr, SocketAddr};
use std::process::{Command, Stdio};
use std::sync::Arc;

use lastbolt_store::{Garage, GarageLock, JobId, Serving, StoreError, random_token};
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::door::Ends;
use crate::hall::Hall;
use crate::limits::LEAVE_TIME;
use crate::phones::{Phones, Scope, addresses};
use crate::qr;
use crate::routes::app;
use crate::routes_phones::{NO_NETWORK, link, links};
use crate::writer::{Trouble, Writer};

/// What is to be served, and how.
#[derive(Debug)]
pub struct Serve {
    /// The garage, locked: the server is its one writer.
    pub lock: GarageLock,
    /// The job that is opened first; its port is kept. None: the page of today.
    pub job: Option<JobId>,
    /// The port asked for; none: the job's last one if it is free, else any.
    pub port: Option<u16>,
    /// Whether phones on the garage's network are let in; else only this machine is served.
    pub phones: bool,
    /// Whether a browser is opened, where there is one.
    pub open_browser: bool,
    /// The version of the program, for commands that find the server.
    pub version: String,
}

/// Says where a server that has just begun is found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ready {
    /// The address, as `http://127.0.0.1:4000`.
    pub address: String,
    /// The address of the page to open.
    pub page: String,
    /// How phones come in, where they are let in.
    pub phones: Option<ReadyForPhones>,
}

/// Says how the first phone comes in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadyForPhones {
    /// The addresses and the name of this machine on its networks, the likeliest first.
    pub addresses: Vec<String>,
    /// The first code, drawn with block characters: dark squares are drawn. It carries a secret,
    /// good for one phone and for [`minutes`](Self::minutes).
    pub blocks: String,
    /// How long the code is good \[minutes\].
    pub minutes: u64,
    /// The page, on this machine only, with the next code and the list of phones.
    pub page: String,
    /// Phones that were let in before have to be let in anew: the port is another one.
    pub moved: bool,
}

impl ReadyForPhones {
    /// Gives the code black on white, for a terminal of any colours.
    pub fn on_paper(&self) -> String {
        qr::on_paper(&self.blocks)
    }
}

/// Says why a garage is not served.
///
/// Its text is a sentence that says what is wrong and what to do.
#[derive(Debug)]
#[non_exhaustive]
pub enum ServeError {
    /// The port asked for is in use.
    PortTaken {
        /// The port.
        port: u16,
    },
    /// The system gives no port, thread or socket.
    System(std::io::Error),
    /// This machine is on no network.
    NoNetwork,
    /// The job cannot be opened.
    Job(String),
    /// The garage folder did not do what was asked.
    Store(StoreError),
}

impl fmt::Display for ServeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PortTaken { port } => {
                write!(f, "Port {port} is in use; give another one, or leave --port out.")
            }
            Self::System(error) => {
                write!(f, "The server cannot begin: {error}. End other programs and try again.")
            }
            Self::NoNetwork => f.write_str(NO_NETWORK),
            Self::Job(sentence) => f.write_str(sentence),
            Self::Store(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ServeError {}

impl From<StoreError> for ServeError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

/// Serves a garage on this machine, and to phones if that is asked for, until Ctrl-C or the
/// system's request to end. Blocks.
/// Calls `on_ready` once, as soon as pages can be opened; prints nothing.
///
/// # Errors
/// Says why it could not begin, or why it ended early.
pub fn serve(options: Serve, on_ready: impl FnOnce(&Ready)) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(4)
        .enable_all()
        .build()
        .map_err(ServeError::System)?;
    let outcome = runtime.block_on(run(options, on_ready));
    runtime.shutdown_timeout(LEAVE_TIME);
    outcome
}

async fn run(options: Serve, on_ready: impl FnOnce(&Ready)) -> Result<(), ServeError> {
    let Serve { lock, job, port, phones, open_browser, version } = options;
    let garage = lock.garage().clone();
    let phones = if phones { Some(Arc::new(let_phones_in(&garage, job.as_ref())?)) } else { None };
    let last_port = match (&job, port) {
        (Some(job), None) => garage.open_job(job.as_str())?.port()?,
        (None, None) => phones.as_ref().and_then(|phones| phones.port()),
        _ => None,
    };
    let listener = bind(phones.is_some(), port, last_port).await?;
    let port = listener.local_addr().map_err(ServeError::System)?.port();
    let (writer, thread) = Writer::start(garage.clone()).map_err(ServeError::System)?;
    if let Some(job) = &job {
        let opened = writer.open(job.clone()).await;
        opened.map_err(|trouble: Trouble| ServeError::Job(trouble.sentence()))?;
        writer.keep_port(job.clone(), port);
    } else if let Some(phones) = &phones {
        phones.keep_port(port)?;
    }
    let address = format!("http://127.0.0.1:{port}");
    let token = random_token()?;
    let serving = Serving {
        version,
        pid: std::process::id(),
        address: address.clone(),
        token: token.clone(),
    };
    lock.announce(&serving)?;
    let (leave, leaving) = watch::channel(false);
    let hall = Hall::new(garage, writer.clone(), port, &token, leaving).with_phones(phones.clone());
    let moved = last_port.is_some_and(|last| last != port);
    let for_phones = phones.as_deref().map(|phones| first_code(phones, &address, port, moved));
    let page = job.map_or_else(|| format!("{address}/"), |job| format!("{address}/job/{job}"));
    let server = tokio::spawn(listen(listener, hall));
    on_ready(&Ready { address, page: page.clone(), phones: for_phones.transpose()? });
    if open_browser {
        show(&page);
    }
    asked_to_end().await;
    leave.send_replace(true);
    let ended = tokio::time::timeout(LEAVE_TIME, server).await;
    writer.leave();
    // Everything that was answered is on the disk; the thread closes the databases.
    let _ = tokio::task::spawn_blocking(move || thread.join()).await;
    if let Some(phones) = phones {
        let _ = tokio::task::spawn_blocking(move || phones.keep()).await;
    }
    drop(lock);
    match ended {
        Ok(Ok(served)) => served.map_err(ServeError::System),
        // Requests that would not end are cut off.
        Ok(Err(_)) | Err(_) => Ok(()),
    }
}

fn let_phones_in(garage: &Garage, job: Option<&JobId>) -> Result<Phones, ServeError> {
    if addresses().is_empty() {
        return Err(ServeError::NoNetwork);
    }
    let opened = job.map_or(Scope::Garage, |job| Scope::Job(job.clone()));
    Ok(Phones::open(garage.clone(), opened)?)
}

fn first_code(
    phones: &Phones,
    address: &str,
    port: u16,
    moved: bool,
) -> Result<ReadyForPhones, ServeError> {
    let shown = phones.code(&phones.opened, false)?;
    let addresses = links(phones, port);
    let first = addresses.first().ok_or(ServeError::NoNetwork)?;
    Ok(ReadyForPhones {
        blocks: qr::in_blocks(&link(first, &shown)),
        minutes: shown.minutes_left,
        page: format!("{address}/phones"),
        moved: moved && !phones.list().is_empty(),
        addresses,
    })
}

/// Answers requests until the hall is left.
pub(crate) async fn listen(listener: TcpListener, hall: Hall) -> std::io::Result<()> {
    let mut leaving = hall.leaving.clone();
    let app = app(hall).into_make_service_with_connect_info::<Ends>();
    axum::serve(listener, app)
        .with_graceful_shutdown(async move {
            let _ = leaving.wait_for(|leaving| *leaving).await;
        })
        .await
}

/// Binds the port asked for, else the one of last time, else any; on this machine only, or on all
/// its IPv4 addresses.
async fn bind(
    phones: bool,
    asked: Option<u16>,
    last: Option<u16>,
) -> Result<TcpListener, ServeError> {
    let address = if phones { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let at = |port| TcpListener::bind(SocketAddr::from((address, port)));
    if let Some(port) = asked {
        return at(port).await.map_err(|error| match error.kind() {
            std::io::ErrorKind::AddrInUse => ServeError::PortTaken { port },
            _ => ServeError::System(error),
        });
    }
    if let Some(port) = last
        && let Ok(listener) = at(port).await
    {
        return Ok(listener);
    }
    at(0).await.map_err(ServeError::System)
}

#[cfg(unix)]
async fn asked_to_end() {
    use tokio::signal::unix::{SignalKind, signal};
    let Ok(mut term) = signal(SignalKind::terminate()) else {
        let _ = tokio::signal::ctrl_c().await;
        return;
    };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        _ = term.recv() => {}
    }
}

#[cfg(not(unix))]
async fn asked_to_end() {
    let _ = tokio::signal::ctrl_c().await;
}

/// Opens a page in the browser, where the machine has a screen; nothing is lost where it has none.
fn show(page: &str) {
    let mut command = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(windows) {
        let mut command = Command::new("rundll32");
        command.arg("url.dll,FileProtocolHandler");
        command
    } else {
        let has = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
        if !has("DISPLAY") && !has("WAYLAND_DISPLAY") {
            return;
        }
        Command::new("xdg-open")
    };
    let command = command.arg(page).stdin(Stdio::null()).stdout(Stdio::null());
    let _ = command.stderr(Stdio::null()).spawn();
}

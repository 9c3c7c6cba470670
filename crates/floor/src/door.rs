//! By which door a request comes, and what those who come from the network may see.
//!
//! Two doors. *Home*: a connection from this machine to itself, under a name that only this
//! machine has for itself; everything is open there. *Network*: a connection to one of this
//! machine's other addresses, under that very address or the machine's own name; open to phones
//! that were let in, each for its jobs. A name of another kind is no door at all, so a page of
//! another site that leads its own name here (DNS rebinding) is refused by both.

use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

use axum::extract::connect_info::Connected;
use axum::http::header::{COOKIE, HOST};
use axum::http::{HeaderMap, StatusCode};
use axum::serve::IncomingStream;
use tokio::net::TcpListener;

use crate::guard::{Judged, one};
use crate::hall::Hall;
use crate::limits::COOKIES_MAX;
use crate::phones::{InPhone, Phones};
use crate::reply::Refusal;

/// The two ends of a connection.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ends {
    /// The address of this machine that was asked.
    pub(crate) here: Option<SocketAddr>,
    /// Whoever asks.
    pub(crate) there: SocketAddr,
}

impl Connected<IncomingStream<'_, TcpListener>> for Ends {
    fn connect_info(stream: IncomingStream<'_, TcpListener>) -> Self {
        Self { here: stream.io().local_addr().ok(), there: *stream.remote_addr() }
    }
}

/// Who asks, as handlers know it.
#[derive(Clone, Debug)]
pub(crate) enum Pass {
    /// This machine itself.
    Home,
    /// A phone that was let in.
    Phone { phone: Arc<InPhone>, from: IpAddr },
    /// Somebody on the network, who may only ask to be let in.
    Stranger { from: IpAddr },
}

/// By which door a request comes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Door {
    Home { port: u16 },
    Network { host: String, from: IpAddr },
}

impl Door {
    /// The names, with the port, that pages of this server have at this door.
    pub(crate) fn names(&self) -> Vec<String> {
        match self {
            Self::Home { port } => home_names(*port).to_vec(),
            Self::Network { host, .. } => vec![host.clone()],
        }
    }
}

fn home_names(port: u16) -> [String; 3] {
    ["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}"))
}

/// Gives the door; none where the name asked for is not this server's, or not for whoever asks.
pub(crate) fn door(hall: &Hall, ends: Option<Ends>, headers: &HeaderMap) -> Option<Door> {
    let ends = ends?;
    let host = one(headers, &HOST)?;
    if home_names(hall.port).iter().any(|name| name == host) {
        // Whoever is on the network can write any name into a request.
        return ends.there.ip().is_loopback().then_some(Door::Home { port: hall.port });
    }
    let phones = hall.phones.as_ref()?;
    let network = Door::Network { host: host.to_owned(), from: ends.there.ip() };
    is_of_network(phones, hall.port, ends, host).then_some(network)
}

/// The very address that was asked, or the machine's own name.
fn is_of_network(phones: &Phones, port: u16, ends: Ends, host: &str) -> bool {
    let asked = ends.here.map(|here| here.ip()).filter(|address| !address.is_loopback());
    let by_address = asked.is_some_and(|address| host == format!("{address}:{port}"));
    let host = host.to_ascii_lowercase();
    by_address || phones.names.iter().any(|name| host == format!("{name}:{port}"))
}

/// What an address is about, for those who come from the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ground<'a> {
    /// Anybody: how a phone asks to be let in, and the files that pages are drawn with.
    Porch,
    /// This machine only.
    HomeOnly,
    /// One job.
    Job(&'a str),
    /// Phones that are let in to the whole garage.
    Garage,
}

fn ground(path: &str) -> Ground<'_> {
    let mut words = path.split('/').skip(1);
    match (words.next().unwrap_or(""), words.next(), words.next()) {
        ("asset", Some(_), _) | ("in", None, None) | ("api", Some("in"), None) => Ground::Porch,
        ("phones", ..) | ("api", Some("phones"), _) => Ground::HomeOnly,
        // The id as it is written: one that is written otherwise is another one.
        ("job", Some(job), _) | ("api", Some("job"), Some(job)) => Ground::Job(job),
        _ => Ground::Garage,
    }
}

/// Decides what somebody on the network gets.
///
/// # Errors
/// Says why it gets nothing.
pub(crate) fn who_from_network(
    hall: &Hall,
    from: IpAddr,
    path: &str,
    headers: &HeaderMap,
) -> Result<Judged, Refusal> {
    let phone = hall.phones.as_ref().and_then(|phones| phone(phones, headers));
    let ground = ground(path);
    if ground == Ground::HomeOnly {
        let sentence = "Phones are let in and shut out on the machine that Lastbolt runs on, at \
                        the address that it printed first.";
        return Err(Refusal::new(StatusCode::FORBIDDEN, sentence));
    }
    let Some(phone) = phone else {
        return match ground {
            Ground::Porch => Ok(Judged::Let(Pass::Stranger { from })),
            _ => Err(Refusal::not_let_in()),
        };
    };
    let own_page = phone.first_page();
    match ground {
        Ground::Porch => {}
        Ground::Job(job) if phone.may_see(job) => {}
        Ground::Garage if phone.whole_garage => {}
        // The sign on every page leads to today's jobs; this phone's own is what it has.
        Ground::Garage if path == "/" => return Ok(Judged::GoTo(own_page)),
        _ => {
            let sentence = "This phone is let in to another job only; to see this one too, scan \
                            the code of this one.";
            return Err(Refusal::new(StatusCode::FORBIDDEN, sentence).leading_to(&own_page));
        }
    }
    Ok(Judged::Let(Pass::Phone { phone, from }))
}

/// The phone whose cookie is shown. There may be several of that name: whatever else runs on the
/// same machine can set them.
fn phone(phones: &Phones, headers: &HeaderMap) -> Option<Arc<InPhone>> {
    let lines = headers.get_all(COOKIE).iter().filter_map(|line| line.to_str().ok());
    let pairs = lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.split_once('='));
    let own = pairs.filter(|(name, _)| name.trim() == phones.cookie());
    let shown: Vec<&str> = own.map(|(_, value)| value.trim()).take(COOKIES_MAX).collect();
    if shown.is_empty() { None } else { phones.find(&shown) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a job's phone may see stands under its job; everything unknown is the garage's.
    #[test]
    fn grounds() {
        let check = |path, expect| assert_eq!(ground(path), expect, "{path}");
        check("/", Ground::Garage);
        check("/begin", Ground::Garage);
        check("/api/begin", Ground::Garage);
        check("/job/kelp-1", Ground::Job("kelp-1"));
        check("/job/kelp-1/list", Ground::Job("kelp-1"));
        check("/api/job/kelp-1/events", Ground::Job("kelp-1"));
        check("/job/kelp%2D1", Ground::Job("kelp%2D1"));
        check("/job//kelp-1", Ground::Job(""));
        check("//job/kelp-1", Ground::Garage);
        check("/job", Ground::Garage);
        check("/api/job", Ground::Garage);
        check("/in", Ground::Porch);
        check("/in/x", Ground::Garage);
        check("/api/in", Ground::Porch);
        check("/api/in/x", Ground::Garage);
        check("/asset/0/floor.css", Ground::Porch);
        check("/asset", Ground::Garage);
        check("/phones", Ground::HomeOnly);
        check("/phones/x", Ground::HomeOnly);
        check("/api/phones", Ground::HomeOnly);
        check("/api/phones/code", Ground::HomeOnly);
        check("", Ground::Garage);
    }
}

//! Where a phone can reach this machine.

use std::net::{IpAddr, Ipv4Addr, UdpSocket};

/// An address of the block for documentation (RFC 5737): nothing is sent to it, the system only
/// says from which of its own addresses it would be.
const SOMEWHERE: (Ipv4Addr, u16) = (Ipv4Addr::new(192, 0, 2, 1), 9);

/// Gives the IPv4 addresses at which a phone can reach this machine, the likeliest first; none
/// where it is on no network.
pub(crate) fn addresses() -> Vec<Ipv4Addr> {
    let listed = if_addrs::get_if_addrs().unwrap_or_default();
    let listed = listed.into_iter().filter_map(|one| match one.ip() {
        IpAddr::V4(address) => Some((address, one.is_p2p())),
        IpAddr::V6(_) => None,
    });
    in_order(routed(), listed.collect())
}

/// The address from which the system would send to elsewhere.
fn routed() -> Option<Ipv4Addr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect(SOMEWHERE).ok()?;
    match socket.local_addr().ok()?.ip() {
        IpAddr::V4(address) => Some(address),
        IpAddr::V6(_) => None,
    }
}

/// The routed one first; but a tunnel to elsewhere comes after the networks that a phone is on.
fn in_order(routed: Option<Ipv4Addr>, mut listed: Vec<(Ipv4Addr, bool)>) -> Vec<Ipv4Addr> {
    if let Some(routed) = routed
        && !listed.iter().any(|(address, _)| *address == routed)
    {
        listed.push((routed, false));
    }
    listed.retain(|(address, _)| {
        !address.is_loopback() && !address.is_unspecified() && !address.is_multicast()
    });
    listed.sort_by_key(|&(address, tunnel)| {
        (tunnel, address.is_link_local(), Some(address) != routed, address)
    });
    let mut all: Vec<Ipv4Addr> = listed.into_iter().map(|(address, _)| address).collect();
    all.dedup();
    all
}

/// Gives the names of this machine by which a phone may ask for it, in small letters: its own,
/// and that of the local network (RFC 6762).
pub(crate) fn names() -> Vec<String> {
    of_host(&gethostname::gethostname().to_string_lossy())
}

fn of_host(host: &str) -> Vec<String> {
    let host = host.to_ascii_lowercase();
    let first = host.split('.').next().unwrap_or("");
    let usual = |c: char| c.is_ascii_alphanumeric() || c == '-';
    // "localhost" and numbers are no name of one machine.
    let is_name = !first.is_empty()
        && first.len() <= 63
        && first.chars().all(usual)
        && first.chars().any(|c| c.is_ascii_alphabetic())
        && first != "localhost";
    if is_name { vec![format!("{first}.local"), first.to_owned()] } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_likeliest_address_comes_first() {
        let lan = Ipv4Addr::new(192, 168, 1, 5);
        let other = Ipv4Addr::new(10, 0, 0, 7);
        let tunnel = Ipv4Addr::new(10, 8, 0, 2);
        let own = Ipv4Addr::new(169, 254, 3, 3);
        let home = Ipv4Addr::LOCALHOST;
        let all = vec![(home, false), (own, false), (other, false), (tunnel, true), (lan, false)];
        assert_eq!(in_order(Some(lan), all.clone()), [lan, other, own, tunnel]);
        assert_eq!(in_order(Some(tunnel), all), [other, lan, own, tunnel]);
        assert_eq!(in_order(Some(lan), Vec::new()), [lan]);
        assert_eq!(in_order(None, vec![(home, false)]), Vec::<Ipv4Addr>::new());
    }

    #[test]
    fn names_of_a_machine() {
        assert_eq!(of_host("Bench-PC"), ["bench-pc.local", "bench-pc"]);
        assert_eq!(of_host("bench.example.org"), ["bench.local", "bench"]);
        for none in ["", "localhost", "192.168.1.5", "a b", "x_y", "127"] {
            assert_eq!(of_host(none), Vec::<String>::new(), "{none}");
        }
    }
}

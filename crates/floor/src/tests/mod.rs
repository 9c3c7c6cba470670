//! Tests of the server, over real sockets: what a browser or a command would send, byte for byte.

mod doors;
mod endpoint;
mod guard;
mod matters;
mod own;
mod pages;
mod phones;
mod photos;
pub(crate) mod ship;
mod stops;
mod streams;
mod take;
mod words;

//! Tests of the server, over real sockets: what a browser or a command would send, byte for byte.

mod endpoint;
mod guard;
mod matters;
mod pages;
mod photos;
mod ship;
mod streams;
mod take;
mod words;

//! Tests of the server.

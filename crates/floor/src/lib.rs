//! The web server and its pages.

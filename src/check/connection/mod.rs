//! Checks of what is connected with what.

pub mod open_port;

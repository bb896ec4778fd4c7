//! All integration tests in one binary, which links once.

mod commands;
mod connections;
mod fluids;
mod free_hose;
mod hostile;
mod house;
mod networks;
mod plans;
mod properties;
mod readme;
mod reference;
mod routes;
mod spread;
mod stories;
mod tables;
mod understood;
mod units;

//! All integration tests in one binary, which links once.

mod clearance;
mod commands;
mod connections;
mod drawing;
mod fluids;
mod free_hose;
mod hostile;
mod house;
mod identify;
mod joined;
mod measured;
mod networks;
mod plans;
mod properties;
mod readme;
mod reference;
mod routes;
mod shapes;
mod shortest;
mod simplify;
mod spread;
mod stories;
mod tables;
mod trilateration;
mod understood;
mod units;

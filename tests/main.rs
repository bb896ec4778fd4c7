//! All integration tests in one binary, which links once.

mod reference;
mod routes;
mod units;

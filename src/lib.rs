//! hosewright
pub mod curve;
pub mod diagnostic;
pub mod document;
pub mod finding;
pub mod plan;
pub mod source;
pub mod table;
pub mod units;

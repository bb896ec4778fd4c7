//! hosewright
pub mod assess;
mod bounds;
pub mod check;
pub mod cli;
pub mod curve;
pub mod diagnostic;
pub mod document;
pub mod finding;
pub mod geometry;
pub mod hydraulics;
pub mod makeup;
pub mod plan;
pub mod rating;
pub mod report;
pub mod solve;
pub mod source;
pub mod table;
pub mod units;

//! Published cases: what a document prints, what we give, and why they may differ.

pub mod compared;
mod geometry;
mod heat;
mod hydraulics;
mod makeup;
mod page;
mod rating;
mod sheet;
mod tube;

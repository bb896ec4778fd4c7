//! Published cases: what a document prints, what we give, and why they may differ.

mod geometry;
mod heat;
mod hydraulics;
mod makeup;
mod rating;
mod sheet;
mod tube;

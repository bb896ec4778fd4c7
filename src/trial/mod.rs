//! Tests made on the machine itself: what must come, what is to be expected, and what a result means.

pub mod dip;
pub mod flow;
pub mod leak;
pub mod print;
pub mod proof;
pub mod reading;
pub mod short;

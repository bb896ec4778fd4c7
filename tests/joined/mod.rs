//! High and low regions over joined lines: cases by hand, a flood by brute force, laws, whole plans.

mod examples;
mod flood;
mod kernel;
mod plans;
mod run_off;

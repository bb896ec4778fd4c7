//! Checks of the record that stands beside the plan; where there is none they say nothing.

pub mod chain;
pub mod hose_life;
pub mod measured;
pub mod proof;
pub mod second_person;
pub mod void;

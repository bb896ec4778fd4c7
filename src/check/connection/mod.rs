//! Checks of what is connected with what.
//!
//! Most of them judge a wiring, so that the one with two ends exchanged can be held against the planned
//! one.

pub mod air_trap;
pub mod direction;
pub mod drain;
pub mod expansion;
pub mod open_port;
pub mod parallel_pumps;
pub mod pump_source;
pub mod reachable_need;
pub mod r#return;
pub mod siphon;
pub mod swap;
pub mod tank_balance;
pub mod vent_low_point;

use super::Whole;
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;

/// Judges a wiring of the plan.
type Rule = fn(&Whole<'_>, &WiringFacts) -> Vec<Finding>;

/// Rules that an exchange of two ends can break.
const RULES: [Rule; 6] = [
    pump_source::judge,
    parallel_pumps::judge,
    direction::judge,
    expansion::judge,
    r#return::judge,
    reachable_need::judge,
];

/// Names of components as a list in words.
fn names(whole: &Whole<'_>, components: impl IntoIterator<Item = usize>) -> String {
    let ids = components.into_iter().map(|c| whole.plan.components[c].id.as_str());
    list(&ids.collect::<Vec<_>>())
}

/// `A`, `A and B`, `A, B and C`.
pub(super) fn list(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

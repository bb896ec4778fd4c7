//! Checks of what is cut and from what.

pub mod bend_collision;
pub mod bend_straight;
pub mod bend_thinning;
pub mod cut_length;
pub mod reach;
pub mod stock;

use crate::check::{Draft, Look};
use crate::finding::Finding;
use crate::solve::tube::TubeFacts;

/// How the tube of a line is bent; what to say instead of a hose, or where that is not known.
fn bent_tube<'l>(look: &Look<'l>, draft: &Draft) -> Result<&'l TubeFacts, Box<Finding>> {
    let draft = || draft.clone();
    match &look.own.tube {
        Some(Ok(tube)) => Ok(tube),
        Some(Err(why)) => {
            Err(Box::new(draft().open(why, "see geometry.route and makeup.cut-length")))
        }
        None => Err(Box::new(draft().ok("a hose is not bent in a bender"))),
    }
}
